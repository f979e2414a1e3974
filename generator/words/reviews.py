"""Reviews: who has looked at which words, as lines bound to a hash of those words.

One letter changed in the English or in the translation, and the lines are for other words: the message is
unreviewed at once. Roles as in ISO 17100: translation, revision by a second person, review by an expert of the field.
"""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import io
import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from generator.finding import Finding, refusal
from generator.words.message import ID, SOURCE_TAG

COLUMNS = ("id", "hash", "role", "reviewer", "date", "carries", "reason")
TRANSLATOR, REVISER, CLINICIAN = "translator", "reviser", "clinician"
ROLES = (TRANSLATOR, REVISER, CLINICIAN)
CARRIED = (
    "carried"  # the words have changed and mean the same: the reviews of the former words hold for these
)
STOP = "stop"  # these words could hurt somebody
# A code, never a name: who it is stands in a list that the unit keeps. A digit in it keeps most names out.
_CODE = re.compile(r"(?=.*\d)[a-z0-9]+(-[a-z0-9]+)*")
_STAMP = re.compile(r"[0-9a-f]{12}")


@dataclass(frozen=True, slots=True)
class Review:
    """One line of a ledger.

    Attributes:
        stamp: hash of the words that were looked at.
        role: one of ROLES, CARRIED or STOP.
        reviewer: a code such as rn-7.
        carries: for CARRIED, the stamp of the former words.
        reason: for CARRIED why they mean the same, for STOP what is wrong.
    """

    id: str
    stamp: str
    role: str
    reviewer: str
    date: dt.date
    carries: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """How far one message, in its present words, is reviewed.

    Attributes:
        lacking: the roles that nobody has yet looked at it in.
        stopped_by: codes of those who say that it could hurt, and have not taken that back.
        given: role -> day of its newest review.
    """

    lacking: tuple[str, ...]
    stopped_by: tuple[str, ...]
    given: Mapping[str, dt.date]

    @property
    def is_whole(self) -> bool:
        """Whether these words may be shown to a patient, as far as reviews go."""
        return not self.lacking and not self.stopped_by

    @property
    def since(self) -> dt.date:
        """The day of the oldest review that it rests on; of a message that is whole."""
        return min(self.given.values())


class Reviews:
    """The reviews of one language, in the order in which they were given."""

    def __init__(self, lines: Iterable[Review] = ()) -> None:
        self.lines = tuple(lines)
        self._by_words: dict[tuple[str, str], list[Review]] = defaultdict(list)
        for line in self.lines:
            self._by_words[line.id, line.stamp].append(line)
        self._clinicians = frozenset(line.reviewer for line in self.lines if line.role == CLINICIAN)
        self._known: dict[
            tuple[object, ...], Standing
        ] = {}  # a booklet asks for hundreds, every booklet again

    def standing(
        self, tag: str, message_id: str, english: tuple[str, ...], texts: tuple[str, ...]
    ) -> Standing:
        """How far a message is reviewed in these very words."""
        words = (tag, message_id, english, texts)
        known = self._known.get(words)
        if known is None:
            known = self._known[words] = self.standing_of(tag, message_id, stamp_of(*words))
        return known

    def standing_of(self, tag: str, message_id: str, stamp: str) -> Standing:
        """How far the words with this stamp are reviewed."""
        given: dict[str, dict[str, dt.date]] = {role: {} for role in ROLES}
        stopped: dict[str, None] = {}
        for line in self._lines(message_id, stamp):
            if line.role == STOP:
                stopped[line.reviewer] = None
            else:
                stopped.pop(line.reviewer, None)  # whoever stopped it has looked again, and passed it
                given[line.role][line.reviewer] = line.date
        for code in given[other_role(tag)]:
            given[REVISER].pop(code, None)
        needed = needed_roles(tag, message_id)
        return Standing(
            tuple(role for role in needed if not given[role]),
            tuple(stopped),
            MappingProxyType({role: max(given[role].values()) for role in needed if given[role]}),
        )

    def codes(self, message_id: str, stamp: str, role: str) -> frozenset[str]:
        """Who has looked at these words in a role."""
        return frozenset(line.reviewer for line in self._lines(message_id, stamp) if line.role == role)

    def is_new(self, tag: str, review: Review) -> bool:
        """Whether a line would say anything that is not said: whoever stopped words may pass them, and the reverse."""
        stopped = review.reviewer in self.standing_of(tag, review.id, review.stamp).stopped_by
        if review.role == STOP:
            return not stopped
        return stopped or review not in self._by_words.get((review.id, review.stamp), ())

    def is_clinician(self, code: str) -> bool:
        """Whether somebody has reviewed anything in this language as a clinician."""
        return code in self._clinicians

    def last_stamp(self, message_id: str, but: str) -> str | None:
        """The stamp of the words that were looked at last, other than the present ones."""
        others = [line for line in self.lines if line.id == message_id and line.stamp != but]
        return max(others, key=lambda line: line.date).stamp if others else None

    def _lines(self, message_id: str, stamp: str, seen: tuple[str, ...] = ()) -> Iterator[Review]:
        """The lines that count for some words: their own, and those carried over from words that meant the same."""
        for line in self._by_words.get((message_id, stamp), ()):
            if line.role != CARRIED:
                yield line
            elif line.carries not in (*seen, stamp) and self.may_carry(line.reviewer, message_id):
                yield from self._lines(message_id, line.carries, (*seen, stamp))

    def may_carry(self, code: str, message_id: str) -> bool:
        """Whether somebody may say that changed words mean the same: for class A a clinician alone."""
        return message_id[0] != "A" or self.is_clinician(code)


def stamp_of(tag: str, message_id: str, english: Iterable[str], texts: Iterable[str]) -> str:
    """12 hex digits over language, id, English and translation, whatever the spacing and composition of letters."""
    words = [tag, message_id, *map(_folded, english), "\x1e", *map(_folded, texts)]
    return hashlib.sha256("\x1f".join(words).encode()).hexdigest()[:12]


def _folded(text: str) -> str:
    return unicodedata.normalize("NFC", " ".join(text.split()))


def needed_roles(tag: str, message_id: str) -> tuple[str, ...]:
    """Who has to look at a message before a patient reads it.

    A translation: for class A all three roles, for B translator and reviser, for C the translator. English has no
    translator: a second reader of every message, and for class A a clinician, who is somebody else.
    """
    if tag == SOURCE_TAG:
        return (REVISER, CLINICIAN) if message_id[0] == "A" else (REVISER,)
    return ROLES[: {"A": 3, "B": 2, "C": 1}[message_id[0]]]


def other_role(tag: str) -> str:
    """The role that the reviser of a message may not have had in it: two persons look at the same words."""
    return CLINICIAN if tag == SOURCE_TAG else TRANSLATOR


@lru_cache(maxsize=512)  # a ledger has few reviewers, and thousands of lines
def is_code(text: str) -> bool:
    """Whether this may stand for a reviewer: a code such as rn-7, never a name."""
    return bool(_CODE.fullmatch(text)) and len(text) <= 20


def reviews_from(text: str, file: str, *, of_unit: bool) -> tuple[tuple[Review, ...], list[Finding]]:
    """The lines of a ledger, and a finding for every line that is none.

    Args:
        of_unit: the ledger is a unit's own; only there may clinicians stand.
    """
    reader = csv.reader(io.StringIO(text))
    reviews: list[Review] = []
    findings: list[Finding] = []
    try:
        if tuple(next(reader, ())) != COLUMNS:
            return (), [_header_finding(file)]
        for cells in reader:
            review = _review_from(cells)
            if review is None or (review.role == CLINICIAN and not of_unit):
                findings.append(_line_finding(file, reader.line_num, review))
            else:
                reviews.append(review)
    except csv.Error:  # a cell of more than 131,072 characters: usually a quote that is never closed
        findings.append(_line_finding(file, reader.line_num + 1, None))
    return tuple(reviews), findings


def _review_from(cells: list[str]) -> Review | None:
    if len(cells) != len(COLUMNS):
        return None
    message_id, stamp, role, reviewer, day, carries, reason = cells
    known = ID.fullmatch(message_id) and _STAMP.fullmatch(stamp) and is_code(reviewer)
    if not known or role not in (*ROLES, CARRIED, STOP):
        return None
    if role == CARRIED and not (_STAMP.fullmatch(carries) and reason.strip()):
        return None
    try:
        return Review(message_id, stamp, role, reviewer, dt.date.fromisoformat(day), carries, reason)
    except ValueError:
        return None


def _header_finding(file: str) -> Finding:
    remedy = f"Write it as {','.join(COLUMNS)}."
    return refusal("reviews-header", f"{file}:1", "The first line is not the expected heading.", remedy)


def _line_finding(file: str, line: int, review: Review | None) -> Finding:
    if review is not None:
        problem = "A clinician's review stands in the file that is shipped with the program."
        remedy = "Delete the line: clinicians review for their own unit, with --unit."
    else:
        problem = "A line is not a review."
        remedy = "Restore the file from its last copy; lines are only added, by daybefore language accept."
    return refusal("review-invalid", f"{file}:{line}", problem, remedy)


def ledger_lines(reviews: Iterable[Review], *, headed: bool) -> str:
    """Reviews as lines of a ledger; `headed`: with the heading before them."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    if headed:
        writer.writerow(COLUMNS)
    for line in reviews:
        writer.writerow([line.id, line.stamp, line.role, line.reviewer, line.date, line.carries, line.reason])
    return text.getvalue()
