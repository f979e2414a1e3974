"""Protocol: one regimen as data, owned and signed by the unit. It states rules; the solver picks times."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.clinic.row_file import row_from
from generator.clinic.rows import POINTS, Row
from generator.finding import Finding


@dataclass(frozen=True, slots=True)
class Slots:
    """The starts this protocol is for, as wall clock: `since` <= start < `until`."""

    since: dt.time
    until: dt.time

    def hold(self, start: dt.time) -> bool:
        """Whether a start lies in the band; the lower border belongs to it, the upper does not."""
        return self.since <= start < self.until


@dataclass(frozen=True, slots=True)
class Protocol:
    """One regimen.

    Attributes:
        id: the file's name without `.toml`.
        title: for staff; never shown to a patient.
        composition: what the bowel medicine is made of, for staff and sign-off.
        product: the name as it stands on the patient's box, a proper name, never translated.
        pieces: how many packets, bottles or sachets the box must hold.
        slots: which starts it is for.
        rows: the rules, in the order of the file.
        sources: where the figures come from.
        partial: not every dose is stated, so published rules cannot be held against it.
    """

    id: str
    title: str
    composition: str
    product: str
    pieces: int
    slots: Slots
    rows: tuple[Row, ...]
    sources: tuple[str, ...]
    partial: bool = False

    def row(self, row_id: str) -> Row:
        """The row of that id."""
        return next(row for row in self.rows if row.id == row_id)

    @property
    def last_medicine_row(self) -> Row | None:
        """The last row that gives bowel medicine to drink, or None."""
        drinks = [row for row in self.rows if row.kind == "drink"]
        return drinks[-1] if drinks else None


def protocol_from(table: Mapping[str, Any], protocol_id: str, file: str) -> tuple[Protocol, list[Finding]]:
    """A Protocol from a parsed file, and every finding; with a refusal it must not be used."""
    findings: list[Finding] = []
    fields = Fields(table, file, findings)
    slots = fields.table("slots")
    protocol = Protocol(
        id=protocol_id,
        title=fields.text("title"),
        composition=fields.text("composition"),
        product=fields.text("product"),
        pieces=fields.whole("pieces", least=1, most=40),
        slots=Slots(slots.clock("since"), slots.clock("until")),
        rows=tuple(row_from(row) for row in fields.tables("row")),
        sources=fields.texts("sources"),
        partial=fields.flag("partial", False),
    )
    slots.close()
    if protocol.slots.since >= protocol.slots.until:
        fields.refuse(
            "value-invalid", "slots", "The band of slots is empty.", "Make “since” earlier than “until”."
        )
    fields.close()
    _check_references(protocol, fields)
    return protocol, findings


def _check_references(protocol: Protocol, fields: Fields) -> None:
    """Row ids are single; every row named by another exists and stands before it in the file."""
    known: set[str] = set()
    for row in protocol.rows:
        if row.id in known or row.id in (*POINTS, "leave", "arrive"):
            fields.refuse(
                "row-doubled",
                f"row {row.id}",
                f"The row id “{row.id}” is used twice or reserved.",
                "Give each row an id of its own.",
            )
        known.add(row.id)
    earlier: set[str] = set(POINTS)
    for row in protocol.rows:
        for name in row.names_before:
            if name not in earlier:
                hint = (
                    "Move it below that row." if name in known else f"Known rows: {', '.join(sorted(known))}."
                )
                fields.refuse(
                    "row-unknown",
                    f"row {row.id}",
                    f"The row “{row.id}” is counted from “{name}”, which does not stand above it.",
                    hint,
                )
        if row.until_row is not None and row.until_row not in known | set(POINTS):
            fields.refuse(
                "row-unknown",
                f"row {row.id}",
                f"“until” names “{row.until_row}”, which is no row.",
                f"Known rows: {', '.join(sorted(known))}.",
            )
        earlier.add(row.id)
    if not protocol.rows:
        fields.refuse("key-missing", "row", "The protocol has no rows.", "Add [[row]] tables.")
