"""When a telephone line answers, in words for staff."""

from __future__ import annotations

from generator.clinic.listing import WEEKDAYS
from generator.clinic.unit import Line, OpenHours

_ALL_WEEK = (frozenset(range(7)), 0, 1440)


def hours_text(line: Line) -> str:
    """ "mon-fri 08:00-17:00, not on closed days" """
    always = any((hours.weekdays, hours.since, hours.until) == _ALL_WEEK for hours in line.hours)
    open_hours = "day and night" if always else ", ".join(_stretch(hours) for hours in line.hours)
    return f"{open_hours}, {'on closed days too' if line.on_closed_days else 'not on closed days'}"


def _stretch(hours: OpenHours) -> str:
    days = sorted(hours.weekdays)
    named = WEEKDAYS[days[0]] + (f"-{WEEKDAYS[days[-1]]}" if len(days) > 1 else "")
    return f"{named} {_clock(hours.since)}-{_clock(hours.until)}"


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02}:{minutes % 60:02}"
