"""Suited: the protocol as it stands for one patient and visit: factors, sedation, a second procedure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from generator.clinic.booking import Booking
from generator.clinic.factor import Factor, Lengthening
from generator.clinic.instruction import Instruction
from generator.clinic.protocol import Protocol, reference_findings
from generator.clinic.rows import Before, Row, WallClock
from generator.clinic.unit import Unit
from generator.finding import Finding, note, refusal, warning
from generator.plan.fixed import Fixed
from generator.plan.moments import from_epoch_minutes
from generator.plan.rules import NoSuchMoment, resolved
from generator.plan.spoken import hours

_BEAR_IN_MIND = "Bear it in mind when you speak with the patient."


@dataclass(frozen=True, slots=True)
class Stated:
    """What a unit states besides its protocols, by id."""

    factors: Mapping[str, Factor] = field(default_factory=dict)
    instructions: Mapping[str, Instruction] = field(default_factory=dict)


def suited_to(
    booking: Booking, protocol: Protocol, unit: Unit, stated: Stated, fixed: Fixed
) -> tuple[Protocol, list[Finding]]:
    """The protocol with the rows that this patient's factors, sedation and visit ask for, and what to know."""
    findings = list(_slot_findings(protocol, fixed))
    factors = []
    for name in booking.factors:
        if name in stated.factors:
            factor = stated.factors[name]
            if factor.concerns(protocol.id):
                factors.append(factor)
                findings += _factor_findings(factor, protocol)
        else:
            known = ", ".join(stated.factors) or "none yet, in factors.toml"
            findings.append(
                refusal(
                    "factor-unknown", name, f"The unit states no factor “{name}”.", f"It states: {known}."
                )
            )
    rows = protocol.rows
    for factor in factors:
        if factor.ask is not None and factor.id not in booking.agreed:
            continue  # a question is not its answer: nothing is added before a person has said yes
        rows, told = _with_factor(rows, factor)
        findings += told
    if factors:
        findings += reference_findings(rows, protocol.id)
    rows = tuple(_for_sedation(row, booking.sedation) for row in rows)
    rows, told = _with_other_procedures(rows, booking, unit, fixed)
    return replace(protocol, rows=rows), findings + told


def _slot_findings(protocol: Protocol, fixed: Fixed) -> Iterator[Finding]:
    start = from_epoch_minutes(fixed.procedure, fixed.zone).time()
    if not protocol.slots.hold(start):
        yield refusal(
            "slot-outside",
            protocol.id,
            f"This protocol is for starts from {protocol.slots.since:%H:%M} to before {protocol.slots.until:%H:%M}; "
            f"this one is at {start:%H:%M}.",
            "Choose the protocol for that hour, or another slot.",
        )


def _factor_findings(factor: Factor, protocol: Protocol) -> Iterator[Finding]:
    """What one factor says about this protocol; it forbids and asks, and never chooses another one."""
    others = factor.propose or factor.allow
    consider = f" The unit proposes: {', '.join(others)}." if others else ""
    if factor.block is not None:
        yield refusal(
            f"factor-blocks:{factor.id}",
            factor.id,
            f"{factor.title}: no automatic plan. {factor.block} ({factor.source})",
            "Have a nurse or doctor plan this patient in person.",
        )
    if protocol.id in factor.forbid or (factor.allow and protocol.id not in factor.allow):
        yield refusal(
            f"factor-forbids:{factor.id}",
            factor.id,
            f"{factor.title}: the unit does not give “{protocol.id}” to such patients. ({factor.source})",
            f"Have a nurse or doctor choose another protocol.{consider}",
        )
    elif factor.propose and protocol.id not in factor.propose:
        yield warning(
            f"factor-proposes:{factor.id}",
            factor.id,
            f"{factor.title}: the unit proposes {', '.join(factor.propose)} instead. ({factor.source})",
            "A nurse or doctor confirms this protocol or chooses the other; nothing was switched.",
            decision=True,
        )
    yield from _questions_and_notes(factor)


def _questions_and_notes(factor: Factor) -> Iterator[Finding]:
    """What staff decide, look at, or may want to know."""
    if factor.ask is not None:
        yield warning(
            f"factor-asks:{factor.id}",
            factor.id,
            f"{factor.title}: {factor.ask} ({factor.source})",
            f"A nurse or doctor decides, and the decision is recorded.{_after_yes(factor)}",
            decision=True,
        )
    if factor.warn is not None:
        yield warning(
            f"factor-warns:{factor.id}",
            factor.id,
            f"{factor.title}: {factor.warn} ({factor.source})",
            _BEAR_IN_MIND,
        )
    if factor.note is not None:
        yield note(
            f"factor-notes:{factor.id}",
            factor.id,
            f"{factor.title}: {factor.note} ({factor.source})",
            _BEAR_IN_MIND,
        )


def _after_yes(factor: Factor) -> str:
    """What the plan gets when the factor's question is answered with yes."""
    earlier = [f"“{one.row}” begins {one.days} day(s) earlier ({one.source})" for one in factor.lengthen]
    further = [f"“{added.row.id}” is added ({added.row.source})" for added in factor.rows]
    return f" Once it is yes: {'; '.join(earlier + further)}." if factor.changes_rows else ""


def _with_factor(rows: tuple[Row, ...], factor: Factor) -> tuple[tuple[Row, ...], list[Finding]]:
    """The rows with what the factor lengthens and adds."""
    findings = []
    for longer in factor.lengthen:
        if any(row.id == longer.row and isinstance(row.anchor, WallClock) for row in rows):
            rows = tuple(_begun_earlier(row, longer) if row.id == longer.row else row for row in rows)
        else:
            findings.append(_nothing_to_change(factor, longer.row))
    made = list(rows)
    for added in factor.rows:
        at = next((index for index, row in enumerate(made) if row.id == added.above), None)
        if added.above is not None and at is None:
            findings.append(_nothing_to_change(factor, added.above))
        else:
            made.insert(len(made) if at is None else at, added.row)
    return tuple(made), findings


def _begun_earlier(row: Row, longer: Lengthening) -> Row:
    assert isinstance(row.anchor, WallClock)
    return replace(row, anchor=WallClock(row.anchor.day - longer.days, row.anchor.at), source=longer.source)


def _nothing_to_change(factor: Factor, row: str) -> Finding:
    return refusal(
        f"factor-without-row:{factor.id}",
        row,
        f"{factor.title}: the unit changes the row “{row}”, and this protocol has no such row with a day of its own.",
        "Have the clinical lead mend factors.toml or the protocol.",
    )


def _for_sedation(row: Row, sedation: str | None) -> Row:
    """The row as it stands for this kind of sedation; where it is unknown every rule holds."""
    if sedation is None:
        return row
    other = next((one for one in row.instead if sedation in one.sedation), None)
    return replace(
        row,
        anchor=other.anchor if other else row.anchor,
        source=other.source if other else row.source,
        windows=tuple(one for one in row.windows if not one.sedation or sedation in one.sedation),
        gaps=tuple(one for one in row.gaps if not one.sedation or sedation in one.sedation),
        deadlines=tuple(one for one in row.deadlines if not one.sedation or sedation in one.sedation),
    )


def _with_other_procedures(
    rows: tuple[Row, ...], booking: Booking, unit: Unit, fixed: Fixed
) -> tuple[tuple[Row, ...], list[Finding]]:
    """The row "nothing more" at the earliest cut-off of the visit: its own, or another procedure's fasting rule."""
    known = {other.id: other for other in unit.visit_procedures}
    findings = []
    for other in booking.others:
        if other.id not in known:
            findings.append(
                refusal(
                    "procedure-unknown",
                    other.id,
                    f"The unit states no fasting rule for “{other.id}”.",
                    f"Add a [[visit_procedure]] to unit.toml. It states: {', '.join(known) or 'none'}.",
                )
            )
            continue
        rule = known[other.id]
        anchor = Before(other.id, rule.fasting_minutes)
        rows = tuple(
            replace(row, anchor=anchor, source=rule.source)
            if row.kind == "stop-drinking" and _is_earlier(row, anchor, fixed)
            else row
            for row in rows
        )
        if not any(row.kind == "stop-drinking" for row in rows):
            findings.append(
                refusal(
                    "stop-missing",
                    other.id,
                    f"The protocol has no stop-drinking row, so that the fasting rule for “{other.id}” "
                    f"({hours(rule.fasting_minutes)}) cannot be kept.",
                    "Add the row to the protocol.",
                )
            )
    return rows, findings


def _is_earlier(row: Row, anchor: Before, fixed: Fixed) -> bool:
    if row.anchor is None:
        return True
    try:
        (name, minutes), (_, other) = resolved(row, row.anchor, fixed), resolved(row, anchor, fixed)
    except NoSuchMoment:  # told when the row itself is placed
        return False
    return name != "" or other < minutes
