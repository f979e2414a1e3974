"""Due: which text message a booking waits for, by what was given over of it already.

A message is due from its day on, until something of the plan was given over that day or later; so nobody is reminded
of a link that they got this morning, and no message is offered twice.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from generator.clinic.unit import Unit
from generator.page.life import Life
from generator.page.message_text import Kind
from generator.plan.moments import in_zone
from generator.records import MADE, PlanRecord
from generator.records.handed import CALL, Handed

_REMINDERS = ((1, Kind.DAY_BEFORE), (2, Kind.TWO_DAYS), (6, Kind.SIX_DAYS))  # days before the examination
_AT_MOST_CLOSED = 14  # days; no unit is closed for longer without anybody at the desk


def due_kind(record: PlanRecord, given: Sequence[Handed], unit: Unit, now: dt.datetime) -> Kind | None:
    """The message that a booking waits for at this moment, or None.

    Args:
        given: what was given over of the booking, oldest first.
    """
    if record.state != "published" or record.inputs is None or _start_of(record) <= now:
        return None
    if record.life in (Life.HELD, Life.CANCELLED):
        return None if _is_told(record, given) else Kind(record.life)
    if record.life != MADE:
        return None
    kind = kind_of_plan(record.identity.version, dt.datetime.fromisoformat(record.start), given, unit, now)
    return changed_kind(record) if kind is Kind.CHANGED else kind


def kind_of_plan(
    version: int, start: dt.datetime, given: Sequence[Handed], unit: Unit, now: dt.datetime
) -> Kind | None:
    """The same for a plan that is up, by what a list of bookings tells; CHANGED stands for MOVED too."""
    links = [one for one in given if one.kind != CALL]
    if start <= now:
        return None
    if not links:
        return Kind.FIRST
    if version not in {one.version for one in given}:
        return Kind.CHANGED
    of_plan = [one for one in links if one.version == version]
    return _reminder(in_zone(start, unit.zone).date(), of_plan, unit, now)


def changed_kind(record: PlanRecord) -> Kind:
    """What to say of a plan that takes an earlier one's place."""
    assert record.inputs is not None, "a plan that holds has inputs"
    replaces = record.inputs.replaces
    moved = replaces is not None and replaces.start != record.inputs.booking.start
    return Kind.MOVED if moved else Kind.CHANGED


def _start_of(record: PlanRecord) -> dt.datetime:
    """The last start that anybody may have in mind: of the plan that was given, or of the one that waits."""
    waits = [record.pending.booking.start] if record.pending else []
    return max([dt.datetime.fromisoformat(record.start), *waits])


def _is_told(record: PlanRecord, given: Sequence[Handed]) -> bool:
    """Whether it was said, by text or by phone, after the plan was taken down."""
    if record.notice is None:
        return False
    since = record.notice.made
    return any(one.at >= since and one.kind in (CALL, record.life) for one in given)


def _reminder(start: dt.date, of_plan: Sequence[Handed], unit: Unit, now: dt.datetime) -> Kind | None:
    last = last_day_served(unit, now.date())
    for days, kind in _REMINDERS:
        day = start - dt.timedelta(days=days)
        if day <= last:
            done = any(one.kind == kind or in_zone(one.at, unit.zone).date() >= day for one in of_plan)
            return None if done else kind
    return None


def last_day_served(unit: Unit, today: dt.date) -> dt.date:
    """Until which day today's messages reach: over the days after it on which nobody is at the desk."""
    last = today
    for _ in range(_AT_MOST_CLOSED):
        if unit.is_open_on(last + dt.timedelta(days=1)):
            break
        last += dt.timedelta(days=1)
    return last
