"""A CSV file of a unit to which lines are only ever added: its lines, and which of them are none."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable
from typing import TypeVar

Line = TypeVar("Line")


def lines_of(
    text: str, columns: tuple[str, ...], line_from: Callable[[dict[str, str]], Line | None]
) -> tuple[tuple[Line, ...], list[int]]:
    """What `line_from` makes of each line, and the numbers of lines that it makes nothing of.

    A first line that is not the heading is the number 1, and nothing is read.
    """
    reader = csv.DictReader(io.StringIO(text))
    found: list[Line] = []
    bad: list[int] = []
    try:
        if tuple(reader.fieldnames or ()) != columns:
            return (), [1]
        for row in reader:
            line = line_from(row)
            if line is None:
                bad.append(reader.line_num)
            else:
                found.append(line)
    except csv.Error:  # a cell of more than 131,072 characters: usually a quote that is never closed
        bad.append(reader.line_num + 1)
    return tuple(found), bad


def text_of(columns: tuple[str, ...], rows: Iterable[Iterable[object]]) -> str:
    """The file's text: the heading, then a line for each row of cells."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([[*row] for row in rows])
    return text.getvalue()
