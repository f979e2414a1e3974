"""Handing over: the text messages and printed sheets of bookings, and the record that they were given over.

Their words pass the same gate as those of the pages: in a real unit nothing that nobody has reviewed is sent.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from generator.desk.due import changed_kind, due_kind, kind_of_plan
from generator.desk.gate import review_findings
from generator.desk.given import former_timetable
from generator.desk.objections import is_refused
from generator.desk.rendering import Desk
from generator.finding import Finding, refusal
from generator.page.handout import Handout, SheetView, handout_page, sheet_view
from generator.page.life import Life, source_wording
from generator.page.message_text import Kind, TextMessage, text_message
from generator.records import MADE, PlanRecord, finding
from generator.records.handed import Handed, handed, record_handed
from generator.words.cells import guarded
from generator.words.message import SOURCE_TAG
from generator.words.speaker import Speaker

HANDOUT = "handout"  # the kind under which a printed sheet is recorded
CSV_COLUMNS = ("reference", "language", "kind", "text", "link", "parts")


@dataclass(frozen=True, slots=True)
class Prepared:
    """A text message ready to be sent, or what stands against it.

    Attributes:
        text: None where a finding refuses it.
        english: the same in English, for the staff; "" where it is in English.
        given: what was given over of the booking before, oldest first.
    """

    record: PlanRecord
    kind: Kind
    link: str
    text: TextMessage | None
    findings: tuple[Finding, ...]
    given: tuple[Handed, ...]
    english: str = ""


@dataclass(frozen=True, slots=True)
class PrintJob:
    """Sheets to be printed.

    Attributes:
        page: one document with a sheet for each of `records`, in their order.
        findings: of the bookings of which there is no sheet.
    """

    page: bytes
    records: tuple[PlanRecord, ...]
    findings: tuple[Finding, ...] = field(default=())


def due_messages(desk: Desk) -> list[Prepared]:
    """The messages due now, those first whose examination is soonest."""
    given, unit, now = handed(desk.records), desk.folder.unit, desk.now
    waiting = [
        one.id
        for one in finding.upcoming(desk.records, now.date())
        if one.life != MADE or kind_of_plan(one.version, one.start, given.get(one.id, ()), unit, now)
    ]
    found = []
    for record in finding.by_ids(desk.records, waiting):
        before = given.get(record.id, ())
        kind = due_kind(record, before, unit, now)
        if kind is not None:
            found.append(_prepared(desk, record, kind, before))
    return found


def due_message(desk: Desk, record: PlanRecord) -> Prepared | None:
    """The message that one booking waits for, or None."""
    given = handed(desk.records, record.id).get(record.id, ())
    kind = due_kind(record, given, desk.folder.unit, desk.now)
    return _prepared(desk, record, kind, given) if kind else None


def messages_of(desk: Desk, record: PlanRecord) -> list[Prepared]:
    """Every message that makes sense for a booking as it stands, the one that is due first."""
    given = handed(desk.records, record.id).get(record.id, ())
    due = due_kind(record, given, desk.folder.unit, desk.now)
    kinds = sorted(_possible(record), key=lambda kind: kind is not due)
    return [_prepared(desk, record, kind, given) for kind in kinds]


def messages_csv(messages: Iterable[Prepared], *, bom: bool) -> bytes:
    """The messages as a file for the unit's own texting or letter merge: UTF-8, lines as RFC 4180 has them.

    A cell that a spreadsheet would take for a formula gets an apostrophe before it.

    Args:
        bom: begin with a byte order mark, by which some spreadsheets know UTF-8.
    """
    out = io.StringIO()
    lines = csv.writer(out)
    lines.writerow(CSV_COLUMNS)
    for one in messages:
        if one.text is not None:
            cells = (
                one.record.ref,
                one.text.lang,
                one.kind,
                one.text.text,
                one.link,
                str(one.text.parts.count),
            )
            lines.writerow(guarded(cell) for cell in cells)
    return out.getvalue().encode("utf-8-sig" if bom else "utf-8")


def _possible(record: PlanRecord) -> tuple[Kind, ...]:
    if record.inputs is None or record.state != "published":
        return ()
    if record.life != MADE:
        return (Kind(record.life),) if record.life in (Life.HELD, Life.CANCELLED) else ()
    changed = (changed_kind(record),) if record.identity.version > 1 else ()
    return (Kind.FIRST, *changed, Kind.SIX_DAYS, Kind.TWO_DAYS, Kind.DAY_BEFORE)


def _prepared(desk: Desk, record: PlanRecord, kind: Kind, given: Sequence[Handed]) -> Prepared:
    assert record.inputs is not None, "a booking that waits for a message has inputs"
    replaces = record.inputs.replaces if record.life == MADE else record.notice and record.notice.replaces
    speaker = _speaker(desk, record.inputs.booking.languages[0])
    code = replaces.code if replaces else ""

    def said(speaker: Speaker) -> TextMessage:
        return text_message(kind, desk.folder.unit, record.identity, desk.base_url, speaker, code)

    text, findings = said(speaker), word_findings(desk, record.ref, (speaker,))
    if record.life != MADE and is_refused(findings):
        # As on the page in the plan's place: what must be told is told in English where it cannot be in the language.
        speaker = Speaker(desk.wordings.get(SOURCE_TAG, source_wording()))
        text, findings = said(speaker), word_findings(desk, record.ref, (speaker,))
    link = record.identity.link(desk.base_url)
    english = "" if text.lang == SOURCE_TAG else said(Speaker(source_wording())).text
    told = None if is_refused(findings) else text
    return Prepared(record, kind, link, told, tuple(findings), tuple(given), english)


def _speaker(desk: Desk, tag: str) -> Speaker:
    """In a language that is gone since the plan was given, nothing can be said: all of it is missing."""
    return Speaker(desk.wordings.get(tag) or replace(source_wording(), tag=tag))


def word_findings(desk: Desk, ref: str, speakers: Iterable[Speaker]) -> list[Finding]:
    """What stands against words that were said: a language that lacks them, or nobody who reviewed them."""
    speakers = tuple(speakers)
    lacking = [speaker for speaker in speakers if speaker.missing]
    if lacking:
        return [_missing(ref, speaker) for speaker in lacking]
    shown = {speaker.wording.tag: tuple(speaker.shown.values()) for speaker in speakers}
    return review_findings(desk, shown, given=True)


def _missing(ref: str, speaker: Speaker) -> Finding:
    tag, ids = speaker.wording.tag, sorted(speaker.missing)
    return refusal(
        "language-missing",
        ref,
        f"In “{tag}” {len(ids)} of these sentences are missing, first {ids[0]}.",
        f"Phone the patient with an interpreter, and have the translation completed: daybefore language check {tag}",
    )


def handouts(desk: Desk, records: Sequence[PlanRecord]) -> PrintJob:
    """The sheets of some bookings in one print job, in this order; a booking without a plan that holds has none."""
    sheets: list[SheetView] = []
    printed: list[PlanRecord] = []
    findings: list[Finding] = []
    for record in records:
        made = _sheet(desk, record)
        if isinstance(made, SheetView):
            sheets.append(made)
            printed.append(record)
        else:
            findings += made
    return PrintJob(handout_page(sheets, desk.parts.templates), tuple(printed), tuple(findings))


def records_of_day(desk: Desk, day: dt.date) -> list[PlanRecord]:
    """The bookings whose examination is on a day, in the order of the list they came from."""
    return sorted(finding.on_days(desk.records, day, day), key=lambda record: record.id)


def _sheet(desk: Desk, record: PlanRecord) -> SheetView | list[Finding]:
    timetable = former_timetable(record)
    if record.life != MADE or record.state != "published" or record.inputs is None or timetable is None:
        problem = f"This booking has no plan that holds (it is {record.life}): there is no sheet to print."
        return [refusal("no-plan", record.ref, problem, "Look it up: daybefore list")]
    unit = desk.folder.unit
    own, staff = (_speaker(desk, tag) for tag in (record.inputs.booking.languages[0], unit.languages[0]))
    handout = Handout(record.ref, unit, record.identity, desk.base_url, timetable, record.inputs.replaces)
    view = sheet_view(handout, own, staff)
    findings = word_findings(desk, record.ref, (own, staff))
    return findings if is_refused(findings) else view


def give(desk: Desk, what: Iterable[tuple[PlanRecord, str]], way: str, role: str) -> list[bool]:
    """Records what was given over, so that it is not offered again without saying so.

    Returns:
        For each whether it was recorded; not where the booking was changed meanwhile.
    """
    return record_handed(desk.records, what, way, role, desk.now)
