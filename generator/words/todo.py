"""Todo: what a reviewer asks a translator to change; it never goes straight into the words."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterable
from dataclasses import astuple, dataclass

from generator.words.cells import guarded

COLUMNS = ("id", "hash", "verdict", "proposed", "note", "role", "reviewer", "date")


@dataclass(frozen=True, slots=True)
class Todo:
    """One request, in the order of COLUMNS; `stamp` is that of the words it is about."""

    id: str
    stamp: str
    verdict: str
    proposed: str
    note: str
    role: str
    reviewer: str
    date: dt.date


def todo_lines(asked: Iterable[Todo], *, headed: bool) -> str:
    """Requests as lines of a file; `headed`: with the heading before them."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    if headed:
        writer.writerow(COLUMNS)
    writer.writerows([guarded(str(cell)) for cell in astuple(one)] for one in asked)
    return text.getvalue()


def todo_stamps(text: str) -> set[tuple[str, str]]:
    """(id, stamp) of all that was ever asked; a request is open while those are still the words."""
    return {(row[0], row[1]) for row in csv.reader(io.StringIO(text)) if len(row) == len(COLUMNS)}
