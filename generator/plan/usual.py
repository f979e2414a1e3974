"""Usual times: where a protocol states the unit's own times for a slot, those are used unless a hard rule forbids."""

from __future__ import annotations

import datetime as dt

from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row
from generator.finding import Finding, note
from generator.plan.fixed import Fixed
from generator.plan.moments import epoch_minutes, from_epoch_minutes, instants_of
from generator.plan.network import ORIGIN, Bound, Rule
from generator.plan.soonest import Room


def with_usual_times(room: Room, protocol: Protocol, fixed: Fixed) -> tuple[Room, list[Finding]]:
    """The room with each row at the unit's usual time for this slot, one row after the other.

    A time that a hard rule forbids, or that an earlier row's usual time leaves no room for, is told and left out.
    """
    findings: list[Finding] = []
    slot = from_epoch_minutes(fixed.procedure, fixed.zone).time()
    for row in protocol.rows:
        if slot not in row.usual:
            continue
        at = row.usual[slot]
        window = room.window(row.id)
        tried = [room.bounded(*_at_moment(row, at, moment)) for moment in _moments(at, fixed, window)]
        kept = [one for one in tried if one is not None]
        if kept:
            room = kept[0]
        else:
            findings.append(_forbidden(row, at, slot, window, fixed))
    return room, findings


def _moments(at: dt.time, fixed: Fixed, window: tuple[int, int]) -> list[int]:
    """The epoch minutes within the row's window at which the wall clock shows this time."""
    first, last = (from_epoch_minutes(end, fixed.zone).date() for end in window)
    days = (first + dt.timedelta(days=day) for day in range((last - first).days + 1))
    moments = [epoch_minutes(moment) for day in days for moment in instants_of(fixed.zone, day, at)]
    return [moment for moment in moments if window[0] <= moment <= window[1]]


def _at_moment(row: Row, at: dt.time, moment: int) -> tuple[Bound, Bound]:
    rule = Rule(row.id, f"starts at the unit's usual time for this slot, {at:%H:%M}", row.source, exact=True)
    return Bound(row.id, ORIGIN, moment, rule), Bound(ORIGIN, row.id, -moment, rule)


def _forbidden(row: Row, at: dt.time, slot: dt.time, window: tuple[int, int], fixed: Fixed) -> Finding:
    earliest, latest = (from_epoch_minutes(end, fixed.zone) for end in window)
    return note(
        "usual-time-forbidden",
        row.id,
        f"The usual time {at:%H:%M} of “{row.id}” for a start at {slot:%H:%M} is not possible: the rules leave "
        f"{earliest:%H:%M} to {latest:%H:%M}.",
        "The kindest time that the rules leave was taken. Have the clinical lead look at the usual times.",
    )
