"""Errands: what needs somebody who keeps opening days: fetching, ringing, confirming. They come before closed days."""

from __future__ import annotations

import datetime as dt

from generator.clinic.rows import ERRAND_KINDS
from generator.clinic.unit import Unit
from generator.plan.moments import from_epoch_minutes, minutes_between, wall_minute
from generator.plan.timetable import Reason, Step

_FURTHEST = 30  # days; a unit closed for longer than that has other worries than this row


def on_working_days(steps: tuple[Step, ...], unit: Unit) -> tuple[Step, ...]:
    """The steps, each errand that falls on a closed day moved to the last working day before it, same wall clock."""
    if all(unit.works_on(step.start.date()) for step in steps if step.kind in ERRAND_KINDS):
        return steps
    return tuple(_moved(step, unit) if step.kind in ERRAND_KINDS else step for step in steps)


def _moved(step: Step, unit: Unit) -> Step:
    planned = step.start.date()
    days = (planned - dt.timedelta(days=back) for back in range(_FURTHEST))
    day = next((day for day in days if unit.works_on(day)), planned)
    if day == planned:
        return step
    minute = wall_minute(unit.zone, day, step.start.hour * 60 + step.start.minute)
    start = from_epoch_minutes(minute, unit.zone)
    length = minutes_between(step.start, step.end) if step.end else None
    told = (
        f"“{step.id}” was due on {planned:%A %-d %B}, which is closed; this is the last working day before it"
    )
    return step._replace(
        start=start,
        end=None if length is None else from_epoch_minutes(minute + length, unit.zone),
        leeway=None,
        because=(*step.because, Reason(told, "the unit's working days and closed days", True)),
    )
