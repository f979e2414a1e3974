"""Food and drink on the page: the unit's verdicts by group with their reasons, or, unsigned, the line to ask."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest

from generator.clinic.food import foods_from
from generator.page.foods import FOOD_IDS
from tests.command import run
from tests.plans import Built, built, copy_of_demo_unit

ASK = {
    "DEMO-101": (
        "This page has no list of foods. Call the unit and ask what you may eat and drink.",
        "Until someone answers, keep to the times in the steps above.",
        "Call the unit and ask what you may eat. Until someone answers, keep to the times in this list.",
    ),
    "DEMO-102": (
        "Esta página no tiene lista de comidas. Llame a la unidad y pregunte qué puede comer y beber.",
        "Hasta que alguien conteste, respete las horas de los pasos de arriba.",
        "Llame a la unidad y pregunte qué puede comer. Hasta que alguien conteste, respete las horas de esta lista.",
    ),
}


def page_of(plans: Built, ref: str, name: str = "index.html") -> str:
    """The page's text, without tags around values and marks of direction."""
    html = (plans.folder(ref) / name).read_text("utf-8")
    return re.sub(r"</?bdi[^>]*>|[\u2066-\u2069]", "", html)


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> Built:
    return built(tmp_path_factory.mktemp("food"))


def test_a_verdict_is_a_sentence_with_this_plans_moments_and_its_reason(plans: Built) -> None:
    """Low-fibre food from Tuesday 07:00, clear drinks from 13:30, nothing more from Wednesday 07:30."""
    page = page_of(plans, "DEMO-101")
    for line in (
        "<dt>Water<dd>Yes, until Wednesday 18 March, 07:30.",
        "<dt>White bread<dd>Until your last meal, Tuesday 17 March, 12:30: yes. After it: no. "
        "It is solid food.",
        "<dt>Tea with milk<dd>Until Tuesday 17 March, 13:30: yes. After that: no. "
        "Milk makes it cloudy: you cannot see through it.",
        "<dt>Nuts and seeds<dd>No, from Tuesday 17 March, 07:00. Seeds and hard bits stay in the bowel.",
    ):
        assert line in page


def test_foods_stand_in_groups_and_each_only_in_one(plans: Built) -> None:
    page = page_of(plans, "DEMO-101")
    headings = re.findall(r'<h3>([^<]+)</h3><dl class="foods" id="foods-[a-z]+">', page)
    assert headings == [
        "Cold drinks", "Hot drinks", "Soups and broths", "Sweet things, jelly and ices", "Bread and biscuits",
        "Rice, pasta and cereals", "Eggs, meat and fish", "Beans, nuts and seeds", "Yoghurt, cheese and fats",
        "Vegetables and sauces", "Fruit",
    ]  # fmt: skip
    names = re.findall(r"<dt>([^<]+)<dd>", page)
    assert len(names) == len(set(names)) == len(FOOD_IDS)


def test_names_to_find_by_are_there_and_never_shown(plans: Built) -> None:
    page = page_of(plans, "DEMO-101")
    assert page.count("psyllium") == 1
    assert re.search(r'<div data-find="[^"]*psyllium[^"]*"><dt>Fibre drink<dd>', page)


@pytest.mark.parametrize(("ref", "name"), [("DEMO-101", "index.html"), ("DEMO-102", "index.html")])
def test_the_page_with_all_foods_is_small_enough_for_a_weak_link(plans: Built, ref: str, name: str) -> None:
    """House limit: 28 KB for document and style sheet, packed, in Latin scripts; common practice, no source."""
    assert len(gzip.compress((plans.folder(ref) / name).read_bytes())) < 28 * 1024


def test_what_the_unit_leaves_out_is_not_on_the_page(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    text = (unit / "food.toml").read_text("utf-8")
    kept = [line for line in text.splitlines() if line.startswith(("water =", "egg ="))]
    (unit / "food.toml").write_text("\n".join(kept), "utf-8")
    words = ("--unit", unit, "--role", "lead", "--review-by", "2036-01-05", "--now", "2026-01-05T08:00")
    assert run("protocol", "sign", "food.toml", *words).exit_code == 0
    page = page_of(built(tmp_path / "out", unit=unit), "DEMO-101")
    assert re.findall(r"<dt>([^<]+)<dd>", page) == ["Water", "Eggs, boiled or poached"]
    assert re.findall(r'<dl class="foods" id="foods-([a-z]+)">', page) == ["cold", "meat"]


def test_an_unsigned_list_is_not_shown_and_the_page_says_to_ask(tmp_path: Path) -> None:
    """The demonstration is no exception: one changed verdict, and the signature covers nothing."""
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "food.toml"
    path.write_text(path.read_text("utf-8").replace('why = "alcohol"', 'why = "differ"'), "utf-8")
    plans = built(tmp_path / "out", unit=unit)
    for ref, lines in ASK.items():
        page = page_of(plans, ref)
        for line in lines:
            assert line in page
        for gone in ("<dt>", "data-find", 'id="find"', "Eat only what the food list"):
            assert gone not in page
    assert "لا توجد في هذه الصفحة قائمة أطعمة." in page_of(plans, "DEMO-103")


def test_a_reason_is_one_of_the_closed_list() -> None:
    _, findings = foods_from({"milk": {"low_fibre": False, "why": "fiber"}}, FOOD_IDS, "food.toml")
    assert [finding.kind for finding in findings] == ["value-invalid"]
    assert "Did you mean “fibre”?" in findings[0].remedy
    assert findings[0].where == "food.toml milk why"


def test_a_reason_against_what_is_allowed_to_the_end_is_refused() -> None:
    table = {"water": {"low_fibre": True, "clear": True, "why": "pulp"}}
    _, findings = foods_from(table, FOOD_IDS, "food.toml")
    assert [finding.kind for finding in findings] == ["value-invalid"]


def test_an_unknown_food_names_the_nearest() -> None:
    _, findings = foods_from({"white-bred": {"low_fibre": True}}, FOOD_IDS, "food.toml")
    assert "Did you mean “white-bread”" in findings[0].remedy
