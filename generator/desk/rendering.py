"""Rendering: from what the records keep to a booklet; the same records and unit files give the same bytes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace

from generator.clinic.booking import Booking
from generator.clinic.unit import Unit
from generator.materials.unit_folder import UnitFolder
from generator.page.booklet import Booklet, Parts, booklet_for, life_booklet
from generator.page.calendar_file import entries_of
from generator.page.life import Notice
from generator.page.plan import Identity, Plan, Replaced
from generator.plan.cases import Cases
from generator.plan.moments import in_zone
from generator.plan.planning import timetable_for
from generator.plan.timetable import Timetable
from generator.records import PlanRecord, Records
from generator.records.inputs import Inputs, NoticeInputs
from generator.shelves import Shelf
from generator.words.wording import Wording


@dataclass(frozen=True, slots=True)
class Desk:
    """What the desk works with.

    Attributes:
        now: the moment of this run, in whole seconds as the records keep them: a plan made again is reckoned from
            the same moment. Nothing here reads a clock.
        single_file: plans made in this run are also copied into one file for each language.
        seen: what a person had before them when they decided (PlanRecord.seen); a booking that is another by now is
            refused with `changed-meanwhile`. None: the booking is taken as it stands.
    """

    folder: UnitFolder
    wordings: Mapping[str, Wording]
    parts: Parts
    records: Records
    shelf: Shelf
    base_url: str
    now: dt.datetime
    cases: Cases
    single_file: bool = False
    seen: str | None = None


def languages_of(unit: Unit, booking: Booking) -> tuple[str, ...]:
    """The booklet's languages: the patient's first, and the unit's own, so that staff can read along."""
    return tuple(dict.fromkeys((*booking.languages, unit.languages[0])))


def timetable_of(desk: Desk, inputs: Inputs, made: dt.datetime) -> Timetable:
    """The timetable of a version as it was planned when it was made.

    Raises:
        KeyError: if the unit has no such protocol any more.
    """
    folder = desk.folder
    protocol = folder.regimens[inputs.booking.protocol]
    at = in_zone(made, folder.unit.zone)
    if not inputs.begun:
        return desk.cases.timetable(inputs.booking, at)
    return timetable_for(inputs.booking, protocol, folder.unit, at, folder.stated, inputs.begun)


def plan_of(
    desk: Desk,
    booking: Booking,
    timetable: Timetable,
    identity: Identity,
    replaces: Replaced | None = None,
) -> Plan:
    """All that the booklet of a plan is made from."""
    folder = desk.folder
    return Plan(
        unit=folder.unit,
        protocol=folder.regimens[booking.protocol],
        advice=folder.advice_for(in_zone(identity.made, folder.unit.zone).date()),
        booking=booking,
        timetable=timetable,
        identity=identity,
        base_url=desk.base_url,
        instructions=folder.stated.instructions,
        wordings=tuple(desk.wordings[tag] for tag in languages_of(folder.unit, booking)),
        replaces=replaces,
    )


def plan_booklet(desk: Desk, inputs: Inputs, identity: Identity, timetable: Timetable) -> Booklet:
    """The booklet of a plan."""
    plan = plan_of(desk, inputs.booking, timetable, identity, inputs.replaces)
    return booklet_for(plan, desk.parts, copies=desk.single_file)


def notice_booklet(desk: Desk, notice: NoticeInputs, identity: Identity) -> Booklet:
    """The booklet in a plan's place; it can always be made."""
    made = in_zone(notice.made, desk.folder.unit.zone)
    page = Notice(
        what=notice.what,
        unit=desk.folder.unit,
        languages=notice.languages,
        identity=replace(identity, made=made),
        base_url=desk.base_url,
        replaces=notice.replaces,
        begun=notice.begun,
        new_arrival=notice.new_arrival,
        advice=desk.folder.advice_for(made.date()),
    )
    return life_booklet(page, desk.wordings, desk.parts)


def replaced_by(desk: Desk, record: PlanRecord, timetable: Timetable | None) -> Replaced:
    """What a later page says of the plan that is up now, and which calendar entries it takes back."""
    start = in_zone(dt.datetime.fromisoformat(record.start), desk.folder.unit.zone)
    entries = entries_of(timetable) if timetable else ()
    return Replaced(record.identity.code, start, entries)
