"""Food: the unit's verdicts over our list of foods and drinks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.finding import Finding


@dataclass(frozen=True, slots=True)
class Food:
    """One food or drink, named by our id, with the unit's verdict for each phase of the diet."""

    id: str
    low_fibre: bool
    clear: bool
    full_liquids: bool = False


def foods_from(
    table: Mapping[str, Any], known: frozenset[str], file: str
) -> tuple[tuple[Food, ...], list[Finding]]:
    """The unit's foods in file order, and every finding; `known` are the ids we have words for."""
    findings: list[Finding] = []
    fields = Fields(table, file, findings)
    foods = []
    for food_id in fields.keys():
        entry = fields.table(food_id)
        if food_id not in known:
            fields.refuse(
                "food-unknown",
                food_id,
                f"There is no food “{food_id}”.",
                f"Use one of: {', '.join(sorted(known))}.",
            )
        clear = entry.flag("clear", False)
        food = Food(food_id, entry.flag("low_fibre", False), clear, entry.flag("full_liquids", clear))
        if food.clear and not food.full_liquids:
            fields.refuse(
                "value-invalid",
                food_id,
                f"“{food_id}” is allowed as a clear drink and not as a liquid.",
                "A clear drink is a liquid: leave full_liquids out.",
            )
        if food.full_liquids and not food.low_fibre:
            fields.refuse(
                "value-invalid",
                food_id,
                f"“{food_id}” is allowed late and not before.",
                "A drink is also low in fibre: write low_fibre = true.",
            )
        entry.close()
        foods.append(food)
    fields.close()
    return tuple(foods), findings
