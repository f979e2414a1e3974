"""Choices: what a row's procedure, preparation code and languages stand for in this unit."""

from __future__ import annotations

import datetime as dt
import difflib
import re
from collections.abc import Mapping

from generator.clinic.listing import Listing
from generator.clinic.protocol import Protocol
from generator.clinic.unit import Unit
from generator.finding import Finding, note, refusal
from generator.intake.headings import folded
from generator.intake.tables import Cell, ListRow

_JOINED = re.compile(r"[/+&]|\b(?:and|und|et|y|en|och|og|ve|oraz)\b")
_TAG = re.compile(r"[a-z]{2,3}(-[a-z0-9]{2,8})*")
_SEPARATED = re.compile(r"[/+;,&\s]+")


def is_booking(row: ListRow, listing: Listing) -> bool:
    """Whether the row is to be read as a colonoscopy's booking, not passed over.

    Without a column for procedures every row is one. A row may be one that says nothing there, that took
    other rows in, or whose cells have slipped; it is not passed over, it is told.
    """
    cell = row.cells["procedure"]
    return (
        not cell.heading
        or cell.empty
        or _names_one(cell.text, listing)
        or row.swallowed is not None
        or _has_slipped(row, listing)
    )


def procedure_findings(row: ListRow, listing: Listing) -> list[Finding]:
    """What must be known about the procedure of a row that is not passed over."""
    cell = row.cells["procedure"]
    if not cell.heading:
        return []
    if cell.empty:
        return [
            refusal(
                "procedure-missing",
                cell.where,
                "The row does not say which procedure is booked.",
                "Look the appointment up and type the procedure.",
            )
        ]
    if not _names_one(cell.text, listing):
        return [
            refusal(
                "procedure-displaced",
                cell.where,
                "No colonoscopy stands in its column; the cells of this row seem to have slipped.",
                "Check that each value stands in its column, and read the list again.",
            )
        ]
    parts = [part for part in _JOINED.split(folded(cell.text)) if part.strip()]
    if len(parts) > 1 and not all(_names_one(part, listing) for part in parts):
        return [
            note(
                "combined-procedure",
                cell.where,
                f"{cell.quoted} joins a colonoscopy with another procedure.",
                "Check that the time given is the start of the first of them.",
            )
        ]
    return []


def _has_slipped(row: ListRow, listing: Listing) -> bool:
    return row.uneven and _names_one(row.text, listing)


def _names_one(text: str, listing: Listing) -> bool:
    return any(folded(name) in folded(text) for name in listing.procedures)


def protocol_for(
    cell: Cell,
    at: dt.time | None,
    unit: Unit,
    protocols: Mapping[str, Protocol],
) -> tuple[Protocol | None, list[Finding]]:
    """The protocol that the unit's code stands for at this start, or why there is none.

    Without a time a code that stands for several is left open; the missing time is told elsewhere.
    """
    if cell.empty:
        return None, [
            refusal(
                "regimen-missing",
                cell.where,
                "The row has no preparation code.",
                "Find out which preparation was ordered and type the unit’s code for it.",
            )
        ]
    codes = {folded(code): ids for code, ids in unit.listing.codes.items()}
    ids = codes.get(folded(cell.text))
    if ids is None:
        near = difflib.get_close_matches(folded(cell.text), list(codes), 1, 0.7)
        shown = next((code for code in unit.listing.codes if near and folded(code) == near[0]), None)
        hint = f"Is “{shown}” meant? " if shown else ""
        return None, [
            refusal(
                "regimen-unknown",
                cell.where,
                f"{cell.quoted} is no preparation code of this unit.",
                f"{hint}Type one of: {', '.join(unit.listing.codes) or 'none is stated yet'}; "
                "or have the code added to [list.codes] in unit.toml.",
            )
        ]
    absent = [protocol_id for protocol_id in ids if protocol_id not in protocols]
    if absent or not ids:
        return None, [
            refusal(
                "regimen-unknown",
                cell.where,
                f"The code {cell.quoted} stands for {', '.join(absent) or 'no protocol'}, "
                "which the unit’s folder does not have.",
                "Have the protocol added, or [list.codes] in unit.toml mended.",
            )
        ]
    known = [protocols[protocol_id] for protocol_id in ids]
    if at is None:
        return (known[0] if len(known) == 1 else None), []
    fitting = [protocol for protocol in known if protocol.slots.hold(at)]
    return (fitting[0], []) if len(fitting) == 1 else (None, [_undecided(cell, at, known, len(fitting))])


def _undecided(cell: Cell, at: dt.time, known: list[Protocol], fitting: int) -> Finding:
    bands = ", ".join(
        f"{protocol.id} from {protocol.slots.since:%H:%M} to before {protocol.slots.until:%H:%M}"
        for protocol in known
    )
    answer = "None of its protocols is" if fitting == 0 else "More than one of its protocols is"
    return refusal(
        "protocol-undecided",
        cell.where,
        f"{answer} for a start at {at:%H:%M}: the code {cell.quoted} stands for {bands}.",
        "Check the time; if it is right, have the clinical lead mend the slots or the code.",
    )


def languages_for(cell: Cell, unit: Unit) -> tuple[tuple[str, ...], list[Finding]]:
    """Tags of the languages to read, the patient's first, and a note on each that the unit does not offer.

    An empty cell means the unit's first language. A tag that the unit offers is spelled as the unit does.
    What is no tag is refused and not kept: it may be anything, and building in another language helps nobody.
    Of a cell that may not be quoted only offered tags are kept, and another is refused: what looks like a tag
    may be a slipped name.
    """
    offered = {tag.casefold(): tag for tag in unit.languages}
    written = [part.replace("_", "-") for part in _SEPARATED.split(cell.text.casefold()) if part]
    if cell.empty or not written:
        return unit.languages[:1], []
    stated = tuple(dict.fromkeys(offered.get(tag, tag) for tag in written if _TAG.fullmatch(tag)))
    foreign = [tag for tag in stated if tag not in unit.languages]
    tags = stated if cell.quotable else tuple(tag for tag in stated if tag in unit.languages)
    if any(not _TAG.fullmatch(tag) for tag in written):
        return tags, [
            refusal(
                "language-unclear",
                cell.where,
                f"{cell.quoted} is not a language’s tag.",
                f"Type a tag such as {' or '.join(unit.languages[:2])}; join several with /.",
            )
        ]
    if not foreign:
        return tags, []
    if not cell.quotable:
        return tags, [
            refusal(
                "language-not-offered",
                cell.where,
                "The row has more or fewer cells than the list has columns, and its language is none that this "
                "unit offers.",
                "Check that each value stands in its column, and type a tag such as "
                f"{' or '.join(unit.languages[:2])}.",
            )
        ]
    named = ", ".join(f"“{tag}”" for tag in foreign)
    return tags, [
        note(
            "language-not-offered",
            cell.where,
            f"The row asks for {named}, which this unit does not offer.",
            f"The unit offers {', '.join(unit.languages)}. Arrange an interpreter if the patient "
            "reads none of them.",
        )
    ]
