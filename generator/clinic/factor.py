"""Factor: something about the patient that blocks, forbids, proposes, adds or warns. It never switches by itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.clinic.instruction import MEDICINE_CLASSES
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
    """A row of the protocol that begins so many days earlier, such as a diet. `source` is what states it."""

    row: str
    days: int
    source: str


@dataclass(frozen=True, slots=True)
class Factor:
    """One circumstance of a patient, as the unit's factors.toml states it.

    Attributes:
        only_with: the protocols it matters for; empty: all. With any other it does and says nothing.
        block: why there is no automatic plan, or None.
        forbid: protocols that this patient must not be given.
        allow: the only protocols this patient may be given; empty: any that is not forbidden.
        propose: protocols to be considered instead; a nurse or doctor decides.
        ask: what a nurse or doctor decides before a plan is made, or None.
        warn: what staff should look at, or None.
        note: what staff may want to know, or None.
        rows, lengthen: what it adds; where it asks, only once a person has answered yes.
        steady: the phone never proposes a shorter pause between glasses to this patient: it says to call.
    """

    id: str
    title: str
    only_with: tuple[str, ...]
    block: str | None
    forbid: tuple[str, ...]
    allow: tuple[str, ...]
    propose: tuple[str, ...]
    ask: str | None
    warn: str | None
    note: str | None
    rows: tuple[AddedRow, ...]
    lengthen: tuple[Lengthening, ...]
    source: str
    steady: bool = False

    @property
    def changes_rows(self) -> bool:
        """Whether it adds or lengthens anything."""
        return bool(self.rows or self.lengthen)

    def concerns(self, protocol: str) -> bool:
        """Whether it matters for this protocol."""
        return not self.only_with or protocol in self.only_with


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
    source = fields.text("source")
    if fields.has("id") and fields.text("id") in MEDICINE_CLASSES:
        remedy = "Give the factor another id, such as “takes-lithium”."
        fields.refuse("value-invalid", "id", "A class of medicine has that name already.", remedy)
    factor = Factor(
        id=fields.identifier("id"),
        title=fields.text("title"),
        only_with=fields.choices("only_with", protocols),
        block=fields.optional_text("block"),
        forbid=fields.choices("forbid", protocols),
        allow=fields.choices("allow", protocols),
        propose=fields.choices("propose", protocols),
        ask=fields.optional_text("ask"),
        warn=fields.optional_text("warn"),
        note=fields.optional_text("note"),
        rows=tuple(_added_row(row) for row in fields.tables("row")),
        lengthen=tuple(_lengthening(row, source) for row in fields.tables("lengthen")),
        source=source,
        steady=fields.flag("steady", False),
    )
    if not any(
        (
            factor.block, factor.forbid, factor.allow, factor.propose,
            factor.ask, factor.warn, factor.note, factor.changes_rows, factor.steady,
        )
    ):  # fmt: skip
        fields.refuse(
            "factor-empty",
            "",
            f"The factor “{factor.id}” does nothing.",
            "Give it block, forbid, allow, propose, ask, warn, note, steady, [[factor.row]] or [[factor.lengthen]].",
        )
    fields.close()
    return factor


def _added_row(fields: Fields) -> AddedRow:
    above = fields.optional_text("above")
    return AddedRow(row_from(fields), above)


def _lengthening(fields: Fields, source: str) -> Lengthening:
    lengthening = Lengthening(
        fields.text("row"), fields.whole("days", least=1, most=30), fields.text("source", source)
    )
    fields.close()
    return lengthening
