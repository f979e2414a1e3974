"""Doubles: a reference that stands in several rows, of one list or of several, counts once or not at all."""

from __future__ import annotations

import unicodedata
from dataclasses import replace

from generator.finding import RowVerdict, note, refusal
from generator.intake.headings import folded
from generator.intake.reading import Reading, RowReading

_CONFLICT, _DOUBLED = "ref-conflict", "row-doubled"
_SETTLED = (_CONFLICT, _DOUBLED)
_MORE_HYPHENS = "−⁃"  # used as hyphens, though Unicode does not count them among the dashes
_NAMED = 5  # of many rows with one reference no more than so many are named

_Placed = tuple[str, RowReading]  # the file's name, and a row of it


def settled(readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """The lists, where a reference that stands twice counts once if its rows agree and never if they do not.

    The first of rows that agree is read and the later ones are skipped; rows that differ are all rejected.
    References are the same whatever their capitals, forms of letters and kinds of hyphen. Doing it again, also
    together with further lists, is safe.
    """
    groups: dict[str, list[_Placed]] = {}
    for reading in readings:
        for row in reading.rows:
            if _takes_part(row):
                groups.setdefault(_key(row.ref), []).append((reading.file, row))
    return tuple(
        replace(
            reading,
            rows=tuple(
                _settled_row((reading.file, row), groups[_key(row.ref)]) if _takes_part(row) else row
                for row in reading.rows
            ),
        )
        for reading in readings
    )


def _takes_part(row: RowReading) -> bool:
    """Whether the row states a booking; one that was skipped as a repeat still does."""
    if not row.ref:
        return False
    return row.verdict is not RowVerdict.SKIP or any(found.kind == _DOUBLED for found in row.findings)


def _key(ref: str) -> str:
    return "".join(
        "-" if unicodedata.category(letter) == "Pd" or letter in _MORE_HYPHENS else letter
        for letter in folded(ref)
    )


def _settled_row(placed: _Placed, group: list[_Placed]) -> RowReading:
    _, row = placed
    if any(other.digest != row.digest for _, other in group):
        return _conflicting(placed, group)
    return row if group[0][1] is row else _doubled(placed, group[0])


def _conflicting(placed: _Placed, group: list[_Placed]) -> RowReading:
    file, row = placed
    others = [_place(other, file) for other in group if other[1] is not row]
    more = f" and {len(others) - _NAMED} more" if len(others) > _NAMED else ""
    found = refusal(
        _CONFLICT,
        f"{file}:{row.row}",
        "The same reference, capitals and kinds of hyphen aside, stands with other content in "
        f"{', '.join(others[:_NAMED])}{more}.",
        "Find out which of the rows is right and remove the others.",
    )
    kept = tuple(earlier for earlier in row.findings if earlier.kind not in _SETTLED)
    return replace(row, verdict=RowVerdict.REJECT, start=None, arrival=None, findings=(*kept, found))


def _doubled(placed: _Placed, first: _Placed) -> RowReading:
    file, row = placed
    found = note(
        _DOUBLED,
        f"{file}:{row.row}",
        f"The row repeats {_place(first, file)}.",
        "Nothing needs doing; it is read once.",
    )
    return replace(row, verdict=RowVerdict.SKIP, start=None, arrival=None, findings=(found,))


def _place(placed: _Placed, here: str) -> str:
    file, row = placed
    return f"line {row.row}" if file == here else f"line {row.row} of {file}"
