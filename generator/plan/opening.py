"""Which line answers when: opening hours worked out to moments, so that the phone only has to look them up."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from generator.clinic.unit import Line, Unit
from generator.plan.moments import wall_minute


@dataclass(frozen=True, slots=True)
class Call:
    """From `since` to `until` (epoch minutes) the unit's call line number `line` answers."""

    since: int
    until: int
    line: int


def calls_for(unit: Unit, first: dt.date, last: dt.date) -> tuple[Call, ...]:
    """Every stretch of time from the first day to the last in which a line answers; earlier lines come first."""
    calls = []
    for number, line in enumerate(unit.call_lines):
        merged: list[Call] = []
        for offset in range((last - first).days + 1):
            for since, until in _hours_on(line, unit, first + dt.timedelta(days=offset)):
                if merged and merged[-1].until >= since:
                    merged[-1] = Call(merged[-1].since, max(until, merged[-1].until), number)
                else:
                    merged.append(Call(since, until, number))
        calls += merged
    return tuple(calls)


def _hours_on(line: Line, unit: Unit, day: dt.date) -> list[tuple[int, int]]:
    if day in unit.closed_days and not line.on_closed_days:
        return []
    return sorted(
        (wall_minute(unit.zone, day, hours.since), wall_minute(unit.zone, day, hours.until))
        for hours in line.hours
        if day.weekday() in hours.weekdays
    )
