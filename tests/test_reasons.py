"""Binding means: loosen the rule by five minutes in the protocol itself, plan anew, and the step moves."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

import pytest

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.rows import Anchor, Before, Row, WallClock
from generator.materials.unit_folder import read_unit_folder
from generator.plan.moments import instants_of
from generator.plan.planning import timetable_for
from tests.command import DEMO_UNIT

FOLDER = read_unit_folder(DEMO_UNIT)
STARTS = {
    "peg-ascorbate-split": ["07:30", "08:00", "08:40", "09:30", "11:15", "12:55"],
    "peg-ascorbate-same-day": ["13:00", "14:00", "15:35", "17:30", "18:25"],
    "picosulfate-split": ["07:30", "08:30", "09:50", "11:30", "14:45"],
}
CASES = [(name, at, travel) for name, starts in STARTS.items() for at in starts for travel in (15, 75)]


def shifted(anchor: Anchor, minutes: int) -> Anchor:
    """The anchor that many minutes later."""
    if isinstance(anchor, Before):
        return Before(anchor.point, anchor.minutes - minutes)
    moved = dt.datetime.combine(dt.date(2026, 1, 2), anchor.at) + dt.timedelta(minutes=minutes)
    return WallClock(anchor.day, moved.time())


def loosened(row: Row) -> Iterator[tuple[str, Row]]:
    """Each rule of a row by how its text begins, and the row with that rule given five more minutes."""
    for index, window in enumerate(row.windows):
        others = list(row.windows)
        if window.since is not None:
            others[index] = replace(window, since=shifted(window.since, -5))
            yield f"starts no earlier than|{window.source}", replace(row, windows=tuple(others))
        if window.until is not None:
            others[index] = replace(window, until=shifted(window.until, 5))
            yield f"starts no later than|{window.source}", replace(row, windows=tuple(others))
    for index, gap in enumerate(row.gaps):
        gaps = list(row.gaps)
        if gap.at_least is not None and row.windows:
            gaps[index] = replace(gap, at_least=gap.at_least - 5)
            yield f"starts at least|{gap.source}", replace(row, gaps=tuple(gaps))
        if gap.at_most is not None:
            gaps[index] = replace(gap, at_most=gap.at_most + 5)
            yield f"starts at most|{gap.source}", replace(row, gaps=tuple(gaps))
    for index, deadline in enumerate(row.deadlines):
        deadlines = list(row.deadlines)
        deadlines[index] = replace(deadline, anchor=shifted(deadline.anchor, 5))
        yield f"has ended by|{deadline.source}", replace(row, deadlines=tuple(deadlines))


def with_row(protocol: Protocol, row: Row) -> Protocol:
    return replace(protocol, rows=tuple(row if one.id == row.id else one for one in protocol.rows))


@pytest.mark.parametrize(("name", "at", "travel"), CASES)
def test_a_rule_binds_exactly_when_loosening_it_moves_the_drink(name: str, at: str, travel: int) -> None:
    protocol, unit = FOLDER.regimens[name], FOLDER.unit
    start = instants_of(unit.zone, dt.date(2026, 3, 18), dt.time.fromisoformat(at))[0]
    booking = Booking("r", start, name, ("en",), travel_minutes=travel)
    planned = timetable_for(booking, protocol, unit, None)
    for drink in (step for step in planned.steps if step.kind == "drink"):
        for row in protocol.rows:
            for rule, other in loosened(row):
                text, source = rule.split("|")
                moved = (
                    timetable_for(booking, with_row(protocol, other), unit, None).step(drink.id).start
                    != drink.start
                )
                told = [
                    reason.binding
                    for reason in drink.because
                    if reason.source == source and f"“{row.id}” {text}" in reason.rule
                ]
                if row.id == drink.id:
                    assert moved == any(told), (drink.id, rule)
                else:
                    assert moved == (told != []), (drink.id, row.id, rule)


@pytest.mark.parametrize(("name", "at"), [(name, starts[1]) for name, starts in STARTS.items()])
def test_what_a_check_waits_for_binds_when_it_alone_holds_it(name: str, at: str) -> None:
    """Both checks follow a drink: five minutes less to wait, and they come five minutes earlier."""
    start = instants_of(FOLDER.unit.zone, dt.date(2026, 3, 18), dt.time.fromisoformat(at))[0]
    booking = Booking("r", start, name, ("en",), travel_minutes=15)
    protocol = FOLDER.regimens[name]
    planned = timetable_for(booking, protocol, FOLDER.unit, None)
    for check in (planned.step("look"), planned.step("no-movement")):
        row = protocol.row(check.id)
        [gap] = row.gaps
        sooner = replace(row, gaps=(replace(gap, at_least=(gap.at_least or 0) - 5),))
        other = timetable_for(booking, with_row(protocol, sooner), FOLDER.unit, None).step(check.id)
        moved = other.window != check.window
        [told] = [reason.binding for reason in check.because if "starts at least" in reason.rule]
        assert moved is told is True


def test_of_two_rules_that_hold_a_row_neither_binds() -> None:
    """The clear drinks wait for the dose to end, by their own rule and because drinks come one after the other."""
    start = instants_of(FOLDER.unit.zone, dt.date(2026, 3, 18), dt.time(9))[0]
    booking = Booking("r", start, "peg-ascorbate-split", ("en",), travel_minutes=15)
    planned = timetable_for(booking, FOLDER.regimens["peg-ascorbate-split"], FOLDER.unit, None)
    drinks = planned.step("evening-drinks").because
    assert [reason.rule for reason in drinks if reason.binding] == [
        "“evening-drinks” follows “evening-dose” as soon as it may"
    ]


def test_the_last_dose_of_an_early_slot_is_held_by_four_hours_before() -> None:
    """By hand: at 08:40 the night (to 05:30) is least disturbed by the latest start the rule leaves, 04:40."""
    start = instants_of("Europe/London", dt.date(2026, 3, 18), dt.time(8, 40))[0]
    booking = Booking("r", start, "peg-ascorbate-split", ("en",), travel_minutes=15)
    planned = timetable_for(booking, FOLDER.regimens["peg-ascorbate-split"], FOLDER.unit, None)
    dose = planned.step("morning-dose")
    assert f"{dose.start:%H:%M}" == "04:40"
    assert [reason.rule for reason in dose.because if reason.binding] == [
        "“morning-dose” starts no later than 4 h before the procedure"
    ]
