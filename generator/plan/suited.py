"""Suited: the protocol as it stands for one patient and visit: factors, sedation, a second procedure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from generator.clinic.booking import Booking
from generator.clinic.factor import Factor, Lengthening
from generator.clinic.instruction import Instruction
from generator.clinic.plausible import override_findings
from generator.clinic.protocol import Protocol, reference_findings
from generator.clinic.rows import Before, Deadline, Row, WallClock
from generator.clinic.unit import Unit, VisitProcedure
from generator.finding import Finding, Severity, note, refusal, warning
from generator.plan.fixed import Fixed
from generator.plan.moments import from_epoch_minutes
from generator.plan.network import ORIGIN
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
    for name in dict.fromkeys(booking.factors):
        if name in stated.factors:
            factor = stated.factors[name]
            if factor.concerns(protocol.id):
                findings += _factor_findings(factor, protocol)
        else:
            known = ", ".join(stated.factors) or "none yet, in factors.toml"
            findings.append(
                refusal(
                    "factor-unknown", name, f"The unit states no factor “{name}”.", f"It states: {known}."
                )
            )
    factors = factors_at_work(booking, stated)
    # The sedation first: a factor then lengthens the row as it stands for this patient.
    rows = _for_sedation(protocol.rows, booking.sedation)
    days = {row.id: row.anchor.day for row in rows if isinstance(row.anchor, WallClock)}
    for factor in factors:
        rows, told = _with_factor(rows, factor, days)
        findings += told
    if factors:
        findings += reference_findings(rows, protocol.id)
    rows = _for_sedation(rows, booking.sedation)
    rows, told = _with_other_procedures(rows, booking, unit, fixed)
    suited = protocol if rows == protocol.rows else replace(protocol, rows=rows)
    refused = [one for one in override_findings(suited) if one.severity is Severity.REFUSE]
    return suited, [*findings, *told, *refused]


def factors_at_work(booking: Booking, stated: Stated) -> list[Factor]:
    """The booking's factors whose rows and lengthenings are in its plan.

    A question is not its answer: nothing is added before a person has said yes.
    """
    known = [stated.factors[name] for name in dict.fromkeys(booking.factors) if name in stated.factors]
    return [
        factor
        for factor in known
        if factor.concerns(booking.protocol) and (factor.ask is None or factor.id in booking.agreed)
    ]


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


def _with_factor(
    rows: tuple[Row, ...], factor: Factor, days: Mapping[str, int]
) -> tuple[tuple[Row, ...], list[Finding]]:
    """The rows with what the factor lengthens and adds; `days` are those on which the protocol's own rows begin."""
    findings = []
    for longer in factor.lengthen:
        if longer.row in days:
            day = days[longer.row] - longer.days
            rows = tuple(_begun_earlier(row, day, longer) if row.id == longer.row else row for row in rows)
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


def _begun_earlier(row: Row, day: int, longer: Lengthening) -> Row:
    """Where several factors lengthen a row the longest holds: nobody states their sum."""
    if not isinstance(row.anchor, WallClock) or row.anchor.day <= day:
        return row
    return replace(row, anchor=WallClock(day, row.anchor.at), source=longer.source)


def _nothing_to_change(factor: Factor, row: str) -> Finding:
    return refusal(
        f"factor-without-row:{factor.id}",
        row,
        f"{factor.title}: the unit changes the row “{row}”, and this protocol has no such row with a day of its own.",
        "Have the clinical lead mend factors.toml or the protocol.",
    )


def _for_sedation(rows: tuple[Row, ...], sedation: str | None) -> tuple[Row, ...]:
    """The rows as they stand for this kind of sedation; where it is unknown every rule holds."""
    return rows if sedation is None else tuple(_with_sedation(row, sedation) for row in rows)


def _with_sedation(row: Row, sedation: str) -> Row:
    other = next((one for one in row.instead if sedation in one.sedation), None)
    return replace(
        row,
        anchor=other.anchor if other else row.anchor,
        source=other.source if other else row.source,
        instead=(),
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
        rows = tuple(_stopped_for(row, other.id, rule, fixed) for row in rows)
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


def _stopped_for(row: Row, other: str, rule: VisitProcedure, fixed: Fixed) -> Row:
    """A row "nothing more" with another procedure's fasting rule; where its own moment hangs on a row, both hold."""
    if row.kind != "stop-drinking":
        return row
    anchor = Before(other, rule.fasting_minutes)
    try:
        (name, minutes) = resolved(row.id, row.anchor, fixed) if row.anchor else ("chosen", 0)
    except NoSuchMoment:  # told when the row itself is placed
        return row
    if name != ORIGIN:
        return replace(row, deadlines=(*row.deadlines, Deadline(anchor, rule.source)))
    earlier = resolved(row.id, anchor, fixed)[1] < minutes
    return replace(row, anchor=anchor, source=rule.source) if earlier else row
