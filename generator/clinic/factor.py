"""Factor: something about the patient that blocks, forbids, proposes, adds or warns. It never switches by itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.clinic.row_file import row_from
from generator.clinic.rows import Row
from generator.finding import Finding


@dataclass(frozen=True, slots=True)
class AddedRow:
    """A row that a factor adds, above the protocol's row of that id; None: below all of them."""

    row: Row
    above: str | None


@dataclass(frozen=True, slots=True)
class Lengthening:
    """A row of the protocol that begins so many days earlier, such as a diet."""

    row: str
    days: int


@dataclass(frozen=True, slots=True)
class Factor:
    """One circumstance of a patient, as the unit's factors.toml states it.

    Attributes:
        block: why there is no automatic plan, or None.
        forbid: protocols that this patient must not be given.
        allow: the only protocols this patient may be given; empty: any that is not forbidden.
        propose: protocols to be considered instead; a nurse or doctor decides.
        ask: what a nurse or doctor decides before a plan is made, or None.
        warn: what staff should know, or None.
    """

    id: str
    title: str
    block: str | None
    forbid: tuple[str, ...]
    allow: tuple[str, ...]
    propose: tuple[str, ...]
    ask: str | None
    warn: str | None
    rows: tuple[AddedRow, ...]
    lengthen: tuple[Lengthening, ...]
    source: str


def factors_from(
    table: Mapping[str, Any], protocols: Iterable[str], file: str
) -> tuple[dict[str, Factor], list[Finding]]:
    """The unit's factors by id, and every finding; `protocols` are the ids it may name."""
    findings: list[Finding] = []
    fields, known = Fields(table, file, findings), tuple(protocols)
    factors: dict[str, Factor] = {}
    for entry in fields.tables("factor"):
        factor = _factor_from(entry, known)
        if factor.id in factors:
            entry.refuse(
                "factor-doubled", "id", f"The factor “{factor.id}” stands twice.", "Keep one of them."
            )
        factors[factor.id] = factor
    fields.close()
    return factors, findings


def _factor_from(fields: Fields, protocols: tuple[str, ...]) -> Factor:
    factor = Factor(
        id=fields.identifier("id"),
        title=fields.text("title"),
        block=fields.optional_text("block"),
        forbid=fields.choices("forbid", protocols),
        allow=fields.choices("allow", protocols),
        propose=fields.choices("propose", protocols),
        ask=fields.optional_text("ask"),
        warn=fields.optional_text("warn"),
        rows=tuple(_added_row(row) for row in fields.tables("row")),
        lengthen=tuple(_lengthening(row) for row in fields.tables("lengthen")),
        source=fields.text("source"),
    )
    if not any(
        (
            factor.block, factor.forbid, factor.allow, factor.propose,
            factor.ask, factor.warn, factor.rows, factor.lengthen,
        )
    ):  # fmt: skip
        fields.refuse(
            "factor-empty",
            "",
            f"The factor “{factor.id}” does nothing.",
            "Give it block, forbid, allow, propose, ask, warn, [[factor.row]] or [[factor.lengthen]].",
        )
    fields.close()
    return factor


def _added_row(fields: Fields) -> AddedRow:
    above = fields.optional_text("above")
    return AddedRow(row_from(fields), above)


def _lengthening(fields: Fields) -> Lengthening:
    lengthening = Lengthening(fields.text("row"), fields.whole("days", least=1, most=30))
    fields.close()
    return lengthening
