"""Nights: when the unit's night begins and ends on the wall, and how much of a stretch of time lies in it."""

from __future__ import annotations

import datetime as dt

from generator.clinic.unit import Unit
from generator.plan.moments import epoch_minutes, wall_minute


def night_of(unit: Unit, day: dt.date) -> tuple[int, int]:
    """The night that begins on that day, in epoch minutes; a border that the clocks skip is the end of the gap."""
    since, until = (at.hour * 60 + at.minute for at in (unit.night.since, unit.night.until))
    ends = day + dt.timedelta(days=1 if since > until else 0)
    return wall_minute(unit.zone, day, since), wall_minute(unit.zone, ends, until)


def night_minutes(unit: Unit, start: dt.datetime, end: dt.datetime) -> int:
    """How many minutes from start to end, both zone-aware, lie in the unit's night."""
    since, until = epoch_minutes(start), epoch_minutes(end)
    first = start.date() - dt.timedelta(days=1)
    days = (first + dt.timedelta(days=day) for day in range((end.date() - first).days + 1))
    nights = (night_of(unit, day) for day in days)
    return sum(max(0, min(until, ends) - max(since, begins)) for begins, ends in nights)
