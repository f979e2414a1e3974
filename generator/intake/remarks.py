"""Remarks: letters lost on the way, and words a person must decide about; neither is ever repeated."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from generator.clinic.instruction import class_title
from generator.clinic.listing import Listing
from generator.finding import Finding, warning
from generator.intake.tables import Cell, ListRow

_LOST = "\ufffd"
_LOST_INSIDE = re.compile(r"[^\W\d_]\?+[^\W\d_]")
_LOST_IN_NAME = re.compile(r"[^\W\d_]\?|\?[^\W\d_]")
# What is seen when UTF-8 was once read as Windows-1252: A-tilde or a-circumflex before a symbol.
_TWICE_DECODED = re.compile(r"[ÃÂ][\u0080-\u00bf€‚ƒ„…†‡ˆ‰‹‘’“”•–—˜™›]|â€")
_LETTER = r"[^\W\d_]"
_GAP = r"[\s\-‐‑‒–—−]"
_OPEN_FROM = 5  # letters; a shorter word must stand alone: “iron” is not to be found in “ironing”
_CHECKED = ("procedure", "protocol", "language", "travel", "remarks")


def damage_findings(row: ListRow) -> list[Finding]:
    """A warning for each cell in which letters were lost. The letters are never guessed."""
    damaged = [cell for cell in row.names if _is_damaged(cell) or _LOST_IN_NAME.search(cell.text)]
    damaged += [row.cells[name] for name in _CHECKED if _is_damaged(row.cells[name])]
    return [
        warning(
            "text-damaged",
            cell.where,
            f"Letters were lost in column “{cell.heading}” before the list came here (line {row.line}).",
            "Look up the right spelling in the booking system; have the list exported as “CSV UTF-8”.",
        )
        for cell in damaged
    ]


def _is_damaged(cell: Cell) -> bool:
    return (
        _LOST in cell.text
        or _LOST_INSIDE.search(cell.text) is not None
        or _TWICE_DECODED.search(cell.text) is not None
    )


def hint_findings(cell: Cell, listing: Listing) -> list[Finding]:
    """A warning that needs a decision for each class that a word in the remark hints at.

    A long word finds every word that begins with it: one warning too many is better than one too few.
    """
    return [
        warning(
            f"needs-unit-instruction:{subject}",
            cell.where,
            f"The remark may mean that “{class_title(subject)}” matters for this patient. It is not repeated here.",
            "Let a nurse read the remark, speak with the patient if need be, and record the decision.",
            decision=True,
        )
        for subject in subjects_in(cell.text, listing)
    ]


def subjects_in(text: str, listing: Listing) -> tuple[str, ...]:
    """The subjects that a word in the text hints at, by the unit's own list of hints."""
    plain = _plain(text)
    return tuple(
        subject
        for subject, words in listing.hints.items()
        if any((hint := _hint(word)) is not None and hint.search(plain) for word in words)
    )


@lru_cache(maxsize=1024)
def _hint(word: str) -> re.Pattern[str] | None:
    """What finds the word at the start of a word; a dose may be written against either end.

    Spaces and hyphens between its parts may be any or none: “blood thin” finds “blood-thinners”.
    """
    parts = [part for part in re.split(rf"{_GAP}+", _plain(word)) if part]
    if not parts:
        return None
    letters = sum(letter.isalpha() for part in parts for letter in part)
    end = "" if letters >= _OPEN_FROM else f"(?!{_LETTER})"
    inner = f"{_GAP}*".join(re.escape(part) for part in parts)
    return re.compile(f"(?<!{_LETTER}){inner}{end}")


def _plain(text: str) -> str:
    """Text without case, accents or doubled spaces, for comparing words."""
    letters = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(letter for letter in letters if not unicodedata.combining(letter)).split())
