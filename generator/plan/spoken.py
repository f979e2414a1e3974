"""Spoken: durations and moments of a protocol in English, for staff."""

from __future__ import annotations

from functools import lru_cache

from generator.clinic.rows import Anchor, WallClock

POINT_NAMES = {"procedure": "the procedure", "arrival": "arriving", "leaving": "leaving home"}


@lru_cache(maxsize=1024)
def hours(minutes: int) -> str:
    """A duration for staff: "5 h", "45 min", "1 h 30 min"."""
    whole, rest = divmod(abs(minutes), 60)
    parts = ([f"{whole} h"] if whole else []) + ([f"{rest} min"] if rest or not whole else [])
    return " ".join(parts)


@lru_cache(maxsize=1024)
def spoken(anchor: Anchor) -> str:
    """An anchor for staff: "18:00 the day before", "5 h before the procedure"."""
    if isinstance(anchor, WallClock):
        return f"{anchor.at:%H:%M} {spoken_day(anchor.day)}"
    point = POINT_NAMES.get(anchor.point, f"“{anchor.point}”")
    if anchor.minutes == 0:
        return point
    return f"{hours(anchor.minutes)} {'before' if anchor.minutes > 0 else 'after'} {point}"


def spoken_day(day: int) -> str:
    """A day counted from the procedure's: "the day before", "2 days before"."""
    if day == 0:
        return "on the day"
    return {-1: "the day before", 1: "the day after"}.get(
        day, f"{abs(day)} days {'before' if day < 0 else 'after'}"
    )
