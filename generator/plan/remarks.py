"""Remarks: what a plan that keeps every rule still costs this patient, so that “ready” says no more than is true."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.rows import SESSION_KINDS
from generator.clinic.unit import Unit
from generator.finding import Finding, note, warning
from generator.plan.fixed import Fixed
from generator.plan.kindness import AWAKE_KINDS, MOMENT_AWAKE
from generator.plan.moments import from_epoch_minutes, minutes_between
from generator.plan.nights import night_minutes
from generator.plan.timetable import Step, Yardstick
from generator.plan.yardsticks import LATE_START, yardsticks_for


def remarks(
    booking: Booking, protocol: Protocol, unit: Unit, fixed: Fixed, steps: Sequence[Step]
) -> Iterator[Finding]:
    """What the steps leave of quiet, night and time to act on a check, and guidance that a late start departs from.

    Args:
        protocol: as it stands for this patient.
    """
    yield from _quiet_remarks(unit, steps, from_epoch_minutes(fixed.leaving, fixed.zone))
    yield from _night_remarks(unit, steps)
    yield from _late_checks(protocol, steps)
    if booking.latest_start is not None:
        first = from_epoch_minutes(fixed.procedure, fixed.zone)
        yield from _late_start_remarks(yardsticks_for(protocol, steps, first, booking.latest_start))


def _quiet_remarks(unit: Unit, steps: Sequence[Step], leaving: dt.datetime) -> Iterator[Finding]:
    drinks = [step for step in steps if step.kind in SESSION_KINDS and step.end and step.start < leaving]
    last = max(drinks, key=lambda step: step.end or step.start, default=None)
    if last is None or last.end is None:
        return
    left = max(0, minutes_between(last.end, leaving))
    if left < unit.quiet_minutes:
        yield note(
            "quiet-short",
            last.id,
            f"{left} of the {unit.quiet_minutes} quiet minutes are left before leaving home, after “{last.id}”.",
            "Tell the patient, or choose a later slot.",
        )


def _night_remarks(unit: Unit, steps: Sequence[Step]) -> Iterator[Finding]:
    """Only what the protocol's rows ask for: nobody has to be awake for a time at which nothing is taken."""
    asked = [step for step in steps if step.leeway is not None and step.kind in AWAKE_KINDS]
    awake = [(step, night_minutes(unit, step.start, step.end or step.start, MOMENT_AWAKE)) for step in asked]
    disturbed = [(step, minutes) for step, minutes in awake if minutes]
    if disturbed:
        told = ", ".join(f"“{step.id}” starts {step.start:%H:%M}" for step, _ in disturbed)
        yield note(
            "night-awake",
            ", ".join(step.id for step, _ in disturbed),
            f"{told}: {sum(minutes for _, minutes in disturbed)} minutes in the unit's night "
            f"({unit.night.since:%H:%M} to {unit.night.until:%H:%M}).",
            "Tell the patient, or choose a later slot.",
        )


def _late_checks(protocol: Protocol, steps: Sequence[Step]) -> Iterator[Finding]:
    """Checks that leave less than their `room_minutes` until nothing more may be taken."""
    rooms = {row.id: row.room_minutes for row in protocol.rows if row.room_minutes is not None}
    stop = min((step.start for step in steps if step.kind == "stop-drinking"), default=None)
    for step in steps:
        if stop is None or step.id not in rooms:
            continue
        left = max(0, minutes_between(step.start, stop))
        if left < rooms[step.id]:
            yield warning(
                "check-too-late",
                step.id,
                f"“{step.id}” leaves {left} of the {rooms[step.id]} minutes to call and to act on it before nothing "
                "more may be taken.",
                "Tell the patient to call sooner, or choose a later slot or another protocol.",
            )


def _late_start_remarks(yardsticks: Sequence[Yardstick]) -> Iterator[Finding]:
    told = [text for one in yardsticks for text in one.departures if text.startswith(LATE_START)]
    if told:
        yield note(
            "late-start-departs",
            "procedure",
            " ".join(told),
            "Ask for an hour, or have the clinical lead look at it; the times hold for the earliest start.",
        )
