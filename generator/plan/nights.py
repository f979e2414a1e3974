"""Nights: when the unit's night begins and ends on the wall, and how much of a stretch of time lies in it."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

from generator.clinic.unit import Unit
from generator.plan.moments import epoch_minutes, wall_minute

_DAY = dt.timedelta(days=1)


def nights_between(unit: Unit, first: dt.date, last: dt.date) -> tuple[tuple[int, int], ...]:
    """The nights that begin on the days from first to last, in epoch minutes.

    A border that the clocks skip is the end of the gap.
    """
    return _nights_between(unit.zone, unit.night.since, unit.night.until, first, last)


@lru_cache(maxsize=1024)  # the bookings of a day ask for the same nights
def _nights_between(
    zone: str, since: dt.time, until: dt.time, first: dt.date, last: dt.date
) -> tuple[tuple[int, int], ...]:
    begins, ends = (at.hour * 60 + at.minute for at in (since, until))
    evenings = [first + dt.timedelta(days=day) for day in range((last - first).days + 1)]
    over = dt.timedelta(days=1 if begins > ends else 0)
    return tuple((wall_minute(zone, day, begins), wall_minute(zone, day + over, ends)) for day in evenings)


def night_minutes(unit: Unit, start: dt.datetime, end: dt.datetime, least: int = 0) -> int:
    """How many minutes from start to end, both zone-aware, lie in the unit's night.

    Args:
        least: how many minutes the stretch counts for if it is shorter.
    """
    since = epoch_minutes(start)
    until = max(epoch_minutes(end), since + least)
    nights = nights_between(unit, start.date() - _DAY, end.date() + _DAY)
    return sum(max(0, min(until, ends) - max(since, begins)) for begins, ends in nights)
