"""Rows: what each row of a booking list means, with everything found in it; nothing is guessed or lost."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import unicodedata
from collections.abc import Mapping

from generator.clinic.protocol import Protocol
from generator.clinic.unit import Unit
from generator.finding import Finding, RowVerdict, note, refusal, row_verdict_of, warning
from generator.intake.appointments import appointment_from
from generator.intake.choices import is_booking, languages_for, procedure_findings, protocol_for
from generator.intake.days import date_order_for, formula_finding
from generator.intake.doubles import settled
from generator.intake.reading import BUILT, Reading, RowReading
from generator.intake.readings import travel_from
from generator.intake.remarks import damage_findings, hint_findings
from generator.intake.spans import plan_findings
from generator.intake.tables import Cell, ListRow, table_from
from generator.plan.fixed import fixed_for


def read_list(
    raw: bytes,
    file: str,
    unit: Unit,
    protocols: Mapping[str, Protocol],
    now: dt.datetime,
) -> Reading:
    """What the list in these bytes means, row by row.

    Args:
        raw: the file as it came.
        file: its name, for messages.
        protocols: the unit's protocols by id.
        now: the moment of reading, zone-aware.
    """
    table, refused = table_from(raw, file, unit.listing)
    if table is None:
        return Reading(file, refused, ())
    ours = [row for row in table.rows if is_booking(row, unit.listing)]
    order, refused = date_order_for(table.rows, ours, unit.listing, file)
    if refused is not None:
        return Reading(file, refused, (), table.blank, table.totals, table.headings)
    readings = [
        row_reading(row, order, unit, protocols, now) if is_booking(row, unit.listing) else _elsewhere(row)
        for row in table.rows
    ]
    reading = Reading(file, None, tuple(readings), table.blank, table.totals, table.headings)
    return settled((reading,))[0]


def row_reading(
    row: ListRow,
    order: str | None,
    unit: Unit,
    protocols: Mapping[str, Protocol],
    now: dt.datetime,
) -> RowReading:
    """What a colonoscopy's row means, with all its findings at once."""
    cells = row.cells
    findings = [*_ref_findings(row), *_shape_findings(row)]
    appointment, told = appointment_from(row, order, unit, now)
    findings += told + procedure_findings(row, unit.listing)
    protocol, told = protocol_for(cells["protocol"], appointment.at, unit, protocols)
    findings += told
    languages, told = languages_for(cells["language"], unit)
    findings += told
    travel, told = travel_from(cells["travel"])
    findings += told
    start, arrival = appointment.start, appointment.arrival
    if start is not None and protocol is not None and start >= now:
        fixed = fixed_for(start, arrival, travel, unit)
        findings += plan_findings(protocol, fixed, now, cells["date"].where)
    findings += [*hint_findings(cells["remarks"], unit.listing), *damage_findings(row)]
    return _reading(row, tuple(findings), start, arrival, protocol, languages, travel)


def _reading(
    row: ListRow,
    findings: tuple[Finding, ...],
    start: dt.datetime | None,
    arrival: dt.datetime | None,
    protocol: Protocol | None,
    languages: tuple[str, ...],
    travel: int | None,
) -> RowReading:
    verdict = row_verdict_of(findings)
    kept = verdict in BUILT  # a moment of a rejected row is one that nobody may rely on
    ref = _shown_ref(row, kept=kept)
    if row.uneven and not kept and not row.cells["ref"].empty:
        findings = (*findings, _withheld(row))
    return RowReading(
        row=str(row.line),
        ref=ref,
        verdict=verdict,
        start=start if kept else None,
        arrival=arrival if kept else None,
        protocol=protocol.id if protocol else None,
        languages=languages,
        travel_minutes=travel,
        findings=findings,
        digest=_digest(row),
    )


def _elsewhere(row: ListRow) -> RowReading:
    """The reading of a row that books no colonoscopy: counted, and its other cells are not looked into."""
    found = note(
        "procedure-not-colonoscopy",
        row.cells["procedure"].where,
        f"{row.cells['procedure'].quoted} names no colonoscopy.",
        "Nothing needs doing; if it is one, add the word to “procedures” under [list] in unit.toml.",
    )
    ref = _shown_ref(row, kept=False)
    return RowReading(str(row.line), ref, RowVerdict.SKIP, None, None, None, (), None, (found,), _digest(row))


def _ref_findings(row: ListRow) -> list[Finding]:
    where = row.cells["ref"].where
    remedy = "Type the appointment’s reference as it stands in the booking system."
    if row.cells["ref"].empty:
        return [refusal("ref-missing", where, "The row has no reference.", remedy)]
    if row.ref.startswith("="):
        return [formula_finding(row.cells["ref"], remedy)]
    if row.ref in (".", "..") or any(letter in "/\\\ufffd" or _is_unseen(letter) for letter in row.ref):
        return [
            refusal(
                "ref-invalid",
                where,
                "The reference has a slash, a lost letter or a character that cannot be seen.",
                f"{remedy} Letters, digits, spaces, hyphens and full stops can be used.",
            )
        ]
    return []


def _shape_findings(row: ListRow) -> list[Finding]:
    """What is wrong with the row as a whole: too many cells, or other rows taken into it."""
    findings = []
    if row.overflow:
        remarks: Cell = row.cells["remarks"]
        use = f"read as part of “{remarks.heading}”" if remarks.heading else "not used"
        findings.append(
            warning(
                "field-overflow",
                remarks.where,
                f"The row has more cells than the list has columns; those beyond the last were {use}.",
                "Check that each value is in its column; put quotation marks around a text with a separator.",
            )
        )
    if row.swallowed is not None:
        findings.append(
            refusal(
                "quote-unclosed",
                row.where,
                f"Lines {row.line} to {row.swallowed} were read as one row because of a quotation mark.",
                "Remove the quotation mark or close it where its text ends, and read the list again.",
            )
        )
    return findings


def _is_unseen(letter: str) -> bool:
    return unicodedata.category(letter) in ("Cc", "Cf", "Zl", "Zp")


def _withheld(row: ListRow) -> Finding:
    return note(
        "ref-withheld",
        row.cells["ref"].where,
        "The row has more or fewer cells than the list has columns, so what stands in the reference’s column may "
        "be something else. It is not repeated here.",
        "Look at the row in the list by its line, and see that each value stands in its column.",
    )


def _shown_ref(row: ListRow, *, kept: bool) -> str:
    """The reference; empty where a name may have slipped into its column and nothing else in the row holds."""
    if row.cells["ref"].empty or (row.uneven and not kept):
        return ""
    seen = "".join("\ufffd" if _is_unseen(letter) else letter for letter in row.ref)
    return unicodedata.normalize("NFC", seen)


def _digest(row: ListRow) -> str:
    used = {name: row.ref if name == "ref" else cell.text for name, cell in row.cells.items() if cell.heading}
    return hashlib.sha256(json.dumps(used, sort_keys=True, ensure_ascii=False).encode()).hexdigest()[:16]
