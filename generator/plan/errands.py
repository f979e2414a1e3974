"""Errands: what needs somebody who keeps opening days: fetching, ringing, confirming. They come before closed days."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

from generator.clinic.rows import ERRAND_KINDS
from generator.clinic.unit import Unit
from generator.plan.moments import epoch_minutes, from_epoch_minutes, minutes_between, wall_minute
from generator.plan.timetable import Reason, Step

_FURTHEST = 30  # days; a unit closed for longer than that has other worries than this row


def on_working_days(steps: tuple[Step, ...], unit: Unit, procedure: dt.datetime) -> tuple[Step, ...]:
    """The steps, each errand that falls on a closed day moved to a working day, same wall clock.

    To the last one before it; an errand after the procedure, to the first one behind it.
    """
    if all(unit.works_on(step.start.date()) for step in steps if step.kind in ERRAND_KINDS):
        return steps
    return tuple([_moved(step, unit, procedure) if step.kind in ERRAND_KINDS else step for step in steps])


def _moved(step: Step, unit: Unit, procedure: dt.datetime) -> Step:
    towards = 1 if step.start > procedure else -1
    found = _working_time(step.id, step.start, towards, unit.zone, unit.working_days, unit.closed_days)
    if found is None:
        return step
    start, told = found
    length = minutes_between(step.start, step.end) if step.end else None
    end = None if length is None else from_epoch_minutes(epoch_minutes(start) + length, unit.zone)
    return step._replace(start=start, end=end, leeway=None, because=(*step.because, told))


@lru_cache(maxsize=1024)  # many bookings of a day have the same errand at the same time
def _working_time(
    step: str,
    planned: dt.datetime,
    towards: int,
    zone: str,
    working: frozenset[int],
    closed: frozenset[dt.date],
) -> tuple[dt.datetime, Reason] | None:
    """The same wall clock on the nearest working day from the planned one on, and why; None: it is that day.

    Args:
        towards: 1 for later days, -1 for earlier ones.
    """
    days = (planned.date() + towards * dt.timedelta(days=by) for by in range(_FURTHEST))
    day = next((day for day in days if day.weekday() in working and day not in closed), planned.date())
    if day == planned.date():
        return None
    nearest = "the first working day after it" if towards > 0 else "the last working day before it"
    told = f"“{step}” was due on {planned:%A %-d %B}, which is closed; this is {nearest}"
    start = from_epoch_minutes(wall_minute(zone, day, planned.hour * 60 + planned.minute), zone)
    return start, Reason(told, "the unit's working days and closed days", True)
