"""Preview: every page that there is, of an invented appointment, for whoever writes or checks the words.

Nothing is recorded or published.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.materials.unit_folder import UnitFolder
from generator.page.booklet import Booklet, Parts, booklet_for, life_booklet
from generator.page.life import Life, Notice
from generator.page.plan import Identity, Plan, Replaced
from generator.plan.moments import instants_of, later
from generator.plan.planning import timetable_for
from generator.plan.samples import usual_start
from generator.words.wording import Wording

_TOKEN = "preview".ljust(26, "2")
_DAYS_AHEAD = 2
_DAY = 24 * 60
_BASE_URL = "http://localhost/"


def preview_booklets(
    folder: UnitFolder, wording: Wording, parts: Parts, now: dt.datetime
) -> Iterator[tuple[str, Booklet]]:
    """Name -> booklet: a plan of each protocol, then each page that may take a plan's place.

    The appointment is in two days; its plan takes the place of an earlier one, holds an instruction of the unit
    and a medicine to call about, and the way is not known: so that these sentences are seen too.
    """
    identity = Identity(_TOKEN, "417", 2, "204816", now)
    start = now
    for protocol in folder.regimens.values():
        start = _start(folder, protocol, now)
        yield f"plan-{protocol.id}", booklet_for(_plan(folder, wording, protocol, start, identity), parts)
    for what in Life:
        notice = Notice(
            what=what,
            unit=folder.unit,
            languages=(wording.tag,),
            identity=identity,
            base_url=_BASE_URL,
            replaces=Replaced("286", start),
            begun=True,
            new_arrival=later(start, _DAY),
        )
        yield what.value, life_booklet(notice, {wording.tag: wording}, parts)


def _start(folder: UnitFolder, protocol: Protocol, now: dt.datetime) -> dt.datetime:
    day = now.date() + dt.timedelta(days=_DAYS_AHEAD)
    return instants_of(folder.unit.zone, day, usual_start(protocol))[0]


def _plan(
    folder: UnitFolder, wording: Wording, protocol: Protocol, start: dt.datetime, identity: Identity
) -> Plan:
    booking = Booking(
        ref="-",
        start=start,
        protocol=protocol.id,
        languages=(wording.tag,),
        call_first=("anticoagulant",),
        instructions=tuple(folder.stated.instructions),
    )
    timetable = timetable_for(booking, protocol, folder.unit, None, folder.stated)
    return Plan(
        unit=folder.unit,
        protocol=protocol,
        advice=folder.advice,
        booking=booking,
        timetable=timetable,
        identity=identity,
        wordings=(wording,),
        base_url=_BASE_URL,
        instructions=folder.stated.instructions,
        replaces=Replaced("286", later(start, -_DAY)),
    )
