"""Tables: the bytes of a delimited list become rows of cells under our names, each with its line."""

from __future__ import annotations

import codecs
import csv
import io
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass

from generator.clinic.listing import COLUMNS, Listing
from generator.finding import Finding, refusal
from generator.intake.headings import HeadingRow, folded, heading_finding, heading_row_in

DELIMITERS = (",", ";", "\t", "|")
REQUIRED = ("ref", "date", "time", "protocol")
# Values of these columns may stand in a message; what stands in any other column may identify a person.
QUOTED_FROM = frozenset({"date", "time", "arrival", "procedure", "protocol", "language", "travel"})
_LONGEST_QUOTE = 40
_TOP = 65_536  # letters in which the heading row must begin
_DASHES = frozenset("-‐‑‒–—−")
_END = "\x1cend of list\x1c"  # a last line of our own: when it is swallowed, a quotation mark is still open
_NOT_TEXT = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"%PDF")
_TOTAL = re.compile(
    r"(grand |sub-?)?total(s|e)?\b|summe\b|gesamt|insgesamt\b|anzahl\b|totaal\b|suma\b|summa\b|razem\b"
    r"|celkem\b|toplam\b|итого\b|всего\b|合計"
)
_PAGE = re.compile(r"(page|seite|página|pagina|strona|sida|side|sayfa) [0-9]+\b.*")


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its tidy text, where it stands, and whether its text may be repeated in a message."""

    text: str
    heading: str
    where: str
    quotable: bool

    @property
    def quoted(self) -> str:
        """The text as it may stand in a message, shortened; without the right to quote it, three dots."""
        if not self.quotable:
            return "“…”"
        return f"“{self.text[:_LONGEST_QUOTE]}{'…' if len(self.text) > _LONGEST_QUOTE else ''}”"

    @property
    def empty(self) -> bool:
        """Whether nothing is stated: no text, or only dashes."""
        return set(self.text) <= _DASHES | {" "}


@dataclass(frozen=True, slots=True)
class ListRow:
    """One booking's row under our names of columns.

    Attributes:
        where: file and physical line of the row's start.
        line: that line, counted from 1.
        ref: the reference as written, only trimmed, so that its characters can be checked.
        cells: every column of ours; empty where the unit maps none.
        names: cells of the columns that hold people's names.
        overflow: whether it says something beyond the last column.
        uneven: whether it has more or fewer cells than the list has columns.
        text: all its cells, only for telling whether a value has slipped into another column; never kept.
        swallowed: the last line of a quoted cell that seems to have taken in whole rows, or None.
    """

    where: str
    line: int
    ref: str
    cells: Mapping[str, Cell]
    names: tuple[Cell, ...]
    overflow: bool
    uneven: bool
    text: str
    swallowed: int | None


@dataclass(frozen=True, slots=True)
class Table:
    """A list's rows in file order, and how many lines were blank, totals, or titles and repeated headings."""

    rows: tuple[ListRow, ...]
    blank: int
    totals: int
    headings: int


@dataclass(frozen=True, slots=True)
class _Record:
    line: int
    last_line: int
    cells: tuple[str, ...]

    @property
    def filled(self) -> list[str]:
        """The cells that say something, tidied, in order."""
        return [text for cell in self.cells if (text := tidy(cell))]


def tidy(text: str) -> str:
    """The text in composed letters, without invisible characters, with single spaces."""
    if not text.isascii():
        composed = unicodedata.normalize("NFC", text)
        text = "".join(letter for letter in composed if unicodedata.category(letter) != "Cf")
    return " ".join(text.split())


def table_from(raw: bytes, file: str, listing: Listing) -> tuple[Table | None, Finding | None]:
    """The table in these bytes, or the one finding for which the whole file is refused."""
    unmapped = [name for name in REQUIRED if name not in listing.columns]
    if unmapped:
        return None, refusal(
            "columns-unmapped",
            file,
            f"The unit’s file does not say which columns hold {', '.join(unmapped)}.",
            "Add them under [list.columns] in unit.toml, each with its heading.",
        )
    text = _text_of(raw)
    if text is None:
        return None, refusal(
            "file-not-text",
            file,
            "This file is not a text with columns.",
            "Open it in the program it came from and save it as “CSV UTF-8”.",
        )
    if not text.strip():
        return None, refusal(
            "file-empty", file, "This file is empty.", "Export the list again and read the new file."
        )
    delimiter, heading = _layout_of(text, listing)
    records, unclosed = _records(text, delimiter)
    if unclosed is not None:
        return None, refusal(
            "quote-unclosed",
            f"{file}:{unclosed}",
            f"A quotation mark is opened in the row that starts in line {unclosed} and never closed.",
            "Close or remove the quotation mark in that row, save the list and read it again.",
        )
    wrong = heading_finding(heading, file, listing)
    if wrong is not None or heading is None:
        return None, wrong
    return _sorted_out(records, heading, file, listing, delimiter), None


def _text_of(raw: bytes) -> str | None:
    """The bytes decoded; None when they are no text. A byte without a letter becomes U+FFFD and is told."""
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return raw.decode("utf-16", "replace")
    if raw.startswith(codecs.BOM_UTF8):
        return raw.decode("utf-8-sig", "replace")
    if raw.startswith(_NOT_TEXT) or b"\0" in raw:
        return None
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("cp1252", "replace")


def _records(text: str, delimiter: str) -> tuple[list[_Record], int | None]:
    """Every record with its physical lines, and the line in which a quotation mark was left open, or None."""
    records: list[_Record] = []
    reader = csv.reader([*io.StringIO(text, newline=""), _END], delimiter=delimiter)
    line = 1
    try:
        for cells in reader:
            records.append(_Record(line, reader.line_num, tuple(cells)))
            line = reader.line_num + 1
    except csv.Error:  # a cell longer than any cell: the mark was opened and the rest of the list taken in
        return records, line
    last = records.pop()
    return records, None if last.cells == (_END,) else last.line


def _layout_of(text: str, listing: Listing) -> tuple[str, HeadingRow | None]:
    """The delimiter under which a row holds most of the unit's headings, and that row.

    Counting commas would be misled by remarks and decimal commas; the unit's own headings cannot be.
    """
    found: dict[str, HeadingRow | None] = {}
    for delimiter in DELIMITERS:
        records, _ = _records(text[:_TOP], delimiter)
        found[delimiter] = heading_row_in(((record.line, record.cells) for record in records), listing)
    best = max(DELIMITERS, key=lambda delimiter: _fit(found[delimiter]))
    return best, found[best]


def _fit(heading: HeadingRow | None) -> tuple[int, int, int]:
    return (heading.exact, heading.near, len(heading.cells)) if heading else (0, 0, 0)


@dataclass(frozen=True, slots=True)
class _Layout:
    """Where everything stands in one file: positions of our columns, and of the columns with names."""

    file: str
    listing: Listing
    delimiter: str
    heading: HeadingRow
    columns: Mapping[str, int]
    names: tuple[tuple[str, int], ...]

    def text_of(self, record: _Record, name: str) -> str:
        """What a record has in a column of ours; empty when the unit maps none or the record is short."""
        index = self.columns.get(name)
        return _text_at(record, index) if index is not None else ""


def _sorted_out(
    records: list[_Record],
    heading: HeadingRow,
    file: str,
    listing: Listing,
    delimiter: str,
) -> Table:
    layout = _Layout(
        file,
        listing,
        delimiter,
        heading,
        columns={name: heading.column_of(text) for name, text in listing.columns.items()},
        names=tuple((text, index) for text in listing.names for index in heading.columns_of(text)),
    )
    rows: list[ListRow] = []
    blank = totals = headings = 0
    for record in records:
        if not record.filled:
            blank += 1
        elif _is_total(record, layout):
            totals += 1
        elif _is_heading(record, layout):
            headings += record.line != heading.line
        else:
            rows.append(_list_row(record, layout))
    return Table(tuple(rows), blank, totals, headings)


def _is_total(record: _Record, layout: _Layout) -> bool:
    return _TOTAL.match(record.filled[0].casefold()) is not None and not any(
        layout.text_of(record, name) for name in ("date", "time", "protocol")
    )


def _is_heading(record: _Record, layout: _Layout) -> bool:
    """The heading row, a repeat of it, a page line, or a title above it; a booking above it is none."""
    heading = layout.heading
    if len(record.cells) == len(heading.cells) and all(
        folded(cell) == folded(title) for cell, title in zip(record.cells, heading.cells, strict=True)
    ):
        return True
    if len(record.filled) == 1 and _PAGE.fullmatch(record.filled[0].casefold()):
        return True
    complete = all(layout.text_of(record, name) for name in ("ref", "date", "time"))
    return record.line < heading.line and not complete


def _text_at(record: _Record, index: int) -> str:
    return tidy(record.cells[index]) if index < len(record.cells) else ""


def _list_row(record: _Record, layout: _Layout) -> ListRow:
    where = f"{layout.file}:{record.line}"
    uneven = len(record.cells) not in (layout.heading.width, len(layout.heading.cells))
    beyond = [text for cell in record.cells[layout.heading.width :] if (text := tidy(cell))]
    cells = {}
    for name in COLUMNS:
        title = layout.listing.columns.get(name, "")
        text = layout.text_of(record, name)
        if name == "remarks":
            text = f"{layout.delimiter} ".join(part for part in (text, *beyond) if part)
        # A delimiter too many or too few may have put a name under another heading: no quoting then.
        cells[name] = Cell(text, title, f"{where} {title}".rstrip(), name in QUOTED_FROM and not uneven)
    ref = layout.columns["ref"]
    return ListRow(
        where=where,
        line=record.line,
        ref=record.cells[ref].strip() if ref < len(record.cells) else "",
        cells=cells,
        names=tuple(
            Cell(_text_at(record, index), title, f"{where} {title}", False) for title, index in layout.names
        ),
        overflow=bool(beyond),
        uneven=uneven,
        text=" ".join(record.filled),
        swallowed=_swallowed(record, layout),
    )


def _swallowed(record: _Record, layout: _Layout) -> int | None:
    """The record's last line when a cell's further lines hold as many delimiters as half a row has."""
    if record.line == record.last_line:
        return None
    least = max(2, (layout.heading.width - 1) // 2)
    further = (line for cell in record.cells for line in re.split(r"[\r\n]+", cell)[1:])
    return record.last_line if any(line.count(layout.delimiter) >= least for line in further) else None
