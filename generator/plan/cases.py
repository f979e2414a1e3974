"""Cases: bookings that are alike but for the day are solved once, and the answer is shifted to each day.

Alike means: same protocol, same hours and ways, same factors, and no clock change anywhere near either day.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, replace

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.rows import Anchor, Row, WallClock
from generator.clinic.unit import Unit
from generator.plan.dated import dated
from generator.plan.moments import in_zone, is_steady, minutes_between
from generator.plan.planning import NOTHING_MORE, timetable_for, undated_timetable
from generator.plan.suited import Stated
from generator.plan.timetable import StartWindow, Step, Timetable

_DAY = 1440  # minutes
_AROUND = 2  # days beside the rows: how long a session, a way or a night may last


@dataclass(frozen=True, slots=True)
class _Solved:
    """A timetable, and from when on it no longer matters what time it is."""

    timetable: Timetable
    earliest: dt.datetime


class Cases:
    """Timetables of one unit's bookings; `timetable` gives what planning.timetable_for gives."""

    def __init__(self, unit: Unit, protocols: Mapping[str, Protocol], stated: Stated = NOTHING_MORE) -> None:
        self.unit, self.protocols, self.stated = unit, protocols, stated
        self._reach = {name: _days_of(protocol.rows, stated) for name, protocol in protocols.items()}
        self._solved: dict[Hashable, _Solved] = {}
        self._shifted: dict[Hashable, Timetable] = {}

    def timetable(self, booking: Booking, now: dt.datetime | None) -> Timetable:
        """The timetable of a booking; see planning.timetable_for."""
        start = in_zone(booking.start, self.unit.zone)
        key = self._key(booking, start)
        found = self._solved.get(key)
        if found is None:
            timetable = undated_timetable(
                booking, self.protocols[booking.protocol], self.unit, None, self.stated
            )
            found = self._solved[key] = _Solved(timetable, _earliest(timetable))
        days = (start.date() - found.timetable.procedure.date()).days
        if now is not None and found.earliest + dt.timedelta(days=days) < now:
            return timetable_for(booking, self.protocols[booking.protocol], self.unit, now, self.stated)
        if now is None and (key, days) in self._shifted:
            return self._shifted[key, days]
        timetable = dated(_shifted(found.timetable, dt.timedelta(days=days)), self.unit, now)
        if now is None:
            self._shifted[key, days] = timetable
        return timetable

    def _key(self, booking: Booking, start: dt.datetime) -> Hashable:
        """What makes two bookings alike; on a day near a clock change the day belongs to it."""
        back, forth = self._reach[booking.protocol]
        day = start.date()
        steady = is_steady(self.unit.zone, day - dt.timedelta(days=back), day + dt.timedelta(days=forth))
        return (
            booking.protocol,
            start.time(),
            None if steady else (day, start.fold),
            booking.travel_minutes,
            _minutes(start, booking.arrival),
            _minutes(start, booking.pick_up),
            _minutes(start, booking.latest_start),
            tuple((other.id, _minutes(start, other.start)) for other in booking.others),
            booking.provisional,
            booking.sedation,
            booking.factors,
            booking.medicines,
            booking.instructions,
            booking.call_first,
        )


def _minutes(start: dt.datetime, moment: dt.datetime | None) -> int | None:
    return None if moment is None else minutes_between(start, moment)


def _days_of(rows: Iterable[Row], stated: Stated) -> tuple[int, int]:
    """How many days before and after the procedure's day anything of a plan may lie, generously."""
    factors = stated.factors.values()
    added = [one.row for factor in factors for one in factor.rows]
    back = sum(longer.days for factor in factors for longer in factor.lengthen)
    forth = 0
    for row in (*rows, *added):
        for days in (_days_of_anchor(end) for end in row.anchors):
            back, forth = max(back, -days), max(forth, days)
        gaps = sum(abs(gap.at_most or gap.at_least or 0) for gap in row.gaps) // _DAY
        back, forth = back + gaps, forth + gaps
    for instruction in stated.instructions.values():
        back = max(back, -instruction.day)
        forth = max(forth, instruction.again_day or 0, (instruction.again_minutes or 0) // _DAY)
    return back + _AROUND, forth + _AROUND


def _days_of_anchor(anchor: Anchor) -> int:
    """Days from the procedure's day, away from it rounded up."""
    if isinstance(anchor, WallClock):
        return anchor.day
    days = -(abs(anchor.minutes) // _DAY + 1)
    return days if anchor.minutes > 0 else -days


def _earliest(timetable: Timetable) -> dt.datetime:
    """The earliest moment that the present one could have had a say about: five minutes before any start left."""
    starts = [timetable.procedure, *(step.start for step in timetable.steps)]
    starts += [step.window.earliest for step in timetable.steps if step.window]
    return min(starts) - dt.timedelta(minutes=5)


def _shifted(timetable: Timetable, by: dt.timedelta) -> Timetable:
    """The same on another day. Wall clock and elapsed time agree there: no clock changes nearby."""
    if not by:
        return timetable
    return replace(
        timetable,
        procedure=timetable.procedure + by,
        arrival=timetable.arrival + by,
        leaving=timetable.leaving + by,
        steps=tuple([_shifted_step(step, by) for step in timetable.steps]),
    )


def _shifted_step(step: Step, by: dt.timedelta) -> Step:
    window = step.window
    return Step(
        step.id,
        step.kind,
        step.start + by,
        None if step.end is None else step.end + by,
        window
        and StartWindow(window.earliest + by, window.latest + by, window.end_by and window.end_by + by),
        step.amounts,
        step.diet,
        step.medicine,
        step.because,
        step.check,
        step.instruction,
        {name: day + by for name, day in step.dates.items()} if step.dates else step.dates,
        step.past,
    )
