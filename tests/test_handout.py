"""The printed sheet: what stands on it, and what does not. Common practice, no source, but where one is named."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from generator.page.handout import Handout, SheetView, handout_page, handout_policy, sheet_view
from generator.page.plan import Replaced
from generator.words.speaker import Speaker
from tests.notices import Office, office

URL = "https://plans.example.org/"


@pytest.fixture(scope="module")
def unit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("sheets")) as found:
        yield found


def sheet(unit: Office, ref: str, *, real: bool = False, replaced: Replaced | None = None) -> SheetView:
    plan = unit.plans[ref]
    clinic = replace(plan.unit, demonstration=not real)
    handout = Handout(ref, clinic, plan.identity, URL, plan.timetable, replaced)
    own = Speaker(plan.wordings[0])
    made = sheet_view(handout, own, Speaker(unit.desk.wordings["en"]))
    assert own.missing == set()
    return made


def page(unit: Office, *sheets: SheetView) -> str:
    return handout_page(sheets, unit.desk.parts.templates).decode()


def words(text: str) -> str:
    return " ".join(re.sub(r"<style>.*?</style>|<[^>]+>", " ", text, flags=re.DOTALL).split())


def test_a_sheet_says_where_to_be_and_how_to_open_the_plan_and_whom_to_call(unit: Office) -> None:
    said = words(page(unit, sheet(unit, "DEMO-101")))
    identity = unit.plans["DEMO-101"].identity
    for part in (
        "Be at the unit on Wednesday 18 March at 09:00 (9:00 in the morning)",
        "Open it now and read it. Open it again on Tuesday 17 March",
        "Plan code 461",
        f"Your call number: {identity.call_number}",
        "01632 960 145 Monday to Friday , from 08:00 to 17:00",
        "01632 960 182 Day and night",
        "Reference DEMO-101",
        "Take none of the bowel medicine, and call the unit first, if one is true:",
        "You have a stoma, or part of your bowel was removed",
        "You are staying in a hospital or a care home",
        "Until someone answers, take none of it.",
        "Demonstration.",
        "Draft words.",
    ):
        assert re.sub(r"\W", "", part) in re.sub(r"\W", "", said), part


def test_no_hour_or_dose_of_the_preparation_is_on_it(unit: Office) -> None:
    """It leads to the plan; paper with times of its own would be a second plan."""
    said = page(unit, sheet(unit, "DEMO-101"))
    plan = unit.plans["DEMO-101"]
    for step in plan.timetable.steps:
        if step.kind in ("drink", "mix", "tablets", "stop-drinking"):
            assert f"{step.start:%H:%M}" not in said
    assert " mL" not in words(said)


def test_the_token_is_printed_in_groups_of_four(unit: Office) -> None:
    made = sheet(unit, "DEMO-101")
    assert re.fullmatch(r"([a-z0-9]{4} ){6}[a-z0-9]{2} /", made.link_groups)
    typed = f"{made.link_base}{made.link_groups}".replace(" ", "")
    assert typed == unit.plans["DEMO-101"].identity.link(URL)


def test_the_staffs_language_stands_beside_every_other(unit: Office) -> None:
    spanish = page(unit, sheet(unit, "DEMO-102"))
    assert spanish.count('lang="es" dir="ltr"') >= 1
    assert words(spanish).count("Be at the unit on") == 1
    assert "Preséntese en la unidad" in words(spanish)
    assert "I speak Spanish" in words(spanish)
    english = page(unit, sheet(unit, "DEMO-101"))
    assert words(english).count("Be at the unit on") == 1
    assert "I speak" not in words(english)


def test_a_sheet_of_a_later_plan_names_the_one_to_throw_away(unit: Office) -> None:
    old = Replaced("352", unit.plans["DEMO-101"].timetable.procedure)
    said = words(page(unit, sheet(unit, "DEMO-101", replaced=old)))
    assert "Plan 352 holds no longer. Throw it away." in said
    assert "Throw it away" not in words(page(unit, sheet(unit, "DEMO-101")))


def test_a_real_units_sheet_bears_no_mark_of_a_demonstration(unit: Office) -> None:
    said = words(page(unit, sheet(unit, "DEMO-101", real=True)))
    assert "Demonstration" not in said
    assert "invented" not in said


def test_sheets_stand_in_the_order_in_which_they_are_given(unit: Office) -> None:
    said = page(unit, *(sheet(unit, ref) for ref in ("DEMO-104", "DEMO-101", "DEMO-103")))
    assert re.findall(r'class="ref">(DEMO-\d+)<', said) == ["DEMO-104", "DEMO-101", "DEMO-103"]


def test_the_page_needs_nothing_else_and_lets_nothing_else_in(unit: Office) -> None:
    """Content Security Policy Level 3: a style sheet is allowed by the hash of its text."""
    text = page(unit, sheet(unit, "DEMO-101"))
    [style] = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = handout_policy(unit.desk.parts.templates)
    assert policy == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    assert policy.replace("'", "&#39;") in text or policy in text
    assert not re.search(r'\s(?:src|href|style)="', text)
    assert "<script" not in text
