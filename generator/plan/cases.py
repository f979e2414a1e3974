"""Cases: bookings that are alike but for the day are solved once, and the answer is shifted to each day.

Alike means: same protocol, same hours and ways, same factors, and no clock change anywhere near either day.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, replace

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row, WallClock
from generator.clinic.unit import Unit
from generator.plan.dated import dated
from generator.plan.moments import in_zone, is_steady, later, minutes_between
from generator.plan.planning import NOTHING_MORE, timetable_for, undated_timetable
from generator.plan.suited import Stated
from generator.plan.timetable import Timetable

_KEPT = 256
_DAY = 1440  # minutes
_POINTS = (-_DAY, _DAY)  # when procedure, arrival and leaving may be: any hour, the way counted in


@dataclass(frozen=True, slots=True)
class _Solved:
    """A timetable, and from when on it no longer matters what time it is."""

    timetable: Timetable
    earliest: dt.datetime


class Cases:
    """Timetables of one unit's bookings; `timetable` gives what planning.timetable_for gives."""

    def __init__(self, unit: Unit, protocols: Mapping[str, Protocol], stated: Stated = NOTHING_MORE) -> None:
        self.unit, self.protocols, self.stated = unit, protocols, stated
        self._reach = {name: _reach_of(protocol) for name, protocol in protocols.items()}
        self._further = _further_days(stated)
        self._solved: dict[Hashable, _Solved] = {}
        self._on_day: dict[Hashable, Timetable] = {}

    def timetable(self, booking: Booking, now: dt.datetime | None) -> Timetable:
        """The timetable of a booking; see planning.timetable_for."""
        start = in_zone(booking.start, self.unit.zone)
        key = self._key(booking, start)
        found = self._solved.get(key)
        if found is None:
            solved = undated_timetable(
                booking, self.protocols[booking.protocol], self.unit, None, self.stated
            )
            found = self._solved[key] = _Solved(solved, _earliest(solved))
        days = (start.date() - found.timetable.procedure.date()).days
        if now is not None and found.earliest + dt.timedelta(days=days) < now:
            return timetable_for(booking, self.protocols[booking.protocol], self.unit, now, self.stated)
        if (key, days) not in self._on_day:
            if len(self._on_day) >= _KEPT:  # lists come by day: what was long ago is not asked for again
                self._on_day.clear()
            shifted = _shifted(found.timetable, dt.timedelta(days=days))
            self._on_day[key, days] = dated(shifted, self.unit, None)
        timetable = self._on_day[key, days]
        # An errand before closed days may have passed although nothing that the solver chose has.
        is_past = now is not None and any(step.start < now for step in timetable.steps[:1])
        return dated(timetable, self.unit, now) if is_past else timetable

    def _key(self, booking: Booking, start: dt.datetime) -> Hashable:
        """What makes two bookings alike; on a day near a clock change the day belongs to it."""
        back, forth = self._reach[booking.protocol]
        if booking.factors or booking.instructions:
            back, forth = back + self._further[0], forth + self._further[1]
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
            booking.agreed,
            booking.medicines,
            booking.instructions,
            booking.call_first,
        )


def _minutes(start: dt.datetime, moment: dt.datetime | None) -> int | None:
    return None if moment is None else minutes_between(start, moment)


def _reach_of(protocol: Protocol) -> tuple[int, int]:
    """How many days before and after the procedure's day anything of a protocol may lie."""
    back, forth = _days_of(protocol.rows)
    gap = protocol.usual_medicines
    return (back + -(-gap.before // _DAY), forth + -(-gap.after // _DAY)) if gap else (back, forth)


def _days_of(rows: Iterable[Row]) -> tuple[int, int]:
    """How many days before and after the procedure's day anything of the rows may lie."""
    spans: dict[str, tuple[int, int]] = {}
    for row in rows:
        since, until = _span_of(row, spans)
        spans[row.id] = since, until + row.minutes
    first = min((since for since, _ in spans.values()), default=0)
    last = max((until for _, until in spans.values()), default=0)
    return max(1, -(first // _DAY)), max(1, last // _DAY)  # leaving home may be a day earlier


def _span_of(row: Row, spans: Mapping[str, tuple[int, int]]) -> tuple[int, int]:
    """The earliest and latest start that the row names, in minutes from midnight of the procedure's day."""
    named = []
    for anchor in row.anchors:
        if isinstance(anchor, WallClock):
            at = anchor.day * _DAY + anchor.at.hour * 60 + anchor.at.minute
            named.append((at, at))
        else:
            since, until = spans.get(anchor.point, _POINTS)
            named.append((since - anchor.minutes, until - anchor.minutes))
    for gap in row.gaps:
        since, until = spans.get(gap.row, _POINTS)
        named.append((since + (gap.at_least or 0), until + (gap.at_most or gap.at_least or 0)))
    return min((since for since, _ in named), default=0), max((until for _, until in named), default=0)


def _further_days(stated: Stated) -> tuple[int, int]:
    """How many days more before and after the factors and instructions of a unit may reach."""
    factors = stated.factors.values()
    back, forth = _days_of(one.row for factor in factors for one in factor.rows)
    back += sum(longer.days for factor in factors for longer in factor.lengthen)
    for instruction in stated.instructions.values():
        back = max(back, -instruction.stands_on)
        forth = max(forth, instruction.again_day or 0, (instruction.again_minutes or 0) // _DAY + 1)
    return back, forth


def _earliest(timetable: Timetable) -> dt.datetime:
    """The earliest moment that the present one could have had a say about: five minutes before any start left."""
    starts = [timetable.procedure]
    for step in timetable.steps:
        starts.append(later(step.start, -step.leeway.earlier) if step.leeway else step.start)
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
        steps=tuple([step.shifted(by) for step in timetable.steps]),
    )
