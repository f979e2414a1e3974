"""Parting: a booking that is cancelled, whose examination is over, or that nobody needs any more."""

from __future__ import annotations

import datetime as dt

from generator.desk.given import former_timetable, notice_of
from generator.desk.mending import in_step, mended
from generator.desk.moving import called_off, known_record
from generator.desk.objections import life_findings
from generator.desk.publishing import Made, take_down
from generator.desk.rendering import Desk, languages_of
from generator.finding import refusal
from generator.page.life import Life
from generator.plan.timetable import Timetable
from generator.records import PlanRecord, life, prepared
from generator.records.inputs import NoticeInputs


def cancel(desk: Desk, ref: str, role: str) -> Made:
    """Takes a plan down for good: the page says to take no more of the medicine, and to eat and drink again."""
    return called_off(desk, ref, Life.CANCELLED, role)


def end(desk: Desk, ref: str, role: str) -> Made:
    """Leaves after-care alone on the page, once the examination has begun; also where the plan was still held."""
    record = in_step(desk, ref)
    if record is not None and record.life == Life.ENDED:
        return Made(record.identity.link(desk.base_url), ())
    known = known_record(desk, ref)
    if isinstance(known, Made):
        return known
    if known.life == Life.CANCELLED:
        return Made(None, tuple(life_findings(known)))
    if min(_starts(known)) > desk.now:
        problem = "The examination of this booking has not begun."
        return Made(None, (refusal("not-yet", ref, problem, "Cancel it instead, or wait."),))
    old = former_timetable(known)
    return take_down(desk, known, notice_of(desk, known, Life.ENDED, old), [], role)


def expire(desk: Desk, role: str) -> tuple[tuple[PlanRecord, Made], ...]:
    """Says farewell on every page whose after-care is over, then forgets what the records say of those patients.

    What waited at the desk as long is forgotten too: nobody was given it.
    """
    outcomes = []
    for record in desk.records.every():
        if record.is_prepared and record.ref and _is_over(desk, record):
            prepared.withdraw(desk.records, record, desk.now, role)
            continue
        if record.life == Life.FAREWELL:
            # Said farewell by a command that broke off before it forgot.
            made = mended(desk, record) if record.ref else None
            outcomes += [(record, made)] if made else []
        elif record.was_given and _is_over(desk, record):
            outcomes.append((record, _expired(desk, record, role)))
    return tuple(outcomes)


def _expired(desk: Desk, record: PlanRecord, role: str) -> Made:
    assert record.inputs is not None, "a plan that was given has inputs until it is forgotten"
    languages = languages_of(desk.folder.unit, record.inputs.booking)
    notice = NoticeInputs(Life.FAREWELL, languages, desk.now)
    made = take_down(desk, record, notice, [], role)
    if made.link:
        life.forget(desk.records, record, desk.now)
    return made


def _is_over(desk: Desk, record: PlanRecord) -> bool:
    """Whether the longest after-care of the booking has passed: the unit's days, or a row's that are longer."""
    days = max(desk.folder.unit.aftercare_days, _watched(former_timetable(record)))
    return max(_starts(record)) + dt.timedelta(days=days) < desk.now


def _watched(timetable: Timetable | None) -> int:
    steps = timetable.steps if timetable else ()
    return max((step.amounts.get("days", 0) for step in steps if step.kind == "watch"), default=0)


def _starts(record: PlanRecord) -> list[dt.datetime]:
    """The start of the plan that was given, and of the one that waits for a release."""
    waits = [record.pending.booking.start] if record.pending else []
    return [dt.datetime.fromisoformat(record.start), *waits]
