"""Making: the main path from a row of a booking list to a link, in plain calls."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace

from generator.clinic.booking import Booking
from generator.desk.decisions import undecided, with_decisions
from generator.desk.mending import in_step
from generator.desk.objections import (
    change_findings,
    food_findings,
    is_refused,
    life_findings,
    missing_findings,
    permission_findings,
    still_up_findings,
)
from generator.desk.publishing import Made, publish
from generator.desk.rendering import Desk, plan_booklet, timetable_of
from generator.finding import Finding
from generator.intake import Reading, RowReading, read_list
from generator.materials.unit_folder import UnitFolder
from generator.plan.moments import in_zone
from generator.records import PlanRecord
from generator.records.inputs import Inputs

# What a person decides about a booking, not a list: a list that says nothing of it changes nothing of it.
_DECIDED = ("call_first", "factors", "instructions", "agreed", "cleared")


def read(folder: UnitFolder, raw: bytes, file: str, now: dt.datetime) -> Reading:
    """What each row of a booking list means; writes nothing."""
    return read_list(raw, file, folder.unit, folder.regimens, now)


def make_row(desk: Desk, row: RowReading) -> Made:
    """Publishes the plan of one row, or says what stands against it, and what an earlier link still shows."""
    known = in_step(desk, row.ref) if row.ref else None
    if row.booking is None:
        return Made(None, tuple(still_up_findings(desk, known)))
    decisions = desk.records.decisions(row.ref, row.digest)
    booking = with_decisions(row.booking, decisions, desk.folder.stated)
    booking = replace(booking, cleared=desk.records.clearance(row.ref, row.digest) or booking.cleared)
    made = make(desk, booking, row.findings, decisions)
    return made if made.link else Made(None, (*made.findings, *still_up_findings(desk, known)))


def make(desk: Desk, booking: Booking, findings: tuple[Finding, ...], decisions: Mapping[str, str]) -> Made:
    """Publishes a booking's plan; doing it again changes nothing.

    Args:
        findings: what the reading of the booking found.
        decisions: kind of finding -> what a person chose.
    """
    known = desk.records.find(booking.ref)
    given = known is not None and known.was_given
    inputs = _as_given(known, booking)
    settled = {*decisions, *inputs.settled}
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
    booklet = plan_booklet(desk, inputs, record.identity, timetable)
    found += missing_findings(booklet)
    if given:
        found += change_findings(record, booklet, timetable)
    if is_refused(found):
        return Made(None, tuple(found))
    digest = desk.folder.protocols[inputs.booking.protocol].digest
    inputs = replace(inputs, settled=tuple(sorted(settled))).with_given(timetable)
    return publish(desk, record, booklet, digest, inputs, found)


def _as_given(known: PlanRecord | None, booking: Booking) -> Inputs:
    """What the plan is made from: what a moved booking was made from, where the list says the same of it."""
    given = known.inputs if known is not None and known.identity.version > 1 else None
    if given is None:
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
