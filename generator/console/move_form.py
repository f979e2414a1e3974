"""The form for moving an appointment: the new start, preparation and way."""

from __future__ import annotations

from dataclasses import replace

from werkzeug.datastructures import MultiDict

from generator.clinic.booking import Booking
from generator.console.booking_form import Typed, read_moment, read_travel, typed_of
from generator.finding import Finding, note, refusal
from generator.materials.unit_folder import UnitFolder
from generator.plan.moments import later, minutes_between

_FIELDS = ("date", "time", "protocol", "travel", "pick_up")


def move_typed(form: MultiDict[str, str]) -> Typed:
    """The fields of a form that was sent."""
    return Typed({name: form.get(name, "").strip() for name in _FIELDS})


def move_of(booking: Booking, zone: str) -> Typed:
    """The fields of a booking as it stands."""
    return Typed({name: typed_of(booking, zone).texts[name] for name in _FIELDS})


def changed_by_move(
    typed: Typed, booking: Booking, folder: UnitFolder
) -> tuple[dict[str, object], list[Finding]]:
    """The fields of the booking that become others, and every fault."""
    findings: list[Finding] = []
    zone = folder.unit.zone
    start = read_moment(typed.date, typed.time, zone, "Time", findings)
    pick_up = read_moment(typed.date, typed.pick_up, zone, "Pick-up", findings) if typed.pick_up else None
    travel = read_travel(typed.travel, findings)
    if typed.protocol not in folder.protocols:
        problem = "What was chosen is not offered here."
        findings.append(refusal("not-offered", "Preparation", problem, "Choose from the list."))
    if findings or start is None:
        return {}, findings
    changed: dict[str, object] = {}
    if start != booking.start:
        # What was stated for the former start belongs to it.
        changed |= {"start": start, "arrival": None, "latest_start": None, "provisional": False}
        changed["pick_up"] = pick_up
        # The other procedures of the visit keep their distance: their fasting rules must not get lost.
        changed["others"] = tuple(
            replace(one, start=later(start, minutes_between(booking.start, one.start)))
            for one in booking.others
        )
    elif pick_up != booking.pick_up:
        changed["pick_up"] = pick_up
    if typed.protocol != booking.protocol:
        changed["protocol"] = typed.protocol
    if travel != booking.travel_minutes:
        changed["travel_minutes"] = travel
    if not changed:
        told = "Day, time, preparation and way are as they were."
        return {}, [note("nothing-changed", "", told, "Type what has changed.")]
    return changed, []
