"""What the patient began already is a fact: in whatever order it is told, and in words that fit it."""

from __future__ import annotations

import datetime as dt
import itertools

from generator.finding import Severity
from generator.materials.unit_folder import read_unit_folder
from generator.plan.planning import timetable_for
from generator.plan.timetable import Timetable
from tests.command import DEMO_UNIT
from tests.nouns import day_booking

FOLDER = read_unit_folder(DEMO_UNIT)


def planned(now: str, *begun: tuple[str, str]) -> Timetable:
    """The split PEG plan for Monday 15 June 2026, 09:00; all hours are on the Sunday before."""
    booking = day_booking("peg-ascorbate-split", "09:00", 20)
    done = {row: _on_sunday(clock) for row, clock in begun}
    protocol = FOLDER.regimens[booking.protocol]
    return timetable_for(booking, protocol, FOLDER.unit, _on_sunday(now), FOLDER.stated, done)


def _on_sunday(clock: str) -> dt.datetime:
    return dt.datetime.fromisoformat(f"2026-06-14T{clock}+01:00")


def test_what_was_begun_may_be_told_in_any_order() -> None:
    """The dose at 17:00, an hour early, and the question at 19:00, two hours after it instead of three."""
    for begun in itertools.permutations([("evening-dose", "17:00"), ("no-movement", "19:00")]):
        plan = planned("20:00", *begun)
        told = {
            finding.where: finding.problem
            for finding in plan.findings
            if finding.kind == "begun-against-rules"
        }
        assert set(told) == {"evening-dose", "no-movement"}
        assert "starts no earlier than 18:00 the day before" in told["evening-dose"]
        assert "starts at least 3 h after the start of “evening-dose”" in told["no-movement"]
        assert plan.step("no-movement").start == _on_sunday("19:00")


def test_drinks_that_were_drunk_too_fast_are_no_fault_of_the_protocol() -> None:
    """A litre from 18:00 and half a litre from 18:50: more than the 1000 mL an hour that the label allows."""
    plan = planned("20:00", ("evening-dose", "18:00"), ("evening-drinks", "18:50"))
    [told] = [finding for finding in plan.findings if finding.severity is Severity.REFUSE]
    assert told.kind == "begun-against-rules"
    assert "no more than 1000 mL in one hour" in told.problem
    assert "A nurse speaks with the patient" in told.remedy
