"""Booking + Protocol + Unit -> Timetable: the fixed moments, the solved rows, the reasons, the findings."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.unit import Unit
from generator.finding import Finding, Verdict, note, refusal, verdict_of, warning
from generator.plan.fixed import Fixed, fixed_for
from generator.plan.hourly import hourly_findings
from generator.plan.moments import (
    from_epoch_minutes,
    offset_minutes,
    wall_minute,
)
from generator.plan.network import NO_BOUND, Closed, Collision, Network
from generator.plan.reasons import reasons_for
from generator.plan.rules import NoSuchMoment, network_for
from generator.plan.solver import Solvable, TooWide, Wishes, solved
from generator.plan.steps import own_steps, row_steps
from generator.plan.timetable import Step, Timetable
from generator.plan.usual import with_usual_times
from generator.plan.yardsticks import yardsticks_for

Moments = tuple[dt.datetime, dt.datetime, dt.datetime]  # procedure, arrival, leaving
# Steps whose passing nobody must be told of when a booking is made late: they stay true afterwards.
_HARMLESS_WHEN_PAST = ("diet", "clear-fluids", "stop-drinking", "check", "wake")


def timetable_for(booking: Booking, protocol: Protocol, unit: Unit, now: dt.datetime | None) -> Timetable:
    """The steps of a booking at exact moments, or the findings that say why there are none.

    Args:
        now: the moment of planning, zone-aware; None: nothing counts as past.
    """
    fixed = fixed_for(booking.start, booking.arrival, booking.travel_minutes, unit)
    moments = _moments(fixed)
    findings = _travel_findings(booking, unit)
    if now is not None and moments[0] <= now:
        findings.append(
            refusal("past", "procedure", "The procedure lies in the past.", "Mend its day and time.")
        )
    steps: list[Step] = []
    try:
        network = network_for(protocol, fixed)
    except NoSuchMoment as no:
        findings.append(_clock_change(no))
    else:
        found = solved(
            network, {row.id: row for row in protocol.rows}, _wishes(protocol, unit, fixed, moments[0])
        )
        if isinstance(found, Collision):
            findings.append(_collision(found, protocol))
        else:
            findings += _open_rows(network, found[1])
            if verdict_of(findings) is not Verdict.REFUSED:
                kept, usual = _at_usual_times(found, protocol, fixed)
                findings += usual
                steps, told = _steps(booking, protocol, unit, fixed, kept, found[1])
                findings += told
    findings += _late_findings(steps, now)
    yardsticks = yardsticks_for(protocol, steps, moments[0]) if steps else ()
    return Timetable(unit.zone, *moments, tuple(steps), tuple(findings), yardsticks)


def _at_usual_times(found: Solvable, protocol: Protocol, fixed: Fixed) -> tuple[Solvable, list[Finding]]:
    """The same to solve, with the unit's usual times held where the hard rules leave room for them."""
    solver, closure = found
    network, closure, findings = with_usual_times(solver.network, closure, protocol, fixed)
    return (solver.for_network(network), closure), findings


def _steps(
    booking: Booking,
    protocol: Protocol,
    unit: Unit,
    fixed: Fixed,
    found: Solvable,
    left: Closed,
) -> tuple[list[Step], list[Finding]]:
    """The rows at their chosen times, and leaving, arriving and the procedure; or the findings that forbid them.

    `left` is what the hard rules alone leave; the windows told come from it.
    """
    solver, closure = found
    try:
        chosen = solver.chosen(closure)
        reasons = reasons_for(solver, closure, {row.id: row for row in protocol.rows}, chosen)
    except TooWide:
        return [], [_too_wide(solver.leaders)]
    rows = row_steps(protocol, solver.network, left, fixed, chosen, reasons)
    steps = sorted([*rows, *own_steps(booking, unit, _moments(fixed))], key=lambda step: step.start)
    findings = hourly_findings(protocol, steps)
    return ([] if findings else steps), findings


def _too_wide(rows: tuple[str, ...]) -> Finding:
    return refusal(
        "windows-too-wide",
        ", ".join(rows),
        "The windows of these rows leave too many choices to compare.",
        "Narrow the windows, or say with “after” how the rows follow each other.",
    )


def _moments(fixed: Fixed) -> Moments:
    procedure, arrival, leaving = (
        from_epoch_minutes(minutes, fixed.zone) for minutes in (fixed.procedure, fixed.arrival, fixed.leaving)
    )
    return procedure, arrival, leaving


def _travel_findings(booking: Booking, unit: Unit) -> list[Finding]:
    if booking.travel_minutes is not None:
        return []
    return [
        note(
            "travel-assumed",
            "leave",
            f"The way to the unit is not known: {unit.travel_minutes} minutes are assumed.",
            "If it takes longer, state the travel time.",
        )
    ]


def _wishes(protocol: Protocol, unit: Unit, fixed: Fixed, procedure: dt.datetime) -> Wishes:
    last = protocol.last_medicine_row
    return Wishes(
        nights=tuple(_nights(unit, fixed)),
        quiet=unit.quiet_minutes,
        leaving=fixed.leaving,
        offset=offset_minutes(procedure),
        last=last.id if last else None,
    )


def _nights(unit: Unit, fixed: Fixed) -> Iterator[tuple[int, int]]:
    """The unit's nights around the plan, wall clock; a border that the clocks skip is the end of the gap."""
    overnight = unit.night.since > unit.night.until
    for offset in range(-8, 2):
        day = fixed.day + dt.timedelta(days=offset)
        until_day = day + dt.timedelta(days=1 if overnight else 0)
        yield (
            wall_minute(unit.zone, day, _minutes(unit.night.since)),
            wall_minute(unit.zone, until_day, _minutes(unit.night.until)),
        )


def _minutes(at: dt.time) -> int:
    return at.hour * 60 + at.minute


def _open_rows(network: Network, closure: Closed) -> list[Finding]:
    return [
        refusal(
            "window-open",
            leader,
            f"Nothing says how {'early' if earliest < -NO_BOUND // 2 else 'late'} “{leader}” may start.",
            "Give the row a window with two ends.",
        )
        for leader in network.leaders
        for earliest, latest in [closure.window(leader)]
        if earliest < -NO_BOUND // 2 or latest > NO_BOUND // 2
    ]


def _collision(collision: Collision, protocol: Protocol) -> Finding:
    rules = collision.rules
    told = "; ".join(f"“{rule.row}” {rule.text} ({rule.source})" for rule in rules)
    rows = dict.fromkeys(rule.row for rule in rules)
    long = [row.id for row in protocol.rows if row.id in rows and row.glasses and row.minutes > 120]
    split = f"Split the dose “{long[0]}” over two sessions, or loosen" if long else "Loosen"
    return refusal(
        "rules-collide",
        ", ".join(rows),
        f"These rules cannot all be kept: {told}.",
        f"{split} one of them by {collision.minutes} minutes, or choose another slot or protocol.",
    )


def _clock_change(no: NoSuchMoment) -> Finding:
    if no.readings:
        readings = " or ".join(f"{reading:%H:%M%z}" for reading in no.readings)
        problem = f"{no.at:%H:%M} occurs twice on {no.day} ({readings})."
    else:
        problem = f"{no.at:%H:%M} does not exist on {no.day}: the clocks go forward."
    return refusal(
        "clock-change-at-row",
        no.row,
        problem,
        "Plan this booking with a protocol that states another time, or ask the clinical lead.",
    )


def _late_findings(steps: list[Step], now: dt.datetime | None) -> list[Finding]:
    past = [step.id for step in steps if now and step.start < now and step.kind not in _HARMLESS_WHEN_PAST]
    if not past:
        return []
    return [
        warning(
            "short-notice",
            ", ".join(past),
            f"The time of {len(past)} step(s) has passed already: {', '.join(past)}.",
            "Phone the patient, tell what can still be done, then record the decision.",
            decision=True,
        )
    ]
