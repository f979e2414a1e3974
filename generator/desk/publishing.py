"""Publishing: records first, then the shelf, then the records again; a crash in between is mended by `repair`.

One command at a time: what is written to the shelf is always what the records said last.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from generator.desk.objections import is_refused, wording_findings
from generator.desk.rendering import Desk, notice_booklet, plan_booklet
from generator.finding import Finding, refusal, warning
from generator.page.booklet import Booklet
from generator.page.plan import Identity
from generator.plan.moments import in_zone
from generator.plan.timetable import Timetable
from generator.records import PlanRecord, life
from generator.records.calls import Telling
from generator.records.inputs import Inputs, NoticeInputs, Publication


@dataclass(frozen=True, slots=True)
class Made:
    """What came of a booking: its link when something is up there by this command, every finding either way.

    Attributes:
        copies: where copies in one file each were put, if they were asked for.
    """

    link: str | None
    findings: tuple[Finding, ...]
    copies: tuple[str, ...] = ()

    @property
    def was_changed(self) -> bool:
        """Whether the command did what it was asked for."""
        return self.link is not None


def changed_meanwhile(ref: str) -> Finding:
    """Another command was quicker."""
    return refusal(
        "changed-meanwhile", ref, "Another command changed this plan meanwhile.", "Run this command again."
    )


@dataclass(frozen=True, slots=True)
class Ready:
    """A first version of a plan, or another edition of the present one, that nothing stands against any more."""

    record: PlanRecord
    booklet: Booklet
    what: Publication
    found: tuple[Finding, ...] = ()


def ready(
    desk: Desk, record: PlanRecord, booklet: Booklet, inputs: Inputs, found: Iterable[Finding] = ()
) -> Ready:
    """A plan from the unit's files as they are now, ready to be put up."""
    return Ready(record, booklet, _publication(desk, booklet, inputs), tuple(found))


def publish(desk: Desk, plans: Sequence[Ready]) -> list[Made]:
    """Puts plans up, all of them in one turn: the disk is waited for as often as for one."""
    if not plans:
        return []
    with desk.shelf.turn():
        as_seen = desk.records.publishing([(one.record, one.what) for one in plans], desk.now)
        begun = [one for one, is_so in zip(plans, as_seen, strict=True) if is_so]
        put = put_up(desk, [(one.record, one.booklet) for one in begun])
        desk.records.published([(one.record, one.booklet.digest) for one in begun])
    made = (_made(desk, one.record, one.found, up) for one, up in zip(begun, put, strict=True))
    return [
        next(made) if is_so else _refused(one.record, one.found)
        for one, is_so in zip(plans, as_seen, strict=True)
    ]


def _publication(desk: Desk, booklet: Booklet, inputs: Inputs) -> Publication:
    protocol = desk.folder.protocols[inputs.booking.protocol]
    return Publication(booklet.facts, booklet.digest, protocol.digest, inputs)


def advance(
    desk: Desk,
    record: PlanRecord,
    inputs: Inputs,
    timetable: Timetable,
    found: list[Finding],
    role: str,
    call: Telling,
) -> Made:
    """Puts up the booking's next version, with a code of its own; nothing is changed where a word is missing."""
    made = in_zone(desk.now, desk.folder.unit.zone)
    old = record.identity
    identity = Identity(
        old.token, life.free_code(desk.records, record), old.version + 1, old.call_number, made
    )
    booklet = plan_booklet(desk, inputs, identity, timetable)
    found = [*found, *wording_findings(desk, booklet, given=False)]
    if is_refused(found):
        return Made(None, tuple(found))
    what = _publication(desk, booklet, inputs)
    with desk.shelf.turn():
        if not life.advanced(desk.records, record, identity.code, made, what, role, call):
            return _refused(record, found)
        return _put(desk, replace(record, identity=identity), booklet, found)


def restate(
    desk: Desk,
    record: PlanRecord,
    booklet: Booklet,
    inputs: Inputs,
    found: list[Finding],
    role: str,
    why: str,
) -> Made:
    """Records that a version is made from other inputs, and puts up what little changed by it."""
    what = _publication(desk, booklet, inputs)
    with desk.shelf.turn():
        if not life.restated(desk.records, record, what, desk.now, role, why):
            return _refused(record, found)
        return _put(desk, record, booklet, found)


def take_down(
    desk: Desk,
    record: PlanRecord,
    notice: NoticeInputs,
    found: list[Finding],
    role: str,
    pending: Inputs | None = None,
    call: Telling | None = None,
) -> Made:
    """Puts a notice in the plan's place. Nothing but another command's change can refuse it."""
    booklet = notice_booklet(desk, notice, record.identity)
    with desk.shelf.turn():
        if not life.replaced(desk.records, record, notice, booklet.digest, role, desk.now, pending, call):
            return _refused(record, found)
        return _put(desk, record, booklet, found)


def _put(desk: Desk, record: PlanRecord, booklet: Booklet, found: list[Finding]) -> Made:
    [put] = put_up(desk, [(record, booklet)])
    desk.records.published([(record, booklet.digest)])
    return _made(desk, record, found, put)


@dataclass(frozen=True, slots=True)
class PutUp:
    """Where the copies of a plan are that were asked for, and a warning if older ones may have been given out."""

    copies: tuple[str, ...]
    told: tuple[Finding, ...]


def put_up(desk: Desk, plans: Sequence[tuple[PlanRecord, Booklet]]) -> list[PutUp]:
    """Puts booklets up. Copies of what was there are taken away first: none outlives its plan."""
    stale = [_is_copied(desk, record) and not _is_up(desk, record, booklet) for record, booklet in plans]
    for (record, _), is_stale in zip(plans, stale, strict=True):
        if is_stale:
            desk.shelf.put_copies(record.identity.call_number, {})
    desk.shelf.put_all({record.identity.token: booklet for record, booklet in plans})
    return [
        PutUp(
            desk.shelf.put_copies(record.identity.call_number, booklet.copies) if booklet.copies else (),
            (_copies_outdated(record),) if is_stale else (),
        )
        for (record, booklet), is_stale in zip(plans, stale, strict=True)
    ]


def _is_copied(desk: Desk, record: PlanRecord) -> bool:
    return desk.shelf.has_copies(record.identity.call_number)


def _is_up(desk: Desk, record: PlanRecord, booklet: Booklet) -> bool:
    return desk.shelf.content(record.identity.token) == booklet.digest


def _copies_outdated(record: PlanRecord) -> Finding:
    return warning(
        "copies-outdated",
        record.ref,
        "Copies in one file were made of the earlier plan. They are removed here; one that was given out still "
        "shows it.",
        "Have the patient throw such a file away, and what was printed from it.",
    )


def _made(desk: Desk, record: PlanRecord, found: Iterable[Finding], put: PutUp) -> Made:
    return Made(record.identity.link(desk.base_url), (*found, *put.told), put.copies)


def _refused(record: PlanRecord, found: Iterable[Finding]) -> Made:
    return Made(None, (*found, changed_meanwhile(record.ref)))
