"""Booking + Protocol + Unit -> Timetable: the fixed moments, the solved rows, the reasons, the findings."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from operator import attrgetter

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row, WallClock
from generator.clinic.unit import Unit
from generator.finding import Finding, Verdict, verdict_of
from generator.plan.booked import booking_findings
from generator.plan.choice import Choice, kindest_of
from generator.plan.dated import dated
from generator.plan.fixed import Fixed, fixed_for
from generator.plan.held import ahead, hanging, with_begun
from generator.plan.hourly import crowded_finding, hour_rule, hourly_findings
from generator.plan.instructed import instruction_findings, instruction_steps
from generator.plan.kindness import Wishes
from generator.plan.medicine_gaps import medicine_gaps
from generator.plan.moments import from_epoch_minutes, in_zone, offset_minutes
from generator.plan.network import Collision, Crowded, TooWide
from generator.plan.nights import nights_between
from generator.plan.reasons import reasons_for
from generator.plan.refused import (
    begun_finding,
    clock_change_finding,
    collision_finding,
    missed_finding,
    open_row_findings,
    too_wide_finding,
)
from generator.plan.remarks import remarks
from generator.plan.rules import NoSuchMoment, rules_for
from generator.plan.soonest import Room, room_of
from generator.plan.steps import own_steps, row_steps
from generator.plan.suited import Stated, suited_to
from generator.plan.timetable import Step, Timetable
from generator.plan.usual import with_usual_times
from generator.plan.yardsticks import yardsticks_for

NOTHING_MORE = Stated()
_NEAR_DAYS = 8  # how many days earlier than any wall clock a row may be that is counted in hours


@dataclass(frozen=True, slots=True)
class Case:
    """One booking with the protocol as it stands for it, ready to be solved."""

    booking: Booking
    protocol: Protocol
    unit: Unit
    fixed: Fixed
    now: dt.datetime | None
    begun: Mapping[str, dt.datetime]

    def moment(self, minutes: int) -> dt.datetime:
        """Epoch minutes on the unit's clocks."""
        return from_epoch_minutes(minutes, self.fixed.zone)


def timetable_for(
    booking: Booking,
    protocol: Protocol,
    unit: Unit,
    now: dt.datetime | None,
    stated: Stated = NOTHING_MORE,
    begun: Mapping[str, dt.datetime] | None = None,
) -> Timetable:
    """The steps of a booking at exact moments, or the findings that say why there are none.

    Args:
        now: the moment of planning, zone-aware; nothing that can still be done is planned before it. None:
            nothing counts as past.
        stated: the unit's factors and instructions.
        begun: row id -> moment at which the patient already began it; it stays there.
    """
    return dated(undated_timetable(booking, protocol, unit, now, stated, begun), unit, now)


def undated_timetable(
    booking: Booking,
    protocol: Protocol,
    unit: Unit,
    now: dt.datetime | None,
    stated: Stated = NOTHING_MORE,
    begun: Mapping[str, dt.datetime] | None = None,
) -> Timetable:
    """A timetable before anything that hangs on the calendar: it is the same, shifted, on any like day."""
    fixed = fixed_for(
        booking.start, booking.arrival, booking.travel_minutes, unit, booking.pick_up, booking.others
    )
    suited, findings = suited_to(booking, protocol, unit, stated, fixed)
    findings += [*booking_findings(booking, suited, unit, fixed), *instruction_findings(booking, stated)]
    steps: list[Step] = []
    if verdict_of(findings) is not Verdict.REFUSED:
        made = None if now is None else in_zone(now, unit.zone)
        case = Case(booking, suited, unit, fixed, made, begun or {})
        steps, told = _planned(case)
        findings += told
        if steps:
            steps += instruction_steps(booking, stated, fixed)
            findings += remarks(booking, suited, unit, fixed, steps)
    first = from_epoch_minutes(fixed.procedure, fixed.zone)
    return Timetable(
        unit.zone,
        in_zone(booking.start, unit.zone),
        from_epoch_minutes(fixed.arrival, fixed.zone),
        from_epoch_minutes(fixed.leaving, fixed.zone),
        tuple(sorted(steps, key=attrgetter("start", "at_unit"))),
        tuple(findings),
        yardsticks_for(suited, steps, first, booking.latest_start) if steps else (),
        _is_steady(booking, stated),
    )


def _is_steady(booking: Booking, stated: Stated) -> bool:
    """Whether a factor keeps this patient's pace; what its question is answered does not matter here."""
    factors = [stated.factors[name] for name in booking.factors if name in stated.factors]
    return any(factor.steady and factor.concerns(booking.protocol) for factor in factors)


def _planned(case: Case) -> tuple[list[Step], list[Finding]]:
    """The rows at their kindest times, and the steps every plan has; or no steps, and the findings that say why."""
    protocol, fixed = case.protocol, case.fixed
    rows = {row.id: row for row in protocol.rows}
    wishes = _wishes(case)
    try:
        left, told = _room(case)
        if left is None:
            return [], told
        room, missed = (left, ()) if case.now is None else ahead(left, protocol, case.now, case.begun)
        room, usual = with_usual_times(room, protocol, fixed)
        choice = kindest_of(room, rows, wishes)
        astray = [row for row in hanging(choice, room.rules, missed) if _is_to_take(rows[row], choice, case)]
        if astray:
            return [], [*told, missed_finding(missed, astray)]
        reasons = reasons_for(room, choice, rows, wishes, case.begun)
    except NoSuchMoment as no:
        return [], [clock_change_finding(no)]
    except TooWide:
        return [], [too_wide_finding(tuple(rows))]
    except Crowded:
        return [], [_crowded_finding(case)]
    steps = [
        *row_steps(protocol, left, choice, fixed, case.begun, reasons),
        *own_steps(case.booking, case.unit, _moments(case)),
    ]
    over = hourly_findings(protocol, steps)
    gaps, without = medicine_gaps(protocol, steps, fixed, wishes.nights)
    return ([] if over else [*steps, *gaps]), [*told, *usual, *over, *without]


def _crowded_finding(case: Case) -> Finding:
    """Too much in one hour: by the protocol's figures, or because of what was begun and when."""
    rows = case.protocol.rows
    if case.begun:
        return begun_finding(case.begun, Collision((hour_rule(rows),), 0), case.unit.zone)
    return crowded_finding(rows)


def _is_to_take(row: Row, choice: Choice, case: Case) -> bool:
    """Whether a row gives bowel medicine that lies ahead."""
    return row.medicine and (case.now is None or case.moment(choice.starts[row.id]) >= case.now)


def _room(case: Case) -> tuple[Room | None, list[Finding]]:
    """What the hard rules leave, with what was begun; None: nothing, and why."""
    rules = rules_for(case.protocol, case.fixed)
    told: list[Finding] = []
    if case.begun:
        whole = room_of(rules)
        rules, told = with_begun(rules, case.protocol, case.begun, case.unit.zone)
        found = room_of(rules)
        if isinstance(found, Collision) and not isinstance(whole, Collision):
            return None, [begun_finding(case.begun, found, case.unit.zone)]
    room = room_of(rules)
    if isinstance(room, Room):
        findings = open_row_findings(room)
        return (None, findings) if findings else (room, told)
    return None, [*told, collision_finding(room, case.protocol)]


def _moments(case: Case) -> tuple[dt.datetime, dt.datetime, dt.datetime]:
    fixed = case.fixed
    return case.moment(fixed.procedure), case.moment(fixed.arrival), case.moment(fixed.leaving)


def _wishes(case: Case) -> Wishes:
    last = case.protocol.last_medicine_row
    return Wishes(
        nights=_nights(case),
        quiet=case.unit.quiet_minutes,
        leaving=case.fixed.leaving,
        offset=offset_minutes(case.moment(case.fixed.procedure)),
        last=last.id if last else None,
    )


def _nights(case: Case) -> tuple[tuple[int, int], ...]:
    """The unit's nights around the plan."""
    first, last = (case.fixed.day + dt.timedelta(days=day) for day in _days_named(case.protocol))
    return nights_between(case.unit, first, last)


@lru_cache(maxsize=128)  # as many as rules_for keeps
def _days_named(protocol: Protocol) -> tuple[int, int]:
    """From which day to which a plan may reach, counted from the procedure's day."""
    days = [anchor.day for row in protocol.rows for anchor in row.anchors if isinstance(anchor, WallClock)]
    return min(days, default=0) - _NEAR_DAYS, max(days, default=0) + 1
