"""Reading: what a booking list, and each of its rows, means; the result of reading, without the how."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass
from typing import Any

from generator.clinic.booking import Booking
from generator.finding import Finding, RowVerdict

BUILT = (RowVerdict.ACCEPT, RowVerdict.WARN)


@dataclass(frozen=True, slots=True)
class RowReading:
    """What one row means. It holds no name, and nothing of a remark but a class of circumstance.

    Attributes:
        row: the physical line on which the row starts.
        ref: the unit's appointment reference; characters that cannot be seen are shown as U+FFFD.
        start: start of the procedure on the unit's clocks; None when the row is rejected or skipped.
        arrival: when to be there, from the list alone; None also when the list is silent.
        protocol: id, or None when undecided.
        languages: tags, the patient's first.
        travel_minutes: None when the list does not state them.
        findings: everything found in the row, in the order of its columns.
        digest: 16 hex digits over the cells that were used: a recorded decision dies when one changes.
    """

    row: str
    ref: str
    verdict: RowVerdict
    start: dt.datetime | None
    arrival: dt.datetime | None
    protocol: str | None
    languages: tuple[str, ...]
    travel_minutes: int | None
    findings: tuple[Finding, ...]
    digest: str

    @property
    def booking(self) -> Booking | None:
        """The appointment; None when the row is rejected or skipped. Nobody has cleared it yet."""
        if self.verdict not in BUILT or self.start is None or self.protocol is None:
            return None
        return Booking(self.ref, self.start, self.protocol, self.languages, self.arrival, self.travel_minutes)

    def as_json(self) -> dict[str, Any]:
        """The promised JSON form; moments in ISO 8601 to the minute, with the zone's offset."""
        return {
            "row": self.row,
            "ref": self.ref,
            "verdict": self.verdict.value,
            "start": _iso(self.start),
            "arrival": _iso(self.arrival),
            "protocol": self.protocol,
            "languages": list(self.languages),
            "travel_minutes": self.travel_minutes,
            "findings": [finding.as_json() for finding in self.findings],
        }


@dataclass(frozen=True, slots=True)
class Reading:
    """What one list means.

    Attributes:
        refused: why nothing of the file is used, or None.
        rows: in file order.
        blank: lines or rows without any text.
        totals: rows that only add others up.
        headings: titles, page lines and repeated heading rows.
    """

    file: str
    refused: Finding | None
    rows: tuple[RowReading, ...]
    blank: int = 0
    totals: int = 0
    headings: int = 0

    @property
    def counts(self) -> dict[str, int]:
        """How many rows have each verdict, in promised names."""
        found = Counter(row.verdict for row in self.rows)
        return {verdict.value: found[verdict] for verdict in RowVerdict}

    def as_json(self) -> dict[str, Any]:
        """The promised JSON form of one file."""
        return {
            "file": self.file,
            "refused": self.refused.as_json() if self.refused else None,
            "counts": self.counts,
            "ignored": {"blank": self.blank, "total": self.totals, "heading": self.headings},
            "rows": [row.as_json() for row in self.rows],
        }


def _iso(moment: dt.datetime | None) -> str | None:
    return moment.isoformat(timespec="minutes") if moment else None
