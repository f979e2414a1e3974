"""Remarks: letters lost on the way, and words a person must decide about; neither is ever repeated."""

from __future__ import annotations

import re
import unicodedata

from generator.clinic.listing import Listing
from generator.finding import Finding, warning
from generator.intake.tables import Cell, ListRow

_LOST = "\ufffd"
_LOST_INSIDE = re.compile(r"[^\W\d_]\?+[^\W\d_]")
_LOST_IN_NAME = re.compile(r"[^\W\d_]\?|\?[^\W\d_]")
# What is seen when UTF-8 was once read as Windows-1252: A-tilde or a-circumflex before a symbol.
_TWICE_DECODED = re.compile(r"[ÃÂ][\u0080-\u00bf€‚ƒ„…†‡ˆ‰‹‘’“”•–—˜™›]|â€")
# A word ends where its letters end: a dose may be written against it.
_BORDER = r"(?<![^\W\d_]){}(?![^\W\d_])"
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
    """A warning that needs a decision for each class that a word in the remark hints at."""
    text = _plain(cell.text)
    return [
        warning(
            f"needs-unit-instruction:{subject}",
            cell.where,
            f"The remark may mean that “{subject}” matters for this patient. It is not repeated here.",
            "Let a nurse read the remark, speak with the patient if need be, and record the decision.",
            decision=True,
        )
        for subject, words in listing.hints.items()
        if any(re.search(_BORDER.format(re.escape(_plain(word))), text) for word in words)
    ]


def _plain(text: str) -> str:
    """Text without case, accents or doubled spaces, for comparing words."""
    letters = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(letter for letter in letters if not unicodedata.combining(letter)).split())
