"""Which steps an alarm calls to, by hand, and how the page lists them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from generator.plan.alarms import alarm_steps
from generator.plan.timetable import Timetable
from tests.nouns import plan, protocol_of
from tests.plans import built


def doses(*hours: float) -> list[dict[str, Any]]:
    """For each number of hours before the procedure: getting up, mixing, and a dose of half a litre."""
    rows: list[dict[str, Any]] = []
    for number, before in enumerate(hours):
        dose = f"dose-{number}"
        rows += [
            {
                "id": dose, "kind": "drink", "glasses": 2, "ml": 250, "minutes": 15,
                "before": "procedure", "hours": before,
            },
            {"id": f"wake-{number}", "kind": "wake", "before": dose, "hours": 0.5},
            {"id": f"mix-{number}", "kind": "mix", "before": dose, "hours": 0.25, "minutes": 5},
        ]  # fmt: skip
    return rows


def timetable(*hours: float) -> Timetable:
    """A procedure at 14:00 with doses so many hours before, and nothing more from 12:00."""
    stop = {"id": "stop", "kind": "stop-drinking", "before": "procedure", "hours": 2}
    return plan(protocol_of(*doses(*hours), stop), "2026-06-15T14:00+01:00")


def ids(*hours: float) -> list[str]:
    """The steps with an alarm, in order of time."""
    return [step.id for step in alarm_steps(timetable(*hours))]


def test_an_alarm_calls_to_what_is_done_at_an_hour() -> None:
    """Not to food, looks, the examination or what follows it (common practice, no source)."""
    assert ids(5) == ["wake-0", "mix-0", "dose-0", "stop", "leave", "arrive"]


def test_of_more_than_eight_those_go_after_which_the_doses_own_alarm_follows() -> None:
    """First getting up, then mixing; never a dose, the end of drinking, leaving or arriving."""
    assert ids(7, 5) == ["mix-0", "dose-0", "mix-1", "dose-1", "stop", "leave", "arrive"]
    assert ids(9, 7, 5) == ["dose-0", "dose-1", "dose-2", "stop", "leave", "arrive"]
    assert ids(10, 9, 8, 7, 6, 5) == [*(f"dose-{number}" for number in range(6)), "stop", "leave", "arrive"]


def test_what_was_past_when_the_plan_was_made_needs_no_alarm() -> None:
    made = timetable(5)
    late = [
        step._replace(past=step.id in ("wake-0", "mix-0"), done=step.id == "dose-0") for step in made.steps
    ]
    found = alarm_steps(Timetable(made.zone, made.procedure, made.arrival, made.leaving, tuple(late), (), ()))
    assert [step.id for step in found] == ["stop", "leave", "arrive"]


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The section of the English plan for Wednesday 18 March at 09:30, as text."""
    folder: Path = built(tmp_path_factory.mktemp("alarms")).folder("DEMO-101")
    section = (
        (folder / "index.html").read_text("utf-8").split('<section id="alarms"')[1].split("</section>")[0]
    )
    return " ".join(re.sub(r"<[^>]*>", " ", re.sub("[\u2066-\u2069]", "", section)).split())


def test_the_page_names_both_days_of_a_night(page: str) -> None:
    """At half past five on Wednesday people say Tuesday night; the alarm must not ring a day late."""
    assert (
        "05:30 (5:30 in the morning) in the night from Tuesday to Wednesday Wednesday 18 March "
        "Drink the bowel medicine"
    ) in page
    assert "18:00 (6:00 in the evening) Tuesday 17 March Drink the bowel medicine" in page
    assert len(re.findall(r"\d\d:\d\d \(", page)) == 6  # two mixings, two doses, nothing more, leaving


def test_the_page_does_not_promise_that_anything_rings(page: str) -> None:
    assert "This page cannot ring." in page
    assert "On some phones these entries ring, on others they do not." in page
    assert "Many phones ring at the next such hour, whatever the day." in page
