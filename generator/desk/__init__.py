"""The desk: the main path from a row of a booking list to a link, in plain calls."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from generator.clinic.booking import Booking
from generator.desk.decisions import undecided, with_decisions
from generator.desk.objections import (
    Desk,
    change_findings,
    food_findings,
    is_refused,
    languages_of,
    missing_findings,
    permission_findings,
    still_up_findings,
)
from generator.finding import Finding, refusal
from generator.intake import Reading, RowReading, read_list
from generator.materials.unit_folder import UnitFolder
from generator.page.booklet import Booklet, booklet_for
from generator.page.plan import Identity, Plan
from generator.plan.moments import in_zone
from generator.plan.timetable import Timetable
from generator.records import PlanRecord

__all__ = ["Desk", "Made", "make", "make_row", "read"]


@dataclass(frozen=True, slots=True)
class Made:
    """What came of a booking: its link when it was published, every finding either way."""

    link: str | None
    findings: tuple[Finding, ...]


def read(folder: UnitFolder, raw: bytes, file: str, now: dt.datetime) -> Reading:
    """What each row of a booking list means; writes nothing."""
    return read_list(raw, file, folder.unit, folder.regimens, now)


def make_row(desk: Desk, row: RowReading) -> Made:
    """Publishes the plan of one row, or says what stands against it, and what an earlier link still shows."""
    known = desk.records.find(row.ref) if row.ref else None
    if row.booking is None:
        return Made(None, tuple(still_up_findings(desk, known)))
    decisions = desk.records.decisions(row.ref, row.digest)
    made = make(desk, with_decisions(row.booking, decisions, desk.folder.stated), row.findings, decisions)
    return made if made.link else Made(None, (*made.findings, *still_up_findings(desk, known)))


def make(desk: Desk, booking: Booking, findings: tuple[Finding, ...], decisions: Mapping[str, str]) -> Made:
    """Publishes a booking's plan; doing it again changes nothing.

    Args:
        findings: what the reading of the booking found.
        decisions: kind of finding -> what a person chose.
    """
    known = desk.records.find(booking.ref)
    given = known is not None and known.was_given
    stops = permission_findings(desk, booking, given=given)
    if is_refused(stops):
        return Made(None, tuple(stops))
    protocol = desk.folder.protocols[booking.protocol]
    timetable = desk.cases.timetable(booking, planned_at(desk, known))
    told = {finding.kind for finding in findings}
    told |= {"closed-day"} if "weekend" in told else set()  # the same, as a list's reading says it
    found = [
        *stops,
        *(finding for finding in timetable.findings if finding.kind not in told),
        *food_findings(desk, timetable),
    ]
    open_ends = undecided(booking.ref, (*findings, *found), decisions, desk.folder, given=given)
    if is_refused(found) or open_ends:
        return Made(None, (*found, *open_ends))
    record = desk.records.open(booking.ref, booking.start, desk.now)
    booklet = booklet_for(plan_of(desk, booking, timetable, record.identity), desk.parts)
    found += missing_findings(booklet)
    if given:
        found += change_findings(record, booklet, timetable)
    if is_refused(found):
        return Made(None, tuple(found))
    return publish(desk, record, booklet, protocol.digest, found)


def planned_at(desk: Desk, known: PlanRecord | None) -> dt.datetime:
    """The moment a plan is reckoned from: when it was made. One already given is not unmade by time that passes."""
    if known is not None and known.was_given:
        return in_zone(known.identity.made, desk.folder.unit.zone)
    return desk.now.replace(microsecond=0)  # the records keep seconds


def publish(
    desk: Desk, record: PlanRecord, booklet: Booklet, protocol_digest: str, found: list[Finding]
) -> Made:
    """Records first, then the shelf, then the records again; a crash in between is mended by doing it again."""
    if not desk.records.publishing(
        record, facts=booklet.facts, content=booklet.digest, protocol_digest=protocol_digest
    ):
        found.append(
            refusal(
                "changed-meanwhile",
                record.ref,
                "Another command changed this plan meanwhile.",
                "Run this command again.",
            )
        )
        return Made(None, tuple(found))
    desk.shelf.put(record.identity.token, booklet)
    desk.records.published(record)
    return Made(f"{desk.base_url}p/{record.identity.token}/", tuple(found))


def plan_of(desk: Desk, booking: Booking, timetable: Timetable, identity: Identity) -> Plan:
    """All that the booklet is made from."""
    folder = desk.folder
    return Plan(
        unit=folder.unit,
        protocol=folder.regimens[booking.protocol],
        foods=folder.foods,
        booking=booking,
        timetable=timetable,
        identity=identity,
        base_url=desk.base_url,
        instructions=folder.stated.instructions,
        wordings=tuple(desk.wordings[tag] for tag in languages_of(folder.unit, booking)),
    )
