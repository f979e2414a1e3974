"""Headings: the row of a list that names its columns, and what is wrong with it, told once for the file."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import islice

from generator.clinic.listing import Listing
from generator.finding import Finding, refusal

_LOOKED_AT = 20  # rows; titles above a heading row are few
_WIDEST = 200  # cells; a "heading row" wider than this is no booking list


@dataclass(frozen=True, slots=True)
class HeadingRow:
    """The row that names the columns.

    `exact` and `near` count the unit's headings found as written and found nearly so.
    """

    line: int
    cells: tuple[str, ...]
    exact: int
    near: int

    @property
    def width(self) -> int:
        """How many columns it names; unnamed columns at its end are none."""
        named = [index for index, cell in enumerate(self.cells) if cell.strip()]
        return named[-1] + 1 if named else 0

    def columns_of(self, heading: str) -> tuple[int, ...]:
        """Positions of every column under this heading."""
        return tuple(index for index, cell in enumerate(self.cells) if folded(cell) == folded(heading))

    def column_of(self, heading: str) -> int:
        """Position of the column under this heading, which must be there."""
        return self.columns_of(heading)[0]


def folded(text: str) -> str:
    """A heading or code as it is compared: without case, invisible characters or doubled spaces."""
    plain = unicodedata.normalize("NFKC", text)
    visible = "".join(letter for letter in plain if unicodedata.category(letter) != "Cf")
    return " ".join(visible.split()).casefold()


def heading_row_in(rows: Iterable[tuple[int, tuple[str, ...]]], listing: Listing) -> HeadingRow | None:
    """Among the first rows, the one that holds most of the unit's headings; None when no row has any cell."""
    wanted = {folded(heading) for heading in listing.columns.values()}
    best: HeadingRow | None = None
    for line, cells in islice(rows, _LOOKED_AT):
        if len(cells) > _WIDEST or not any(cell.strip() for cell in cells):
            continue
        exact = len(wanted & {folded(cell) for cell in cells})
        if best is None or exact > best.exact:
            best = HeadingRow(line, cells, exact, 0)
    if best is None or best.exact == len(wanted):
        return best
    near = len([heading for heading in wanted if _near(heading, best.cells, wanted)])
    return HeadingRow(best.line, best.cells, best.exact, near)


def heading_finding(heading: HeadingRow | None, file: str, listing: Listing) -> Finding | None:
    """The one refusal for headings that are missing or doubled, or None when each is there once."""
    wanted = list(dict.fromkeys(listing.columns.values()))
    if heading is None or heading.exact + heading.near < max(1, len(wanted) // 2):
        # What stands in the first row may be a booking; nothing of it is repeated here.
        return refusal(
            "header-missing",
            file,
            "No row with the headings that the unit’s file names was found.",
            f"The list needs a row with: {', '.join(wanted)}. Export it with its headings, "
            "or mend [list.columns] in unit.toml.",
        )
    missing = [text for text in wanted if not heading.columns_of(text)]
    doubled = [text for text in wanted if len(heading.columns_of(text)) > 1]
    if not missing and not doubled:
        return None
    problem = " ".join(
        [f"There is no column “{text}”." for text in missing]
        + [f"There is more than one column “{text}”." for text in doubled]
    )
    known = {folded(text) for text in wanted}
    hints = [
        f"Is “{text}” the column “{near}”?" for text in missing if (near := _near(text, heading.cells, known))
    ]
    remedy = "Mend the headings in the list, or [list.columns] in unit.toml, and read the list again."
    return refusal(
        "header-missing" if missing else "header-doubled",
        f"{file}:{heading.line}",
        problem,
        " ".join([*hints, remedy]),
    )


def _near(heading: str, cells: tuple[str, ...], known: set[str]) -> str | None:
    """The unknown cell of the heading row that was probably meant, or None; also when none is missing."""
    spelled = {folded(cell): " ".join(cell.split()) for cell in cells if 0 < len(cell) <= 60}
    if folded(heading) in spelled:
        return None
    unknown = [text for text in spelled if text not in known]
    close = difflib.get_close_matches(folded(heading), unknown, 1, 0.7)
    return spelled[close[0]] if close else None
