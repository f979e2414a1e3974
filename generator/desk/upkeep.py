"""Upkeep: making what is up agree with the records again, and with files of the unit that have changed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from generator.desk.gate import review_findings
from generator.desk.given import begun_by, former_timetable, news, notice_of
from generator.desk.mending import made_again, mended
from generator.desk.objections import is_refused, missing_findings, permission_findings, protocol_findings
from generator.desk.publishing import Made, advance, publish, ready, take_down
from generator.desk.rendering import Desk, notice_booklet, replaced_by, timetable_of
from generator.desk.telling import telling
from generator.finding import Finding, warning
from generator.page.life import Life
from generator.plan.change import changes_between
from generator.records import MADE, PlanRecord


class Now(StrEnum):
    """How a plan made from today's files stands to the one that is up."""

    SAME = "same"
    WORDING = "wording"  # other words or looks, no other fact: reaches the phone silently
    CHANGED = "changed"  # a time, an amount or a sentence that can hurt: a new version, told by phone
    REFUSED = "refused"  # today's files allow no such plan


@dataclass(frozen=True, slots=True)
class Difference:
    """One plan that is up, and what today's files would make of it.

    Attributes:
        stopped: a signature, a clearance or a reviewed language is missing. That is the unit's to mend: the plan
            that was given was signed for, and nobody's is taken down for it.
    """

    record: PlanRecord
    now: Now
    findings: tuple[Finding, ...]
    stopped: bool = False


def repair(desk: Desk) -> tuple[tuple[PlanRecord, Made], ...]:
    """Finishes what a crash broke off: every page that is up is what the records say of it.

    Returns:
        Each booking that was not as it should be, with what was done.
    """
    outcomes = []
    for record in desk.records.every():
        made = mended(desk, record)
        if made is not None:
            outcomes.append((record, made))
    return tuple(outcomes)


def differences(desk: Desk) -> Iterator[Difference]:
    """What today's files would make of every page that is up; writes nothing.

    A plan whose day has passed, and a page in a plan's place, get other words or looks alone.
    """
    for record in desk.records.every():
        if not record.was_given or record.life == Life.FAREWELL:
            continue
        one = _difference(desk, record) if record.life == MADE else _notice_difference(desk, record)
        to_come = record.life == MADE and dt.datetime.fromisoformat(record.start) > desk.now
        if to_come or one.now in (Now.SAME, Now.WORDING):
            yield one


def _notice_difference(desk: Desk, record: PlanRecord) -> Difference:
    assert record.notice is not None, "a page that is no plan is a notice"
    booklet = notice_booklet(desk, record.notice, record.identity)
    return Difference(record, Now.SAME if booklet.digest == record.content else Now.WORDING, ())


def _difference(desk: Desk, record: PlanRecord) -> Difference:
    assert record.inputs is not None, "a plan that was given has inputs"
    found = permission_findings(desk, record.inputs.booking, given=True)
    if is_refused(found):
        stopped = not protocol_findings(desk, record.inputs.booking)
        return Difference(record, Now.REFUSED, tuple(found), stopped)
    made = made_again(desk, record)
    if made is None:
        return Difference(record, Now.REFUSED, ())
    booklet, timetable = made
    found += [*timetable.findings, *missing_findings(booklet, desk.wordings)]
    if is_refused(found):
        return Difference(record, Now.REFUSED, tuple(found))
    unreviewed = review_findings(desk, booklet.shown, given=True)
    if is_refused(unreviewed):
        return Difference(record, Now.REFUSED, (*found, *unreviewed), stopped=True)
    if booklet.digest == record.content:
        return Difference(record, Now.SAME, ())
    return Difference(record, Now.WORDING if booklet.facts == record.facts else Now.CHANGED, ())


def republish(desk: Desk, difference: Difference, role: str) -> Made:
    """Brings one plan up to today's files: silently where only words changed, else as a new version that is told.

    Where preparation may have begun, or today's files allow no plan, the page is held and a person decides.
    """
    record = difference.record
    if difference.stopped:
        return Made(None, difference.findings)
    if difference.now is Now.WORDING and record.notice is not None and record.life != MADE:
        return take_down(desk, record, record.notice, [], role, record.pending)
    if difference.now is Now.WORDING:
        made = made_again(desk, record)
        assert made is not None, "it was made a moment ago"
        assert record.inputs is not None, "a plan that was given has inputs"
        return publish(desk, [ready(desk, record, made[0], record.inputs.with_given(made[1]))])[0]
    if difference.now is Now.SAME:
        return Made(record.identity.link(desk.base_url), ())
    return _renewed(desk, record, list(difference.findings), role)


def _renewed(desk: Desk, record: PlanRecord, found: list[Finding], role: str) -> Made:
    assert record.inputs is not None, "a plan that was given has inputs"
    old = former_timetable(record)
    inputs = replace(record.inputs, replaces=None, given=None)
    planned = None if is_refused(found) or old is None else timetable_of(desk, inputs, desk.now)
    new = planned if planned and planned.steps else None
    changes = changes_between(old, new, desk.now) if old and new else ()
    told = news(new, changes) if new else []
    undecided = any(finding.decision and finding.kind not in inputs.settled for finding in told)
    if old is None or new is None or undecided or begun_by(old, desk.now):
        held = warning(
            "plan-held",
            record.ref,
            "The unit's files have changed this plan; its page says so, and to call.",
            "Phone the patient now (daybefore calls), then: daybefore release --ref …",
        )
        call = telling(desk, record, "files-changed-held", new, inputs.booking)
        notice = notice_of(desk, record, Life.HELD, old, new)
        return take_down(desk, record, notice, [held], role, pending=inputs, call=call)
    call = telling(desk, record, "files-changed", new, inputs.booking)
    replaces = replaced_by(desk, record, old)
    inputs = replace(inputs, replaces=replaces).with_given(new)
    return advance(desk, record, inputs, new, [], role, call)
