"""The starter file's verdicts on fibre against open food-composition data (tests/examples/food).

Limit: a food may be called a source of fibre from 3 g in 100 g or 1.5 g in 100 kcal on (Regulation (EC) No
1924/2006, Annex). What the starter file allows as low in fibre stays below 3 g in 100 g; what it forbids for its
fibre is a source by one of the two, since vegetables and porridge are mostly water. That a plan's food should not be
a source of fibre is common practice, no source.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from generator.clinic.food import Food, foods_from
from generator.materials.toml_files import parsed
from generator.page.foods import FOOD_IDS
from tests.command import ROOT

PER_100_G, PER_100_KCAL = 3.0, 1.5  # grams of fibre

# (our food, their food): why the verdict stands against the figure.
EXCEPTIONS = {
    ("cornflakes", "Cereal, corn flakes, plain"): "weighed dry: a bowl is some 30 g, about 1 g of fibre",
    ("bran-biscuits", "Cookie, oatmeal"): "just below, for its sugar and fat; the oats are whole grain",
    (
        "brown-rice",
        "Rice, brown, cooked, no added fat",
    ): "much water; lists forbid it for its husk, not for grams",
}


@dataclass(frozen=True)
class Row:
    id: str
    food: str
    fibre: float
    energy: float

    @property
    def is_source(self) -> bool:
        dense = self.energy > 0 and self.fibre / self.energy * 100 >= PER_100_KCAL
        return self.fibre >= PER_100_G or dense


def rows() -> Iterator[Row]:
    with (ROOT / "tests" / "examples" / "food" / "fibre.csv").open(encoding="utf-8", newline="") as file:
        for line in csv.DictReader(file):
            figures = float(line["fibre_g_per_100g"]), float(line["energy_kcal_per_100g"])
            yield Row(line["id"], line["food"], *figures)


def starter() -> dict[str, Food]:
    foods, _ = foods_from(parsed(ROOT / "templates/unit/food.toml", "food.toml", []), FOOD_IDS, "food.toml")
    return {food.id: food for food in foods}


def contradictions() -> set[tuple[str, str]]:
    foods = starter()
    return {
        (row.id, row.food)
        for row in rows()
        if (foods[row.id].low_fibre and row.fibre >= PER_100_G)
        or (foods[row.id].why == "fibre" and not row.is_source)
    }


def test_verdicts_on_fibre_agree_with_the_figures_but_for_those_named() -> None:
    assert contradictions() == set(EXCEPTIONS)


def test_each_food_that_is_forbidden_for_its_fibre_has_a_figure_that_says_so() -> None:
    """Except those for which the data have no row."""
    shown = {row.id for row in rows() if row.is_source}
    unproved = {food.id for food in starter().values() if food.why == "fibre"} - shown
    assert unproved == {"fibre-drink"}


def test_there_are_figures_for_most_of_what_is_allowed() -> None:
    allowed = {food.id for food in starter().values() if food.low_fibre}
    known = {row.id for row in rows()}
    assert len(allowed & known) >= 40
    assert allowed & known >= {"white-bread", "white-pasta", "crackers", "croissant", "puffed-rice"}


@pytest.mark.parametrize(
    ("fibre", "energy", "is_source"), [(3.0, 400, True), (2.9, 400, False), (1.5, 100, True), (0, 0, False)]
)
def test_the_limit_is_the_regulations(fibre: float, energy: float, is_source: bool) -> None:
    assert Row("", "", fibre, energy).is_source is is_source
