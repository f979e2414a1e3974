"""The desk: the main path from a row of a booking list to a link, in plain calls."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace

from generator.clinic.booking import Booking
from generator.clinic.unit import Unit
from generator.finding import Finding, Severity, note, refusal
from generator.intake import Reading, RowReading, read_list
from generator.materials.unit_folder import UnitFolder
from generator.page.booklet import Booklet, Parts, booklet_for
from generator.page.plan import Identity, Plan
from generator.page.step_words import TITLES
from generator.plan.planning import timetable_for
from generator.plan.timetable import Timetable
from generator.records import PlanRecord, Records
from generator.shelves import Shelf
from generator.words.wording import Wording

CALL_FIRST = "call-first"
INSTRUCTION_KIND = "needs-unit-instruction"


@dataclass(frozen=True, slots=True)
class Desk:
    """What the desk works with. `now` is the moment of this run; nothing here reads a clock."""

    folder: UnitFolder
    wordings: Mapping[str, Wording]
    parts: Parts
    records: Records
    shelf: Shelf
    base_url: str
    now: dt.datetime


@dataclass(frozen=True, slots=True)
class Made:
    """What came of a booking: its link when it was published, every finding either way."""

    link: str | None
    findings: tuple[Finding, ...]


def read(desk_folder: UnitFolder, raw: bytes, file: str, now: dt.datetime) -> Reading:
    """What each row of a booking list means; writes nothing."""
    return read_list(raw, file, desk_folder.unit, desk_folder.regimens, now)


def questions(folder: UnitFolder, row: RowReading, now: dt.datetime) -> tuple[str, ...]:
    """The kinds of finding about which a person must decide before this row's plan is built."""
    findings = list(row.findings)
    if row.booking is not None:
        protocol = folder.regimens[row.booking.protocol]
        findings += timetable_for(row.booking, protocol, folder.unit, now).findings
    return tuple(dict.fromkeys(finding.kind for finding in findings if finding.decision))


def make_row(desk: Desk, row: RowReading) -> Made:
    """Publishes the plan of one row, or says what stands against it."""
    booking = row.booking
    if booking is None:
        return Made(None, ())
    decisions = desk.records.decisions(row.ref, row.digest)
    return make(desk, with_decisions(booking, decisions), row.findings, decisions)


def make(desk: Desk, booking: Booking, findings: tuple[Finding, ...], decisions: Mapping[str, str]) -> Made:
    """Publishes a booking's plan; doing it again changes nothing.

    Args:
        findings: what the reading of the booking found.
        decisions: kind of finding -> what a person chose.
    """
    stops = permission_findings(desk, booking)
    if _refused(stops):
        return Made(None, tuple(stops))
    protocol = desk.folder.protocols[booking.protocol]
    timetable = timetable_for(booking, protocol.protocol, desk.folder.unit, desk.now)
    told = {finding.kind for finding in findings}
    found = [
        *stops,
        *(finding for finding in timetable.findings if finding.kind not in told),
        *wordless_findings(timetable),
    ]
    known = desk.records.find(booking.ref)
    published = known is not None and known.facts is not None
    open_ends = undecided(booking.ref, (*findings, *found), decisions)
    # A published plan is not unmade because its own time passes; what changed is told below.
    if published:
        found = [finding for finding in found if finding.kind not in ("past", "short-notice")]
        timetable = timetable_for(booking, protocol.protocol, desk.folder.unit, None)
    elif open_ends:
        return Made(None, (*found, *open_ends))
    if _refused(found):
        return Made(None, tuple(found))
    record = desk.records.open(booking.ref, booking.start, desk.now)
    booklet = booklet_for(plan_of(desk, booking, timetable, record.identity), desk.parts)
    found += change_findings(record, booklet, timetable)
    if _refused(found):
        return Made(None, tuple(found))
    return publish(desk, record, booklet, protocol.digest, found)


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


def with_decisions(booking: Booking, decisions: Mapping[str, str]) -> Booking:
    """The booking with the lines that a nurse chose."""
    chosen = tuple(
        kind.split(":", 1)[1]
        for kind, choice in decisions.items()
        if choice == CALL_FIRST and kind.startswith(f"{INSTRUCTION_KIND}:")
    )
    return replace(booking, call_first=chosen)


def permission_findings(desk: Desk, booking: Booking) -> list[Finding]:
    """What forbids a plan whatever its times: no signature, nobody who cleared the patient, a language not whole."""
    today = desk.now.date()
    findings = desk.folder.signature_findings(booking.protocol, today)
    unit = desk.folder.unit
    assessed = unit.assessed is not None and today <= unit.assessed.until
    if not unit.demonstration and booking.cleared is None and not assessed:
        findings.append(
            refusal(
                "not-cleared",
                booking.ref,
                "Nobody has recorded that this patient may take this medicine.",
                "Have a nurse or doctor clear the booking.",
            )
        )
    return findings + [
        finding for tag in languages_of(unit, booking) for finding in _language_findings(desk, tag)
    ]


def languages_of(unit: Unit, booking: Booking) -> tuple[str, ...]:
    """The booklet's languages: the patient's first, and the unit's own, so that staff can read along."""
    return tuple(dict.fromkeys((*booking.languages, unit.languages[0])))


def _language_findings(desk: Desk, tag: str) -> list[Finding]:
    wording, unit = desk.wordings.get(tag), desk.folder.unit
    if wording is None or tag not in unit.languages:
        return [
            refusal(
                "language-missing",
                tag,
                f"There is no plan in the language “{tag}”.",
                "Arrange an interpreter, or state another language the patient reads.",
            )
        ]
    if wording.draft and not unit.demonstration:
        return [
            refusal(
                "language-not-reviewed",
                tag,
                f"The words in “{tag}” are a draft nobody has reviewed.",
                "Have them reviewed; only a demonstration unit may use drafts.",
            )
        ]
    return []


def wordless_findings(timetable: Timetable) -> list[Finding]:
    """Steps of a kind that the page has no words for."""
    return [
        refusal(
            "step-without-words",
            step.id,
            f"The page has no words for steps of the kind “{step.kind}”.",
            "Take the row out of the protocol.",
        )
        for step in timetable.steps
        if step.kind not in TITLES or step.diet == "usual"
    ]


def undecided(ref: str, findings: tuple[Finding, ...], decisions: Mapping[str, str]) -> list[Finding]:
    """A note for each kind of finding that waits for a person's decision."""
    kinds = dict.fromkeys(finding.kind for finding in findings if finding.decision)
    return [
        note(
            "decision-needed",
            kind,
            f"No plan was built: “{kind}” needs a decision.",
            f"Decide, then record it: daybefore decide … --ref {ref} --kind {kind} --role nurse --choice go-ahead",
        )
        for kind in kinds
        if kind not in decisions
    ]


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
        wordings=tuple(desk.wordings[tag] for tag in languages_of(folder.unit, booking)),
    )


def change_findings(record: PlanRecord, booklet: Booklet, timetable: Timetable) -> list[Finding]:
    """A sentence that is missing, or a plan already given that would say something else."""
    findings = [
        refusal(
            "language-missing",
            tag,
            f"In “{tag}” {len(ids)} sentences are missing, first {ids[0]}.",
            "Arrange an interpreter, and have the translation completed.",
        )
        for tag, ids in booklet.missing.items()
    ]
    if record.facts is not None and record.facts != booklet.facts:
        moved = "Its procedure moved. " if record.start != timetable.procedure.isoformat() else ""
        findings.append(
            refusal(
                "plan-changed",
                record.ref,
                f"The plan already given says something else. {moved}The link still shows plan {record.identity.code}.",
                "Phone the patient. Restore the booking, protocol or words, or give the booking a new reference.",
            )
        )
    return findings


def _refused(findings: list[Finding]) -> bool:
    return any(finding.severity is Severity.REFUSE for finding in findings)
