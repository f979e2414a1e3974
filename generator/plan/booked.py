"""Booked: what a booking leaves open, what was assumed for it, and what in it cannot be."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.unit import Unit
from generator.finding import Finding, note, refusal, warning
from generator.plan.fixed import Fixed
from generator.plan.moment_text import day_text, moment_text
from generator.plan.moments import from_epoch_minutes, in_zone


def booking_findings(booking: Booking, protocol: Protocol, unit: Unit, fixed: Fixed) -> Iterator[Finding]:
    """What the booking leaves open, what was assumed for it, and moments in it that contradict each other.

    Args:
        protocol: as it stands for this patient.
    """
    if booking.pick_up is None and booking.travel_minutes is None:
        yield note(
            "travel-assumed",
            "leave",
            f"The way to the unit is not known: {unit.travel_minutes} minutes are assumed.",
            "If it takes longer, state the travel time.",
        )
    yield from _way_findings(fixed)
    if booking.latest_start is not None:
        yield _list_order(in_zone(booking.start, unit.zone), in_zone(booking.latest_start, unit.zone))
    if booking.provisional:
        yield warning(
            "time-provisional",
            "procedure",
            "The unit has not confirmed this time yet.",
            "Make the plan anew when the time is confirmed.",
        )
    yield from _visit_findings(booking, protocol, unit)


def _way_findings(fixed: Fixed) -> Iterator[Finding]:
    """Leaving home, being there and the first procedure come in this order."""
    if fixed.leaving > fixed.arrival:
        yield refusal(
            "pick-up-late",
            "leave",
            "The transport leaves after the patient is due at the unit.",
            "Mend the hour of the transport, or the arrival.",
        )
    if fixed.arrival > fixed.procedure:
        come, start = (from_epoch_minutes(one, fixed.zone) for one in (fixed.arrival, fixed.procedure))
        yield refusal(
            "arrival-after-procedure",
            "arrive",
            f"The patient would arrive at {moment_text(come, start)}, after the procedure has begun at {start:%H:%M}.",
            "Mend the arrival, or the start of the procedure.",
        )


def _list_order(start: dt.datetime, latest: dt.datetime) -> Finding:
    if latest < start or latest.date() != start.date():
        return refusal(
            "latest-start-wrong",
            "procedure",
            f"The latest start, {moment_text(latest)}, is not on the day of the earliest one and after it: "
            f"{moment_text(start)}.",
            "Mend the latest start, or the earliest.",
        )
    return note(
        "list-order",
        "procedure",
        f"The list gives an order, no hour: planned for the earliest start; it may be as late as {latest:%H:%M}.",
        "Tell the patient to be ready for the earliest time.",
    )


def _visit_findings(booking: Booking, protocol: Protocol, unit: Unit) -> Iterator[Finding]:
    """Further procedures of the visit: each once, on its day, and under a name that no row has."""
    day, rows = in_zone(booking.start, unit.zone).date(), {row.id for row in protocol.rows}
    seen: set[str] = set()
    for other in booking.others:
        start = in_zone(other.start, unit.zone)
        if other.id in seen:
            yield refusal(
                "procedure-doubled",
                other.id,
                f"“{other.id}” is booked twice in this visit.",
                "Keep one of them.",
            )
        elif other.id in rows:
            yield refusal(
                "procedure-doubled",
                other.id,
                f"“{other.id}” is a procedure of the visit and a row of “{protocol.id}” as well.",
                "Give the [[visit_procedure]] of unit.toml, or the row, another id.",
            )
        if start.date() != day:
            yield refusal(
                "visit-day-differs",
                other.id,
                f"“{other.id}” is on {day_text(start.date())}, and the examination on {day_text(day)}: that is "
                "not one visit.",
                "Mend its day, or book it as an appointment of its own.",
            )
        seen.add(other.id)
