"""Food: the unit's verdicts over our list of foods and drinks."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.finding import Finding

# Why a food is not allowed, or not to the end: the page has a sentence for each.
WHYS = frozenset(
    (
        "fibre",
        "seeds",
        "skin",
        "pulp",
        "milk",
        "cloudy",
        "colour",
        "dark",
        "fat",
        "alcohol",
        "solid",
        "differ",
    )
)


@dataclass(frozen=True, slots=True)
class Food:
    """One food or drink, named by our id, with the unit's verdict for each phase of the diet.

    Attributes:
        why: one of `WHYS`, or "": the reason that is given with the verdict.
    """

    id: str
    low_fibre: bool
    clear: bool
    full_liquids: bool = False
    why: str = ""


def foods_from(
    table: Mapping[str, Any], known: frozenset[str], file: str
) -> tuple[tuple[Food, ...], list[Finding]]:
    """The unit's foods in file order, and every finding; `known` are the ids we have words for."""
    findings: list[Finding] = []
    fields = Fields(table, file, findings)
    foods = tuple(_food(food_id, fields, known) for food_id in fields.keys())
    fields.close()
    return foods, findings


def _food(food_id: str, fields: Fields, known: frozenset[str]) -> Food:
    entry = fields.table(food_id)
    if food_id not in known:
        near = difflib.get_close_matches(food_id, sorted(known), 3)
        hint = f"Did you mean {' or '.join(f'“{one}”' for one in near)}? " if near else ""
        fields.refuse(
            "food-unknown",
            food_id,
            f"There is no food “{food_id}”.",
            f"{hint}The starter file templates/unit/food.toml names all there are; leave out what is not there.",
        )
    clear = entry.flag("clear", False)
    food = Food(
        food_id,
        entry.flag("low_fibre", False),
        clear,
        entry.flag("full_liquids", clear),
        entry.choice("why", WHYS, ""),
    )
    for problem, remedy in _contradictions(food):
        fields.refuse("value-invalid", food_id, problem, remedy)
    entry.close()
    return food


def _contradictions(food: Food) -> Iterator[tuple[str, str]]:
    if food.clear and not food.full_liquids:
        yield (
            f"“{food.id}” is allowed as a clear drink and not as a liquid.",
            "A clear drink is a liquid: leave full_liquids out.",
        )
    if food.full_liquids and not food.low_fibre:
        yield (
            f"“{food.id}” is allowed late and not before.",
            "A drink is also low in fibre: write low_fibre = true.",
        )
    if food.clear and food.why:
        yield (
            f"“{food.id}” is allowed to the end, and has a reason against it.",
            "Leave why out, or write clear = false.",
        )
