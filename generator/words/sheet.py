"""Sheet: what a reviewer gets: the messages that lack a role's review, as finished sentences, dangerous ones first.

It holds what the reviewer sees, and of each message the stamp of the words it was made from.
"""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from generator.words.cells import guarded
from generator.words.message import SOURCE_TAG, Message
from generator.words.reviews import needed_roles, stamp_of
from generator.words.samples import finished, sample_values
from generator.words.speaker import Speaker
from generator.words.wording import Wording

COLUMNS = (
    "nr", "id", "risk", "english", "translation", "back_translation", "verdict", "proposed", "note", "check",
)  # fmt: skip
HEAD = ("language", "role", "sheet", "reviewer", "qualification", "date")
MOST = 60  # messages on a sheet: about an hour; common practice, no source
OK, CHANGE, STOP_VERDICT = "OK", "CHANGE", "STOP"
VERDICTS = (OK, CHANGE, STOP_VERDICT)

Forms = tuple[
    tuple[str, str], ...
]  # ("", sentence), or (number, sentence) for each sample of a counted message


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One message on a sheet.

    Attributes:
        stamp: of the words that it shows.
        translation: empty on a sheet about the English.
        back: the translation put back into English by somebody else, or "".
        remarks: what the checks wondered about, as sentences.
    """

    nr: int
    message: Message
    stamp: str
    english: Forms
    translation: Forms
    back: str = ""
    remarks: tuple[str, ...] = ()

    @property
    def cells(self) -> tuple[str, ...]:
        """What the reviewer sees, up to the verdict."""
        message = self.message
        return (
            str(self.nr),
            message.id,
            message.risk,
            _cell(self.english),
            _cell(self.translation),
            self.back,
        )

    @property
    def check(self) -> str:
        """The stamp, with a letter before it: a spreadsheet would round one that has digits alone."""
        return f"w{self.stamp}"


def _cell(forms: Forms) -> str:
    return "\n".join(f"{number}: {text}" if number else text for number, text in forms)


@dataclass(frozen=True, slots=True)
class Languages:
    """A language under review, and the English that it is compared with."""

    wording: Wording
    english: Wording

    @property
    def tag(self) -> str:
        """The tag of the language under review."""
        return self.wording.tag

    def stamp(self, message: Message) -> str | None:
        """The stamp of a message's present words, or None where there are none."""
        forms = self.wording.forms(message)
        return None if forms is None else stamp_of(self.tag, message.id, message.forms, forms)

    def shown(self, message: Message, nr: int, stamp: str) -> SheetRow:
        """The message as a sheet shows it."""
        english = finished(message, Speaker(self.english), sample_values(self.english))
        translation: Forms = ()
        if self.tag != SOURCE_TAG:
            translation = finished(message, Speaker(self.wording), sample_values(self.wording))
        return SheetRow(nr, message, stamp, english, translation)


def rows_lacking(
    languages: Languages, messages: Iterable[Message], role: str, renew_before: dt.date
) -> list[Message]:
    """The messages that need a role's review and lack it, that somebody stopped, or whose review is old; A first.

    A message without words is for the translator, not for a sheet.
    """
    lacking = []
    for message in messages:
        standing = languages.wording.standing(message)
        if standing is None or role not in needed_roles(languages.tag, message.id):
            continue
        given = standing.given.get(role)
        if given is None or given < renew_before or standing.stopped_by:
            lacking.append(message)
    return sorted(lacking, key=lambda message: message.risk)


def rows_of(
    languages: Languages,
    messages: Iterable[Message],
    *,
    backs: Mapping[str, str] | None = None,
    remarks: Mapping[str, tuple[str, ...]] | None = None,
) -> tuple[SheetRow, ...]:
    """The rows of a sheet with these messages.

    Args:
        backs: stamp -> the translation put back into English.
        remarks: id -> what the checks wondered about.
    """
    rows = []
    for nr, message in enumerate(messages, 1):
        stamp = languages.stamp(message)
        assert stamp is not None, "a message without words is not on a sheet"
        row = languages.shown(message, nr, stamp)
        back = (backs or {}).get(stamp, "")
        rows.append(
            SheetRow(
                nr, message, stamp, row.english, row.translation, back, (remarks or {}).get(message.id, ())
            )
        )
    return tuple(rows)


def sheet_mark(tag: str, role: str) -> str:
    """Holds language and role of a sheet together, so that neither is changed by a slip."""
    return "s" + hashlib.sha256(f"{tag}\x1f{role}".encode()).hexdigest()[:8]


def head_of(tag: str, role: str) -> tuple[tuple[str, str], ...]:
    """The lines above the rows, once a sheet; the last three are the reviewer's to fill in."""
    return tuple(zip(HEAD, (tag, role, sheet_mark(tag, role), "", "", ""), strict=True))


def sheet_csv(tag: str, role: str, rows: Iterable[SheetRow]) -> bytes:
    """The sheet as CSV: with a byte order mark, so that spreadsheets read it as UTF-8, and every cell quoted."""
    text = io.StringIO()
    writer = csv.writer(text, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerows(head_of(tag, role))
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow([*map(guarded, row.cells), "", "", "", row.check])
    return text.getvalue().encode("utf-8-sig")
