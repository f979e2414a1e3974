"""A look at whether it is clear waits after the last glass, where leaving, the next drink and time to act leave it."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from generator.clinic.booking import Booking
from generator.plan.planning import timetable_for
from tests.nouns import at, plan, protocol_of, unit_in, window

DRINKS = {
    "id": "drinks", "kind": "extra-fluid", "glasses": 2, "ml": 250, "minutes": 15,
    "at": "08:00", "day": 0,
}  # fmt: skip
LOOK = {
    "id": "look", "kind": "check", "after": {"row": "drinks", "at_least": 0},
    "settle_minutes": 30, "room_minutes": 30,
}  # fmt: skip
WINDOW = [{"at": "08:00", "day": 0}, {"at": "08:40", "day": 0}]
STOP = {"id": "stop", "kind": "stop-drinking", "before": "procedure", "hours": 2}


@pytest.mark.parametrize(
    ("procedure", "travel", "told"),
    [
        ("12:00", 0, "09:00"),  # the last glass ends at 08:30; nothing more from 10:00
        ("11:20", 0, "08:50"),  # nothing more from 09:20, and half an hour must be left before
        ("11:00", 0, "08:30"),  # nothing more from 09:00: no room at all
        ("12:00", 195, "08:45"),  # leaving home at 08:45
        ("12:00", 197, "08:40"),  # leaving home at 08:43: whole five minutes
        ("12:00", 210, "08:30"),  # leaving home as soon as the last glass is empty
    ],
)
def test_it_waits_as_long_as_the_day_leaves(procedure: str, travel: int, told: str) -> None:
    timetable = plan(protocol_of(DRINKS, LOOK, STOP), f"2026-06-15T{procedure}+01:00", travel_minutes=travel)
    assert at(timetable, "look") == f"2026-06-15T{told}+01:00"


def test_it_is_over_before_the_next_drink() -> None:
    further: dict[str, Any] = {**DRINKS, "id": "further", "at": "08:40"}
    timetable = plan(protocol_of(DRINKS, LOOK, further, STOP), "2026-06-15T14:00+01:00")
    assert at(timetable, "look") == "2026-06-15T08:40+01:00"


def test_it_says_why_and_its_window_begins_at_the_last_glass() -> None:
    timetable = plan(protocol_of(DRINKS, LOOK, STOP), "2026-06-15T12:00+01:00")
    assert "waits 30 min so that the last glass has worked" in {
        reason.rule for reason in timetable.step("look").because
    }
    assert window(timetable, "look") == ("15 08:30", "15 09:00")
    plain = {name: value for name, value in LOOK.items() if name != "settle_minutes"}
    assert at(plan(protocol_of(DRINKS, plain, STOP), "2026-06-15T12:00+01:00"), "look").endswith(
        "08:30+01:00"
    )


@pytest.mark.parametrize(
    ("stated", "told"),
    [
        ({"end_by": {"before": "procedure", "hours": 3.25}}, "08:45"),
        ({"after": {"row": "drinks", "at_least": 0, "at_most": 0.25}, "window": WINDOW}, "08:40"),
        ({"after": {"row": "drinks", "at_least": 0, "at_most": 0}}, "08:30"),
    ],
)
def test_it_waits_no_longer_than_its_own_rules_let_it(stated: dict[str, Any], told: str) -> None:
    timetable = plan(protocol_of(DRINKS, LOOK | stated, STOP), "2026-06-15T12:00+01:00")
    assert at(timetable, "look") == f"2026-06-15T{told}+01:00"


def test_a_look_that_was_had_stays_where_it_was() -> None:
    booking = Booking(
        "r", dt.datetime.fromisoformat("2026-06-15T12:00+01:00"), "p", ("en",), travel_minutes=0
    )
    begun = {"look": dt.datetime.fromisoformat("2026-06-15T08:35+01:00")}
    timetable = timetable_for(booking, protocol_of(DRINKS, LOOK, STOP), unit_in(), None, begun=begun)
    assert at(timetable, "look") == "2026-06-15T08:35+01:00"


@pytest.mark.parametrize(("procedure", "told"), [("11:00", []), ("10:55", ["check-too-late"])])
def test_a_look_too_late_to_act_on_is_told(procedure: str, told: list[str]) -> None:
    """Drunk by 08:30; nothing more from 09:00 leaves the half hour, from 08:55 it does not."""
    timetable = plan(protocol_of(DRINKS, LOOK, STOP), f"2026-06-15T{procedure}+01:00")
    assert [finding.kind for finding in timetable.findings] == told
    assert timetable.steps
