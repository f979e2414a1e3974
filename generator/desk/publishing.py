"""Publishing: records first, then the shelf, then the records again; a crash in between is mended by `repair`.

One command at a time: what is written to the shelf is always what the records said last.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from generator.desk.objections import is_refused, missing_findings
from generator.desk.rendering import Desk, notice_booklet, plan_booklet
from generator.finding import Finding, refusal
from generator.page.booklet import Booklet
from generator.page.plan import Identity
from generator.plan.moments import in_zone
from generator.plan.timetable import Timetable
from generator.records import PlanRecord, life
from generator.records.calls import Telling
from generator.records.inputs import Inputs, NoticeInputs
from generator.records.life import Publication


@dataclass(frozen=True, slots=True)
class Made:
    """What came of a booking: its link when something is up there by this command, every finding either way."""

    link: str | None
    findings: tuple[Finding, ...]

    @property
    def was_changed(self) -> bool:
        """Whether the command did what it was asked for."""
        return self.link is not None


def changed_meanwhile(ref: str) -> Finding:
    """Another command was quicker."""
    return refusal(
        "changed-meanwhile", ref, "Another command changed this plan meanwhile.", "Run this command again."
    )


def publish(
    desk: Desk,
    record: PlanRecord,
    booklet: Booklet,
    protocol_digest: str,
    inputs: Inputs,
    found: list[Finding],
) -> Made:
    """Puts up a first version, or another edition of the present one."""
    with desk.shelf.turn():
        done = desk.records.publishing(
            record,
            facts=booklet.facts,
            content=booklet.digest,
            protocol_digest=protocol_digest,
            inputs=inputs,
            now=desk.now,
        )
        return _put(desk, record, booklet, found) if done else _refused(record, found)


def advance(
    desk: Desk,
    record: PlanRecord,
    inputs: Inputs,
    timetable: Timetable,
    found: list[Finding],
    role: str,
    call: Telling | None,
) -> Made:
    """Puts up the booking's next version, with a code of its own; nothing is changed where a word is missing."""
    made = in_zone(desk.now, desk.folder.unit.zone)
    old = record.identity
    identity = Identity(
        old.token, life.free_code(desk.records, record), old.version + 1, old.call_number, made
    )
    booklet = plan_booklet(desk, inputs, identity, timetable)
    found = [*found, *missing_findings(booklet)]
    if is_refused(found):
        return Made(None, tuple(found))
    protocol = desk.folder.protocols[inputs.booking.protocol]
    what = Publication(booklet.facts, booklet.digest, protocol.digest, inputs)
    with desk.shelf.turn():
        if not life.advanced(desk.records, record, identity.code, made, what, role, call):
            return _refused(record, found)
        return _put(desk, replace(record, identity=identity), booklet, found)


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
        if not life.replaced(desk.records, record, notice, booklet.digest, role, pending, call):
            return _refused(record, found)
        return _put(desk, record, booklet, found)


def _put(desk: Desk, record: PlanRecord, booklet: Booklet, found: list[Finding]) -> Made:
    desk.shelf.put(record.identity.token, booklet)
    desk.records.published(record, booklet.digest)
    return Made(record.identity.link(desk.base_url), tuple(found))


def _refused(record: PlanRecord, found: list[Finding]) -> Made:
    return Made(None, (*found, changed_meanwhile(record.ref)))
