"""Answers: a sheet that comes back, and what it means: reviews, changes asked for, and rows that are refused."""

from __future__ import annotations

import csv
import datetime as dt
import io
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from generator.finding import Finding, refusal, warning
from generator.words.cells import unguarded
from generator.words.message import Message
from generator.words.reviews import REVISER, STOP, Review, other_role
from generator.words.sheet import COLUMNS, HEAD, OK, STOP_VERDICT, VERDICTS, Languages, SheetRow, sheet_mark
from generator.words.todo import Todo

_DELIMITERS = ",;\t"
_SEEN = ("risk", "english", "translation")  # what the reviewer saw, and may not have changed
_ISOLATES = str.maketrans("", "", "\u2066\u2067\u2068\u2069")


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet as it came back: its head, and its rows with their line in the file."""

    file: str
    head: Mapping[str, str]
    rows: tuple[tuple[int, Mapping[str, str]], ...]

    @property
    def tag(self) -> str:
        """The language."""
        return self.head["language"]

    @property
    def role(self) -> str:
        """The role in which it was looked at."""
        return self.head["role"]


@dataclass(slots=True)
class Judged:
    """What came of a sheet; rows that are refused are among the findings."""

    reviews: list[Review] = field(default_factory=list)
    asked: list[Todo] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    unanswered: int = 0

    @property
    def accepted(self) -> int:
        """How many messages were passed."""
        return sum(1 for review in self.reviews if review.role != STOP)


def sheet_from(raw: bytes, file: str) -> tuple[Sheet | None, list[Finding]]:
    """The sheet in a CSV file, whatever parts its cells: comma, semicolon or tab."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        remedy = "Save it again as “CSV UTF-8”."
        return None, [refusal("sheet-unreadable", file, "The sheet is not UTF-8.", remedy)]
    for delimiter in _DELIMITERS:
        lines = list(_lines(text, delimiter))
        for index, (_, cells) in enumerate(lines):
            if tuple(cell.strip().casefold() for cell in cells[: len(COLUMNS)]) == COLUMNS:
                head = {
                    line[0].strip().casefold(): line[1].strip() for _, line in lines[:index] if len(line) > 1
                }
                rows = tuple(
                    (number, dict(zip(COLUMNS, (*map(unguarded, line), *[""] * len(COLUMNS)), strict=False)))
                    for number, line in lines[index + 1 :]
                    if any(line)
                )
                return _with_head(Sheet(file, head, rows))
    problem = f"There is no line with the columns {', '.join(COLUMNS)}."
    return None, [
        refusal("sheet-unreadable", file, problem, "Send the sheet back as CSV, with every column.")
    ]


def _lines(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        for cells in reader:
            yield reader.line_num, cells
    except csv.Error:  # an unclosed quote that swallows the rest
        return


def _with_head(sheet: Sheet) -> tuple[Sheet | None, list[Finding]]:
    if not {*HEAD[:3]} <= {*sheet.head} or sheet.head["sheet"] != sheet_mark(sheet.tag, sheet.role):
        problem = (
            "The lines above the rows were changed: the language and the role are not those it was made for."
        )
        return None, [refusal("sheet-edited", sheet.file, problem, "Restore them, or ask for another sheet.")]
    return sheet, []


def judged(
    sheet: Sheet, languages: Languages, messages: Mapping[str, Message], by: str, today: dt.date
) -> Judged:
    """What a sheet means for the words as they are now.

    Args:
        languages: the sheet's language.
        messages: every message there is, by id.
        by: the reviewer's code.
    """
    outcome = Judged()
    day = _day_of(sheet, by, today, outcome.findings)
    if day is None:
        return outcome
    seen: set[str] = set()
    for line, cells in sheet.rows:
        where = f"{sheet.file}:{line} {cells['id']}"
        if cells["id"] in seen:
            problem = "This message stands on the sheet twice."
            outcome.findings.append(refusal("row-doubled", where, problem, "Keep one of the rows."))
            continue
        seen.add(cells["id"])
        verdict = cells["verdict"].strip().upper()
        if not verdict:
            outcome.unanswered += 1
            continue
        message = messages.get(cells["id"])
        refused = _refused(cells, verdict, message, languages, where)
        if refused is None and message is not None:
            refused = _second_person(message, cells, sheet.role, by, languages, where)
        if refused is not None:
            outcome.findings.append(refused)
        else:
            _take(cells, verdict, sheet.role, by, day, languages, outcome)
    return outcome


def _day_of(sheet: Sheet, by: str, today: dt.date, findings: list[Finding]) -> dt.date | None:
    """The day on which the sheet was filled in; a sheet of somebody else, or of the future, is refused whole."""
    named = sheet.head.get("reviewer", "").casefold()
    if named and named != by:
        problem = f"The sheet was filled in by {named}, not by {by}."
        findings.append(refusal("sheet-of-another", sheet.file, problem, f"Accept it with --by {named}."))
        return None
    written = sheet.head.get("date", "")
    try:
        day = dt.date.fromisoformat(written) if written else today
    except ValueError:
        day = None
    if day is None or day > today:
        problem = "The date on the sheet is not a day up to today, written as 2026-11-25."
        findings.append(refusal("sheet-date", sheet.file, problem, "Write it so, or leave it out for today."))
        return None
    return day


def _refused(
    cells: Mapping[str, str], verdict: str, message: Message | None, languages: Languages, where: str
) -> Finding | None:
    """Why a row cannot be taken, or None."""
    if verdict not in VERDICTS:
        problem = f"“{verdict[:20]}” is no verdict."
        return refusal("verdict-unknown", where, problem, f"Write one of {', '.join(VERDICTS)}.")
    stamp = languages.stamp(message) if message else None
    if message is None or stamp is None or cells["check"].strip() != f"w{stamp}":
        problem = "The message has changed since the sheet was made."
        return refusal("row-stale", where, problem, "Nothing to do: it goes on the next sheet.")
    shown = languages.shown(message, 0, stamp)
    edited = [name for name in _SEEN if _plain(cells[name]) != _plain(_seen(shown)[name])]
    if edited:
        problem = f"The column {edited[0]} was edited: what was judged is not what a patient would read."
        remedy = "Write a better wording under “proposed”, with the verdict CHANGE; the row goes on the next sheet."
        return refusal("row-edited", where, problem, remedy)
    return None


def _seen(row: SheetRow) -> dict[str, str]:
    return dict(zip(COLUMNS, row.cells, strict=False))


def _plain(text: str) -> str:
    """A cell as spreadsheets leave it: they fold spaces and line ends, and drop marks that nobody sees."""
    return unicodedata.normalize("NFC", " ".join(text.translate(_ISOLATES).split()))


def _second_person(
    message: Message, cells: Mapping[str, str], role: str, by: str, languages: Languages, where: str
) -> Finding | None:
    """Two persons look at the same words: nobody revises what they translated or, in English, judged as clinician."""
    other = other_role(languages.tag)
    against = {REVISER: other, other: REVISER}.get(role)
    stamp = cells["check"].strip()[1:]
    if against is None or by not in languages.wording.reviews.codes(message.id, stamp, against):
        return None
    problem = f"{by} has looked at these words as {against} already; as {role} somebody else has to."
    return refusal(
        "second-person", where, problem, "Have another person look at them; it goes on the next sheet."
    )


def _take(
    cells: Mapping[str, str],
    verdict: str,
    role: str,
    by: str,
    day: dt.date,
    languages: Languages,
    outcome: Judged,
) -> None:
    message_id, stamp = cells["id"], cells["check"].strip()[1:]
    proposed, remark = cells["proposed"].strip(), cells["note"].strip()
    passed, stops = verdict == OK, verdict == STOP_VERDICT
    if passed or stops:
        review = Review(
            message_id, stamp, role if passed else STOP, by, day, reason=(remark or proposed) if stops else ""
        )
        if not languages.wording.reviews.is_new(languages.tag, review):
            return  # a sheet that is accepted twice says nothing new
        outcome.reviews.append(review)
    if stops:
        outcome.findings.append(_stopped(message_id, by, languages.tag))
    if not passed:
        outcome.asked.append(Todo(message_id, stamp, verdict, proposed, remark, role, by, day))


def _stopped(message_id: str, by: str, tag: str) -> Finding:
    problem = (
        f"{by} says that these words could hurt: in “{tag}” no booking that shows them is published any more."
    )
    remedy = "Have the words changed and reviewed anew, or have the same person look again and pass them."
    return warning("language-stopped", message_id, problem, remedy)
