"""Making: the main path from a row of a booking list to a link, in plain calls."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from generator.clinic.booking import Booking
from generator.desk.decisions import undecided, with_decisions
from generator.desk.mending import in_step
from generator.desk.objections import (
    change_findings,
    food_findings,
    is_refused,
    life_findings,
    permission_findings,
    still_up_findings,
    wording_findings,
)
from generator.desk.publishing import Made, Ready, changed_meanwhile, publish, ready
from generator.desk.rendering import Desk, plan_booklet, timetable_of
from generator.finding import Finding, refusal
from generator.intake import Reading, RowReading, read_list
from generator.materials.unit_folder import UnitFolder
from generator.plan.moments import in_zone
from generator.records import PlanRecord
from generator.records.inputs import Inputs

# What a person decides about a booking, not a list: a list that says nothing of it changes nothing of it.
_DECIDED = ("call_first", "factors", "instructions", "agreed", "cleared", "medicines", "sedation", "speaks")


def read(folder: UnitFolder, raw: bytes, file: str, now: dt.datetime) -> Reading:
    """What each row of a booking list means; writes nothing."""
    return read_list(raw, file, folder.unit, folder.regimens, now)


def make_rows(desk: Desk, rows: Sequence[RowReading]) -> list[Made]:
    """Publishes the plans of some rows together, each a booking of its own.

    Returns:
        In their order the link of each, or what stands against it and what an earlier link still shows.
    """
    known = [in_step(desk, row.ref) if row.ref else None for row in rows]
    outcomes = [_row_ready(desk, row) for row in rows]
    published = iter(publish(desk, [one for one in outcomes if isinstance(one, Ready)]))
    made = [next(published) if isinstance(one, Ready) else one for one in outcomes]
    return [
        one if one.link else Made(None, (*one.findings, *still_up_findings(desk, record)))
        for one, record in zip(made, known, strict=True)
    ]


def _row_ready(desk: Desk, row: RowReading) -> Ready | Made:
    if row.booking is None:
        return Made(None, ())
    decisions = desk.records.decisions(row.ref, row.digest)
    booking = with_decisions(row.booking, decisions, desk.folder.stated)
    booking = replace(booking, cleared=desk.records.clearance(row.ref, row.digest) or booking.cleared)
    return _ready(desk, booking, row.findings, decisions)


def _ready(
    desk: Desk, booking: Booking, findings: tuple[Finding, ...], decisions: Mapping[str, str]
) -> Ready | Made:
    """A booking's plan, ready to be put up; doing it again changes nothing.

    Args:
        findings: what the reading of the booking found.
        decisions: kind of finding -> what a person chose.

    Returns:
        A plan that is not to be put up as `Made`, without a link.
    """
    known = desk.records.find(booking.ref)
    inputs = _as_given(known, booking)
    if (
        known is not None
        and known.inputs
        and known.inputs.at_desk
        and known.is_prepared
        and not inputs.at_desk
    ):
        return Made(None, (_waits_at_desk(known),))
    return ready_from(desk, known, inputs, findings, {*decisions, *inputs.settled})


def ready_from(
    desk: Desk,
    known: PlanRecord | None,
    inputs: Inputs,
    findings: tuple[Finding, ...],
    settled: Collection[str],
) -> Ready | Made:
    """A plan from these inputs, ready to be put up, or what stands against it.

    Args:
        known: the booking as it was read, if there is one; what another command makes of it meanwhile is not undone.
        settled: kinds of finding about which a person has decided.
    """
    booking, given = inputs.booking, known is not None and known.was_given
    stops = [
        *(life_findings(known) if known and given else ()),
        *permission_findings(desk, booking, given=given),
    ]
    if is_refused(stops):
        return Made(None, tuple(stops))
    timetable = timetable_of(desk, inputs, planned_at(desk, known))
    told = {finding.kind for finding in findings}
    told |= {"closed-day"} if "weekend" in told else set()  # the same, as a list's reading says it
    found = [
        *stops,
        *(finding for finding in timetable.findings if finding.kind not in told),
        *food_findings(desk, timetable),
    ]
    open_ends = undecided(booking.ref, (*findings, *found), settled, desk.folder, given=given)
    if is_refused(found) or open_ends:
        return Made(None, (*found, *open_ends))
    record = desk.records.open(booking.ref, booking.start, desk.now)
    if known is not None and known.is_prepared and record.inputs != known.inputs:
        return Made(None, (changed_meanwhile(booking.ref),))
    booklet = plan_booklet(desk, inputs, record.identity, timetable)
    found += wording_findings(desk, booklet, given=given)
    if given:
        found += change_findings(record, booklet, timetable)
    if is_refused(found):
        return Made(None, tuple(found))
    inputs = replace(inputs, settled=tuple(sorted(settled))).with_given(timetable)
    return ready(desk, record, booklet, inputs, found)


def _waits_at_desk(known: PlanRecord) -> Finding:
    return refusal(
        "booking-waits",
        known.ref,
        "This booking waits at the desk to be cleared, and the list says something else of it.",
        "Look at it in the console: clear it there, or withdraw it and build the list again.",
    )


def _as_given(known: PlanRecord | None, booking: Booking) -> Inputs:
    """What the plan is made from: what a person gave the booking at the desk, where the list says the same of it."""
    given = known.inputs if known is not None else None
    if known is None or given is None or not (given.at_desk or known.identity.version > 1):
        return Inputs(booking)
    same = {name: getattr(given.booking, name) for name in _DECIDED}
    if given.given is not None and booking.arrival == given.given.arrival:
        same["arrival"] = given.booking.arrival  # a list states what the plan worked out
    return given if replace(booking, **same) == given.booking else Inputs(booking)


def planned_at(desk: Desk, known: PlanRecord | None) -> dt.datetime:
    """The moment a plan is reckoned from: when it was made. One already given is not unmade by time that passes."""
    if known is not None and known.was_given:
        return in_zone(known.identity.made, desk.folder.unit.zone)
    return desk.now
