"""Remarks: what “ready” must not hide: little quiet, a short night, a late start, a closed day."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from generator.finding import Verdict
from generator.plan.moments import in_zone
from generator.plan.nights import night_minutes
from generator.plan.timetable import Timetable
from tests.nouns import plan, protocol_of, unit_in

# ESGE 2019 (Endoscopy 2019;51:775-794): the last dose starts within 5 h and has ended 2 h before.
LAST = {
    "id": "last", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15,
    "window": [{"before": "procedure", "hours": 5}, {"before": "procedure", "hours": 3}],
}  # fmt: skip


def told(timetable: Timetable, kind: str) -> str:
    [problem] = [finding.problem for finding in timetable.findings if finding.kind == kind]
    return problem


def kinds(timetable: Timetable) -> set[str]:
    return {finding.kind for finding in timetable.findings}


def test_quiet_minutes_that_are_missing_are_said() -> None:
    """By hand: the dose ends at 08:25, and a way of 120 minutes to 11:00 begins at 09:00: 35 are left."""
    at_half_past = {**LAST, "window": [{"at": "07:25", "day": 0}, {"at": "07:25", "day": 0}]}
    timetable = plan(protocol_of(at_half_past), "2026-06-15T11:00+01:00", travel_minutes=120)
    assert told(timetable, "quiet-short") == (
        "35 of the 60 quiet minutes are left before leaving home, after “last”."
    )
    assert timetable.verdict is Verdict.READY
    enough = plan(protocol_of(at_half_past), "2026-06-15T11:00+01:00", travel_minutes=95)
    assert "quiet-short" not in kinds(enough)


def test_minutes_in_the_units_night_are_said() -> None:
    """By hand: 04:50 to 05:50, and the night ends at 05:30: 40 minutes. Mixing at 04:35 costs five more."""
    early = {**LAST, "window": [{"at": "04:50", "day": 0}, {"at": "04:50", "day": 0}]}
    mix = {"id": "mix", "kind": "mix", "before": "last", "hours": 0.25}
    alone = plan(protocol_of(early), "2026-06-15T08:30+01:00")
    assert told(alone, "night-awake") == (
        "“last” starts 04:50: 40 minutes in the unit's night (22:30 to 05:30)."
    )
    mixed = plan(protocol_of(early, mix), "2026-06-15T08:30+01:00")
    assert told(mixed, "night-awake") == (
        "“last” starts 04:50, “mix” starts 04:35: 45 minutes in the unit's night (22:30 to 05:30)."
    )


@pytest.mark.parametrize(
    ("start", "end", "minutes"),
    [
        ("2026-06-15T22:00+01:00", "2026-06-15T23:00+01:00", 30),
        ("2026-06-15T22:00+01:00", "2026-06-16T06:00+01:00", 420),
        ("2026-06-15T05:30+01:00", "2026-06-15T22:30+01:00", 0),
        # 29 March 2026, London: 01:00 becomes 02:00, so that the night has an hour less.
        ("2026-03-28T22:00+00:00", "2026-03-29T06:00+01:00", 360),
    ],
)
def test_minutes_of_the_night_are_elapsed_ones(start: str, end: str, minutes: int) -> None:
    first, last = (in_zone(dt.datetime.fromisoformat(at), "Europe/London") for at in (start, end))
    assert night_minutes(unit_in(), first, last) == minutes


def test_a_drink_through_the_hour_that_comes_twice_is_told_in_full() -> None:
    """London, 25 October 2026: from 01:30 BST to 01:30 GMT is an hour, although both clocks show the same."""
    drink = {"id": "dose", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15}
    timetable = plan(protocol_of({**drink, "before": "procedure", "hours": 7.5}), "2026-10-25T08:00+00:00")
    assert "“dose” starts 01:30: 60 minutes in the unit's night" in told(timetable, "night-awake")


def test_a_list_order_is_judged_at_its_latest_start_too() -> None:
    """For 10:00 the dose at 06:00 starts 4 h before; for 13:00 06:00 is 7 h before."""
    morning = {**LAST, "window": [{"at": "06:00", "day": 0}, {"at": "06:00", "day": 0}]}
    latest = dt.datetime.fromisoformat("2026-06-15T13:00+01:00")
    timetable = plan(protocol_of(morning), "2026-06-15T10:00+01:00", latest_start=latest)
    esge, usmstf = timetable.yardsticks
    assert (esge.met, usmstf.met) == (False, False)
    assert esge.departures == (
        "At the latest start, 13:00: The last dose starts 7 h before; ESGE 2019 says 5 h at most.",
    )
    assert told(timetable, "late-start-departs").startswith(
        "At the latest start, 13:00: The last dose starts 7 h"
    )
    assert timetable.verdict is Verdict.READY  # a departure is for the clinical lead, and changes no verdict
    firm = plan(protocol_of(morning), "2026-06-15T10:00+01:00")
    assert [one.met for one in firm.yardsticks] == [True, True]


def test_a_departure_at_the_earliest_start_only_is_said_too() -> None:
    """06:30 for 09:00 is 2 h 30 before, and ends 1 h 30 before: too late for either. For 11:00 it is 4 h 30 before."""
    dose = {**LAST, "window": [{"at": "06:30", "day": 0}, {"at": "06:30", "day": 0}]}
    latest = dt.datetime.fromisoformat("2026-06-15T11:00+01:00")
    esge, _ = plan(protocol_of(dose), "2026-06-15T09:00+01:00", latest_start=latest).yardsticks
    assert esge.departures == ("The last dose ends 1 h 30 min before; ESGE 2019 says 2 h at least.",)


@pytest.mark.parametrize(
    ("procedure", "more", "problem"),
    [
        ("2026-06-15T10:00+01:00", {}, None),  # a Monday
        ("2026-06-20T10:00+01:00", {}, "Saturday 20 June, when the unit is closed."),
        ("2026-06-20T10:00+01:00", {"working_days": ["mon", "sat"]}, None),
        ("2026-06-20T10:00+01:00", {"list": {"weekdays": ["sat"]}}, None),
        ("2026-06-15T10:00+01:00", {"closed_days": [dt.date(2026, 6, 15)]},
         "Monday 15 June, when the unit is closed and no line for patients answers."),
    ],
)  # fmt: skip
def test_an_examination_on_a_closed_day_needs_a_look(
    procedure: str, more: dict[str, Any], problem: str | None
) -> None:
    timetable = plan(protocol_of(LAST), procedure, unit_in(**more))
    if problem is None:
        assert "closed-day" not in kinds(timetable)
    else:
        assert told(timetable, "closed-day") == f"The examination is on {problem}"
        assert timetable.verdict is Verdict.CHECK


def test_nobody_is_awake_for_hours_in_which_nothing_is_taken() -> None:
    """The patient's own medicines are not taken from 05:00 to 07:00: half an hour of the night, slept through."""
    medicine = {"id": "own", "kind": "medicine", "at": "05:00", "day": 0, "until": "dose"}
    dose = {"id": "dose", "kind": "drink", "glasses": 2, "ml": 250, "minutes": 15, "at": "07:00", "day": 0}
    assert plan(protocol_of(dose, medicine), "2026-06-15T12:00+01:00").findings == ()
