"""Cases: bookings that are alike but for the day are solved once, and the answer is shifted to each day.

Alike means: same protocol, same hours and ways, same factors, and no clock change anywhere near either day.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row, WallClock
from generator.clinic.unit import Unit
from generator.plan.dated import dated
from generator.plan.moments import in_zone, is_steady, later, minutes_between
from generator.plan.planning import NOTHING_MORE, timetable_for, undated_timetable
from generator.plan.suited import Stated
from generator.plan.timetable import Timetable

_DAY = 1440  # minutes
Days = tuple[dt.timedelta, dt.timedelta]
_POINTS = (-_DAY, _DAY)  # when procedure, arrival and leaving may be: any hour, the way counted in


@dataclass(slots=True)
class _Solved:
    """A case: its timetable, from when on it no longer matters what time it is, and the day last asked for.

    Lists come by day, so that no other day is asked for again: `days` after the timetable's own, and what it is then.
    """

    timetable: Timetable
    earliest: dt.datetime
    days: int | None = None
    on_day: Timetable | None = None


class Cases:
    """Timetables of one unit's bookings; `timetable` gives what planning.timetable_for gives."""

    def __init__(self, unit: Unit, protocols: Mapping[str, Protocol], stated: Stated = NOTHING_MORE) -> None:
        self.unit, self.protocols, self.stated = unit, protocols, stated
        self._reach = {name: _reach_of(protocol) for name, protocol in protocols.items()}
        self._further = _further_days(stated)
        self._solved: dict[Hashable, _Solved] = {}

    def __len__(self) -> int:
        """How many cases are kept."""
        return len(self._solved)

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
        if found.on_day is None or found.days != days:
            # Wall clock and elapsed time agree there: no clock changes nearby.
            shifted = found.timetable.shifted(dt.timedelta(days=days)) if days else found.timetable
            found.days, found.on_day = days, dated(shifted, self.unit, None)
        timetable = found.on_day
        # An errand before closed days may have passed although nothing that the solver chose has.
        is_past = now is not None and any(step.start < now for step in timetable.steps[:1])
        return dated(timetable, self.unit, now) if is_past else timetable

    def _key(self, booking: Booking, start: dt.datetime) -> Hashable:
        """What makes two bookings alike; on a day near a clock change the day belongs to it."""
        back, forth = self._reach[booking.protocol]
        if booking.factors or booking.instructions:
            back, forth = back + self._further[0], forth + self._further[1]
        day = start.date()
        steady = is_steady(self.unit.zone, day - back, day + forth)
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


def _reach_of(protocol: Protocol) -> Days:
    """How many days before and after the procedure's day anything of a protocol may lie."""
    gap = protocol.usual_medicines
    return _days_of(protocol.rows, gap.before, gap.after) if gap else _days_of(protocol.rows)


def _days_of(rows: Iterable[Row], before: int = 0, after: int = 0) -> Days:
    """The same for the rows, with so many minutes before the first and after the last."""
    spans: dict[str, tuple[int, int]] = {}
    for row in rows:
        since, until = _span_of(row, spans)
        spans[row.id] = since, until + row.minutes
    first = min((since for since, _ in spans.values()), default=0) - before
    last = max((until for _, until in spans.values()), default=0) + after
    # Leaving home may be a day earlier.
    return dt.timedelta(days=max(1, -(first // _DAY))), dt.timedelta(days=max(1, last // _DAY))


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


def _further_days(stated: Stated) -> Days:
    """How many days more before and after the factors and instructions of a unit may reach."""
    factors = stated.factors.values()
    back, forth = _days_of(one.row for factor in factors for one in factor.rows)
    back += dt.timedelta(days=sum(longer.days for factor in factors for longer in factor.lengthen))
    for instruction in stated.instructions.values():
        back = max(back, dt.timedelta(days=-instruction.stands_on))
        again = max(instruction.again_day or 0, (instruction.again_minutes or 0) // _DAY + 1)
        forth = max(forth, dt.timedelta(days=again))
    return back, forth


def _earliest(timetable: Timetable) -> dt.datetime:
    """The earliest moment that the present one could have had a say about: five minutes before any start left."""
    starts = [timetable.procedure]
    for step in timetable.steps:
        starts.append(later(step.start, -step.leeway.earlier) if step.leeway else step.start)
    return min(starts) - dt.timedelta(minutes=5)
