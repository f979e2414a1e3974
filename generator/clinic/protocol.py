"""Protocol: one regimen as data, owned and signed by the unit. It states rules; the solver picks times."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from generator.clinic.fields import Fields, meant_by
from generator.clinic.row_file import row_from
from generator.clinic.rows import POINTS, RESERVED_BEGINNINGS, RESERVED_IDS, Row
from generator.finding import Finding, refusal

_HOUR = 60  # minutes
OVERRIDES = ("phosphate",)  # what no plan is made from without a clinical lead's reason in the signed file


@dataclass(frozen=True, slots=True)
class Slots:
    """The starts this protocol is for, as wall clock: `since` <= start < `until`."""

    since: dt.time
    until: dt.time

    def hold(self, start: dt.time) -> bool:
        """Whether a start lies in the band; the lower border belongs to it, the upper does not."""
        return self.since <= start < self.until


@dataclass(frozen=True, slots=True)
class MedicineGap:
    """How far the patient's own medicines keep from every dose: minutes before its start and after its end."""

    before: int
    after: int
    source: str


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
        usual_medicines: how far the patient's own medicines keep from the doses; None: the protocol says nothing.
        overrides: what is refused without it, one of OVERRIDES -> the clinical lead's reason to do it all the same.
        label_pieces: how many pieces the label states for one preparation; None: the protocol does not say.
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
    usual_medicines: MedicineGap | None = None
    label_pieces: int | None = None
    overrides: Mapping[str, str] = field(default_factory=dict)

    def __hash__(self) -> int:
        """The id tells a unit's protocols apart; whether two of one id are the same, equality says."""
        return hash(self.id)

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
    band = Slots(slots.clock("since"), slots.clock("until"))
    slots.close()
    if not findings and band.since >= band.until:
        fields.refuse(
            "value-invalid", "slots", "The band of slots is empty.", "Make “since” earlier than “until”."
        )
    protocol = Protocol(
        id=protocol_id,
        title=fields.text("title"),
        composition=fields.text("composition"),
        product=fields.text("product"),
        pieces=fields.whole("pieces", least=1, most=40),
        slots=band,
        rows=tuple(row_from(row) for row in fields.tables("row")),
        sources=fields.texts("sources"),
        partial=fields.flag("partial", False),
        usual_medicines=_medicine_gap_from(fields),
        label_pieces=fields.optional_whole("label_pieces", least=1, most=40),
        overrides=_overrides_from(fields.table("override", required=False)),
    )
    fields.close()
    findings += reference_findings(protocol.rows, file)
    if not protocol.rows:
        fields.refuse("key-missing", "row", "The protocol has no rows.", "Add [[row]] tables.")
    return protocol, findings


def _overrides_from(table: Fields) -> dict[str, str]:
    """Why the clinical lead has it all the same, by what is refused otherwise: phosphate = "…"."""
    overrides = {name: table.text(name) for name in OVERRIDES if table.has(name)}
    table.close()
    return overrides


def _medicine_gap_from(fields: Fields) -> MedicineGap | None:
    if not fields.has("usual_medicines"):
        return None
    table = fields.table("usual_medicines")
    gap = MedicineGap(
        table.minutes_of_hours("hours_before", least=0),
        table.minutes_of_hours("hours_after", least=0),
        table.text("source"),
    )
    table.close()
    return gap


def reference_findings(rows: Sequence[Row], where: str) -> Iterator[Finding]:
    """Faults of rows together: an id used twice, a row named that does not stand above, or that is no drink."""
    known: set[str] = set()
    for row in rows:
        if row.id in known or row.id in RESERVED_IDS or row.id.startswith(RESERVED_BEGINNINGS):
            yield refusal(
                "row-doubled",
                f"{where} row {row.id}",
                f"The row id “{row.id}” is used twice or reserved.",
                "Give each row an id of its own.",
            )
        known.add(row.id)
    drinks = {row.id for row in rows if row.glasses}
    earlier: set[str] = set(POINTS)
    for row in rows:
        for name in row.names_before:
            if name and name not in earlier:
                yield refusal(
                    "row-unknown",
                    f"{where} row {row.id}",
                    f"The row “{row.id}” is counted from “{name}”, which does not stand above it.",
                    "Move it below that row." if name in known - {row.id} else _nameable(name, earlier),
                )
        if row.until_row is not None and row.until_row not in known | set(POINTS):
            yield refusal(
                "row-unknown",
                f"{where} row {row.id}",
                f"“until” names “{row.until_row}”, which is no row.",
                _nameable(row.until_row, known | set(POINTS)),
            )
        for name in set(row.serves) - drinks:
            yield refusal(
                "row-unknown",
                f"{where} row {row.id}",
                f"“for” names “{name}”, which is no drink.",
                f"Known drinks: {', '.join(sorted(drinks)) or 'none'}.",
            )
        earlier.add(row.id)
    yield from _pause_findings(rows, where)
    yield from _phase_findings(rows, where)
    yield from _pace_findings(rows, where)


def _nameable(name: str, known: Iterable[str]) -> str:
    """What may be named in the place of a name that is nothing."""
    near = meant_by(name, known)
    return f"{f'Did you mean “{near}”? ' if near else ''}Name one of: {', '.join(sorted(known))}."


def _pause_findings(rows: Sequence[Row], where: str) -> Iterator[Finding]:
    """Pauses until something that is no drink below them: then they might never end."""
    for index, row in enumerate(rows):
        below = {other.id for other in rows[index + 1 :] if other.glasses}
        if row.kind == "pause" and row.until_row is not None and row.until_row not in below:
            yield refusal(
                "row-unknown",
                f"{where} row {row.id}",
                f"The pause lasts until “{row.until_row}”, which is no drink below it.",
                f"Drinks below it: {', '.join(sorted(below)) or 'none'}.",
            )


def _phase_findings(rows: Sequence[Row], where: str) -> Iterator[Finding]:
    """Sessions of drinking that may hold more together than the clear-drinks phase allows in all."""
    sessions = [row.glasses for row in rows if row.glasses is not None]
    total = sum(glasses.most_ml or glasses.total_ml for glasses in sessions)
    for row in rows:
        if row.phase is not None and row.phase.most_ml is not None and row.phase.most_ml < total:
            yield refusal(
                "amount-over-most",
                f"{where} row {row.id} most_ml",
                f"The drinks of the rows may come to {total} mL, more than the {row.phase.most_ml} mL of “{row.id}”.",
                "Mend the amounts of the rows, or most_ml.",
            )


def _pace_findings(rows: Sequence[Row], where: str) -> Iterator[Finding]:
    """Sessions that, drunk as fast as they may be, put more into an hour than another row allows for all drinks."""
    most = min((one for row in rows for one in _hourly_maxima(row)), default=None)
    for row in rows:
        if most is None or row.glasses is None or row.glasses.most_ml_per_hour == most:  # its own: told there
            continue
        glasses = -(-_HOUR // row.glasses.fastest_minutes)
        if min(glasses * row.glasses.ml, row.glasses.total_ml) > most:
            yield refusal(
                "pace-over-maximum",
                f"{where} row {row.id} fastest_minutes",
                f"“{row.id}” at its fastest, {row.glasses.ml} mL every {row.glasses.fastest_minutes} minutes, is more "
                f"than {most} mL in an hour.",
                "Give each glass more time, or mend most_ml_per_hour.",
            )


def _hourly_maxima(row: Row) -> Iterator[int]:
    for stated in (row.glasses, row.phase):
        if stated is not None and stated.most_ml_per_hour is not None:
            yield stated.most_ml_per_hour
