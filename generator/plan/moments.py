"""Moments: the one place that knows zones. Elapsed time is counted in UTC; wall time is looked up, never guessed."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from functools import cache, lru_cache

UTC = dt.UTC


@cache
def zone_named(name: str) -> zoneinfo.ZoneInfo | None:
    """The zone of that IANA name from the pinned data, or None when there is none."""
    try:
        return zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        return None


def _zone(name: str) -> zoneinfo.ZoneInfo:
    zone = zone_named(name)
    if zone is None:
        raise ValueError(f"no zone {name}")
    return zone


@lru_cache(maxsize=8192)
def instants_of(zone: str, day: dt.date, at: dt.time) -> tuple[dt.datetime, ...]:
    """Every moment at which the zone's clocks show this wall time: none, one or two.

    None on the night clocks go forward, two on the night they go back.

    Raises:
        ValueError: if there is no such zone.
    """
    wall = dt.datetime.combine(day, at)
    found = []
    for fold in (0, 1):
        local = wall.replace(tzinfo=_zone(zone), fold=fold)
        back = local.astimezone(UTC).astimezone(_zone(zone))
        if back.replace(tzinfo=None, fold=0) == wall and back.fold == fold:
            found.append(back)
    return tuple(found)


def in_zone(moment: dt.datetime, zone: str) -> dt.datetime:
    """The same moment on the zone's clocks."""
    return moment.astimezone(_zone(zone))


def later(moment: dt.datetime, minutes: int) -> dt.datetime:
    """The moment this many elapsed minutes later, on the same zone's clocks."""
    return (moment.astimezone(UTC) + dt.timedelta(minutes=minutes)).astimezone(moment.tzinfo)


def minutes_between(first: dt.datetime, second: dt.datetime) -> int:
    """Elapsed whole minutes from the first moment to the second, rounded down."""
    return int((second.astimezone(UTC) - first.astimezone(UTC)).total_seconds() // 60)


def epoch_minutes(moment: dt.datetime) -> int:
    """Whole minutes since 1970-01-01T00:00Z, rounded down."""
    return int(moment.timestamp() // 60)


@lru_cache(maxsize=8192)
def from_epoch_minutes(minutes: int, zone: str) -> dt.datetime:
    """The moment on the zone's clocks."""
    return dt.datetime.fromtimestamp(minutes * 60, UTC).astimezone(_zone(zone))


def start_of_day(zone: str, day: dt.date) -> dt.datetime:
    """The first moment of a day on the zone's clocks, also where midnight does not exist."""
    return dt.datetime.combine(day, dt.time(0), _zone(zone)).astimezone(UTC).astimezone(_zone(zone))


@lru_cache(maxsize=8192)
def wall_minute(zone: str, day: dt.date, minutes: int) -> int:
    """Epoch minutes of a wall-clock minute of a day (1440: its end); one that the clocks skip is the end of the gap."""
    if minutes < 1440:
        wall = dt.datetime.combine(day, dt.time(minutes // 60, minutes % 60))
        for skipped in range(0, 181, 15):
            moment = wall + dt.timedelta(minutes=skipped)
            found = instants_of(zone, moment.date(), moment.time())
            if found:
                return epoch_minutes(found[0])
    return epoch_minutes(start_of_day(zone, day + dt.timedelta(days=1)))


def offset_minutes(moment: dt.datetime) -> int:
    """The zone's offset from UTC at that moment, in minutes east."""
    offset = moment.utcoffset()
    return int(offset.total_seconds() // 60) if offset is not None else 0


def clocks_change_between(zone: str, first: dt.datetime, second: dt.datetime) -> bool:
    """Whether the zone's offset differs at the two moments."""
    return offset_minutes(in_zone(first, zone)) != offset_minutes(in_zone(second, zone))


@lru_cache(maxsize=8192)
def is_steady(zone: str, first: dt.date, last: dt.date) -> bool:
    """Whether the zone's clocks keep one offset from the start of the first day to the end of the last."""
    days = (first + dt.timedelta(days=day) for day in range((last - first).days + 2))
    return len({_offset_at(zone, day) for day in days}) == 1


@lru_cache(maxsize=65536)
def _offset_at(zone: str, day: dt.date) -> int:
    return offset_minutes(start_of_day(zone, day))
