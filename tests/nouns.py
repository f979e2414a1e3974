"""Units and protocols for tests, as short as their files would let them be."""

from __future__ import annotations

import datetime as dt
from typing import Any

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol, protocol_from
from generator.clinic.unit import Unit, unit_from
from generator.plan.planning import timetable_for
from generator.plan.timetable import Timetable


def unit_in(zone: str = "Europe/London", **more: Any) -> Unit:
    """A unit with one line, day and night; nobody travels or waits unless `more` says so."""
    table = {
        "name": "Unit", "place": "here", "zone": zone, "demonstration": True, "languages": ["en"],
        "arrival_lead_minutes": 0, "travel_minutes": 0,
        "line": [{"id": "a", "shown": "1", "dial": "01632960001", "open": ["mon-sun 00:00-24:00"]}],
        "emergency": {"shown": "9", "dial": "01632960999"},
    }  # fmt: skip
    unit, findings = unit_from({**table, **more}, "unit.toml")
    assert findings == []
    return unit


def protocol_of(*rows: dict[str, Any], **more: Any) -> Protocol:
    """A protocol of these rows, for every start of the day."""
    table = {
        "title": "t", "composition": "c", "product": "p", "pieces": 1, "sources": ["s"],
        "slots": {"since": "00:00", "until": "23:59"}, "row": [{"source": "s", **row} for row in rows],
    }  # fmt: skip
    protocol, findings = protocol_from({**table, **more}, "p", "p.toml")
    assert findings == []
    return protocol


def plan(protocol: Protocol, procedure: str, unit: Unit | None = None, **more: Any) -> Timetable:
    """The timetable of a procedure given in ISO 8601 with its offset."""
    booking = Booking(
        "r", dt.datetime.fromisoformat(procedure), "p", ("en",), **{"travel_minutes": 0, **more}
    )
    return timetable_for(booking, protocol, unit or unit_in(), None)


def at(timetable: Timetable, step_id: str) -> str:
    """A step's start, to the minute, with its offset."""
    return timetable.step(step_id).start.isoformat(timespec="minutes")


def window(timetable: Timetable, step_id: str) -> tuple[str, str]:
    """What the hard rules leave for a step's start, as wall clock with its day of the month."""
    found = timetable.step(step_id).window
    assert found is not None
    return f"{found.earliest:%d %H:%M}", f"{found.latest:%d %H:%M}"


def day_booking(protocol: str, start: str, travel: int) -> Booking:
    """A booking on Monday 15 June 2026 at this wall-clock time in London."""
    return Booking(
        "r", dt.datetime.fromisoformat(f"2026-06-15T{start}+01:00"), protocol, ("en",), travel_minutes=travel
    )
