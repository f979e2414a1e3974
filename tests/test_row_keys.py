"""Keys of rows that sheets of units asked for: a pause until a dose, a dose at the unit, an end that is no window."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from generator.clinic.protocol import protocol_from
from generator.errors import BadMaterials
from generator.finding import Verdict
from generator.page.step_words import About, Around, lines_for
from tests.command import run
from tests.nouns import at, plan, protocol_of
from tests.plans import copy_of_demo_unit

T14 = "2026-06-15T14:00+01:00"
DOSE = {"id": "dose", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15}
PAUSE = {"id": "dry", "kind": "pause", "at": "00:00", "day": 0}
ABOUT = About("p", 1, "here", False, "", "", False, False, "9", True, "")


def faults(*rows: dict[str, Any], **more: Any) -> list[str]:
    table = {
        "title": "t", "composition": "c", "product": "p", "pieces": 1, "sources": ["s"],
        "slots": {"since": "00:00", "until": "23:59"}, "row": [{"source": "s", **row} for row in rows], **more,
    }  # fmt: skip
    return [finding.kind for finding in protocol_from(table, "p", "p.toml")[1]]


def said(timetable: Any, step_id: str) -> list[tuple[str, dict[str, Any]]]:
    lines = lines_for(timetable.step(step_id), ABOUT, Around("00:00", "", None, False))
    return [(line.message.english, dict(line.values)) for line in lines]


def test_a_pause_until_a_dose_says_how_long_it_is() -> None:
    """From midnight until the dose five hours before 14:00: nine hours without a drink."""
    dose = {**DOSE, "before": "procedure", "hours": 5}
    timetable = plan(protocol_of({**PAUSE, "until": "dose"}, dose), T14)
    end = timetable.step("dry").end
    assert end is not None
    assert f"{end:%d %H:%M}" == "15 09:00"
    assert said(timetable, "dry") == [
        ("For {minutes} minutes take no drinks, not even water.", {"minutes": 540})
    ]


@pytest.mark.parametrize("until", ["procedure", "earlier", "nowhere"])
def test_a_pause_lasts_until_a_drink_that_stands_below_it(until: str) -> None:
    earlier = {**DOSE, "id": "earlier", "at": "18:00", "day": -1}
    assert "row-unknown" in faults(earlier, {**PAUSE, "until": until}, {**DOSE, "at": "08:00", "day": 0})


def test_a_pause_without_an_end_is_a_fault() -> None:
    assert faults(PAUSE) == ["key-missing"]


def test_a_dose_at_the_unit_comes_after_arrival() -> None:
    """A leaflet of Japan: be there at 08:30 and drink it there; an hour's way lies before it, not behind it."""
    dose = {**DOSE, "before": "arrival", "hours": 0, "at_unit": True}
    there = plan(protocol_of(dose), T14, arrival=None, travel_minutes=60)
    assert at(there, "dose") == T14
    assert [step.id for step in there.steps] == ["leave", "arrive", "procedure", "dose"]
    assert [step.get("at_unit", False) for step in there.as_json()["steps"]] == [False, False, False, True]  # type: ignore[attr-defined]
    assert said(there, "dose")[0] == ("You do this at the unit, not at home.", {})
    at_home = plan(protocol_of({**dose, "at_unit": False}), T14, travel_minutes=60)
    assert at_home.verdict is Verdict.REFUSED
    too_early = plan(protocol_of({**dose, "hours": 0.5}), T14, travel_minutes=60)
    assert too_early.verdict is Verdict.REFUSED
    assert "starts after arrival at the unit" in too_early.findings[-1].problem


def test_only_what_can_be_done_there_may_be_at_the_unit() -> None:
    assert faults({"id": "x", "kind": "diet", "diet": "usual", "at": "08:00", "day": 0, "at_unit": True}) == [
        "key-unknown"
    ]


def test_when_drinking_ends_is_one_moment() -> None:
    """A leaflet says “4 to 6 hours before”: which of them is for the unit to say, not for software to pick."""
    ends = [{"before": "arrival", "hours": hours} for hours in (6, 4)]
    assert faults({"id": "end", "kind": "stop-drinking", "window": ends}) == ["row-time"]


def test_sodium_phosphate_is_not_signed_without_a_reason(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "protocols" / "picosulfate-split.toml"
    text = path.read_text("utf-8").replace("Sodium picosulfate 10 mg", "Sodium phosphate 45 mL", 1)
    sign = ("protocol", "sign", "protocols/picosulfate-split.toml", "--unit", unit, "--role", "lead")
    more = ("--review-by", "2036-01-05", "--now", "2026-03-16T08:00")
    path.write_text(text, "utf-8")
    stopped = run(*sign, *more).exception
    assert isinstance(stopped, BadMaterials)
    assert [finding.kind for finding in stopped.findings] == ["phosphate"]
    path.write_text(f'{text}\n[override]\nphosphate = "why"\n', "utf-8")
    assert run(*sign, *more).exit_code == 0
