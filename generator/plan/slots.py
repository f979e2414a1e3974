"""Slots: which starts of a day a protocol can be prepared for, from how far away, and which cost a piece of the night.

For whoever offers appointments: worked out for a day on which no clock changes, for a patient without factors.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.rows import SESSION_KINDS, Before, Deadline
from generator.clinic.unit import Unit
from generator.finding import Finding, Severity, Verdict
from generator.plan.cases import Cases
from generator.plan.kindness import AWAKE_KINDS
from generator.plan.moments import from_epoch_minutes, instants_of, minutes_between
from generator.plan.nights import nights_between
from generator.plan.samples import SAMPLE_DAY
from generator.plan.timetable import Step, Timetable

QUARTER = 15  # minutes between the slots of the guide
TRAVELS = (0, 30, 60, 90)  # minutes
YES, NIGHT, NO = "yes", "night", "no"
_NIGHT_FINDING, _QUIET_FINDING = "night-awake", "quiet-short"


@dataclass(frozen=True, slots=True)
class SlotRow:
    """One start and way.

    Attributes:
        fits: YES; NIGHT: a step inside the unit's night is needed, or would leave more of the quiet that the unit
            wishes for before leaving home; NO: no times keep every rule.
        first_start: the first thing to do from the unit's last night on, before the examination; None: nothing is.
        evening_end: when a step ends that lasts from the evening into that night; None: none does.
        quiet_minutes: what is left between the last glass and leaving home; None: nothing is drunk that morning.
        because: ids: what kind of finding says so, then the rows (steps) it is about; empty for YES.
        problem: the same in a sentence for staff, or "".
        is_short: those quiet minutes are fewer than the unit wishes for.
        quiet_start: the first step, inside the night, with which more of them would be left; None: nothing would.
    """

    time: dt.time
    travel_minutes: int
    fits: str
    first_start: dt.datetime | None
    evening_end: dt.datetime | None
    quiet_minutes: int | None
    because: tuple[str, ...]
    problem: str = ""
    is_short: bool = False
    quiet_start: dt.datetime | None = None

    @property
    def is_eve(self) -> bool:
        """Whether the first start is before midnight."""
        return self.first_start is not None and self.first_start.date() < SAMPLE_DAY

    @property
    def hours(self) -> str:
        """The hours that matter to whoever offers it: until when the evening lasts, and when the first step comes."""
        if self.first_start is None:
            return f"to {self.evening_end:%H:%M}" if self.evening_end else "-"
        evening = f"to {self.evening_end:%H:%M}, " if self.evening_end else ""
        return f"{evening}{self.first_start:%H:%M}{' the eve' if self.is_eve else ''}"

    @property
    def quiet(self) -> str:
        """How few minutes are left before leaving home, where fewer than wished for, and what start would mend it."""
        other = f", or {self.quiet_start:%H:%M}" if self.quiet_start else ""
        return f", {self.quiet_minutes} min{other}" if self.is_short else ""

    def as_json(self) -> dict[str, object]:
        """The promised JSON form."""
        return {
            "time": f"{self.time:%H:%M}",
            "travel_minutes": self.travel_minutes,
            "fits": self.fits,
            "first_start": f"{self.first_start:%H:%M}" if self.first_start else None,
            "evening_end": f"{self.evening_end:%H:%M}" if self.evening_end else None,
            "first_day": None if self.first_start is None else -1 if self.is_eve else 0,
            "quiet_minutes": self.quiet_minutes,
            "quiet_start": f"{self.quiet_start:%H:%M}" if self.quiet_start else None,
            "because": list(self.because),
        }


@dataclass(frozen=True, slots=True)
class SlotGuide:
    """Every slot of a unit's day against ways of these lengths, in order of time, then of way."""

    protocol: str
    zone: str
    travels: tuple[int, ...]
    rows: tuple[SlotRow, ...]

    @property
    def times(self) -> tuple[dt.time, ...]:
        """The slots, each once."""
        return tuple(dict.fromkeys(row.time for row in self.rows))

    def at(self, time: dt.time) -> tuple[SlotRow, ...]:
        """The rows of one slot, by way."""
        return tuple(row for row in self.rows if row.time == time)

    def as_json(self) -> dict[str, object]:
        """The promised JSON form."""
        return {"protocol": self.protocol, "zone": self.zone, "rows": [row.as_json() for row in self.rows]}


def slot_guide(protocol: Protocol, unit: Unit, travels: Sequence[int] = TRAVELS) -> SlotGuide:
    """The guide for the hours in which the unit's procedures start, every quarter of an hour.

    Args:
        travels: minutes of the way to the unit; each is worked out once, in order.
    """
    ways = tuple(sorted(set(travels)))
    as_stated = Cases(unit, {protocol.id: protocol})
    quiets = {
        minutes: Cases(unit, {protocol.id: _keeping(protocol, minutes)})
        for minutes in range(unit.quiet_minutes, 0, -QUARTER)
    }
    rows = [_row(time, travel, protocol, as_stated, quiets) for time in _times(unit) for travel in ways]
    return SlotGuide(protocol.id, unit.zone, ways, tuple(rows))


def _keeping(protocol: Protocol, quiet: int) -> Protocol:
    """The protocol as if so many quiet minutes before leaving home were a rule; no plan is made from it."""
    rule = Deadline(Before("leaving", quiet), "the unit's quiet time")
    rows = [
        replace(row, deadlines=(*row.deadlines, rule))
        if row.kind in SESSION_KINDS and not row.at_unit
        else row
        for row in protocol.rows
    ]
    return replace(protocol, rows=tuple(rows))


def _times(unit: Unit) -> list[dt.time]:
    first, last = (at.hour * 60 + at.minute for at in (unit.listing.since, unit.listing.until))
    return [dt.time(minute // 60, minute % 60) for minute in range(first, last + 1, QUARTER)]


def _row(
    time: dt.time, travel: int, protocol: Protocol, as_stated: Cases, quiets: Mapping[int, Cases]
) -> SlotRow:
    unit = as_stated.unit
    start = instants_of(unit.zone, SAMPLE_DAY, time)[0]
    booking = Booking("-", start, protocol.id, unit.languages[:1], travel_minutes=travel)
    planned = as_stated.timetable(booking, None)
    if planned.verdict is Verdict.REFUSED:
        worst = next(one for one in planned.findings if one.severity is Severity.REFUSE)
        return SlotRow(time, travel, NO, None, None, None, _ids(worst), worst.problem)
    night, short = (_told(planned, kind) for kind in (_NIGHT_FINDING, _QUIET_FINDING))
    left = _quiet(planned)
    found = None if night or left is None else _quieter_night(booking, left, quiets)
    why = night or (short if found else None)
    return SlotRow(
        time,
        travel,
        NIGHT if why else YES,
        _first_start(planned, unit),
        _evening_end(planned, unit),
        left,
        _ids(why) if why else (),
        why.problem if why else "",
        short is not None,
        found,
    )


def _told(planned: Timetable, kind: str) -> Finding | None:
    return next((one for one in planned.findings if one.kind == kind), None)


def _quieter_night(booking: Booking, left: int, quiets: Mapping[int, Cases]) -> dt.datetime | None:
    """The first start of the plan that leaves more quiet than is left, as much as may be, at the cost of the night."""
    for minutes, cases in quiets.items():
        planned = cases.timetable(booking, None) if minutes > left else None
        if planned is not None and planned.steps:
            return _first_start(planned, cases.unit)
    return None


def _ids(finding: Finding) -> tuple[str, ...]:
    return (finding.kind, *finding.where.split(", "))


def _awake(planned: Timetable) -> list[Step]:
    """The protocol's steps before the procedure that somebody must be awake for."""
    return [
        step
        for step in planned.steps
        if step.leeway is not None and step.kind in AWAKE_KINDS and step.start < planned.procedure
    ]


def _night_begins(planned: Timetable, unit: Unit) -> dt.datetime:
    """When the unit's night before the procedure begins."""
    eve = planned.procedure.date() - dt.timedelta(days=1)
    return from_epoch_minutes(nights_between(unit, eve, eve)[0][0], unit.zone)


def _first_start(planned: Timetable, unit: Unit) -> dt.datetime | None:
    """The first step from the beginning of the night before the procedure on."""
    begins = _night_begins(planned, unit)
    return min([step.start for step in _awake(planned) if step.start >= begins], default=None)


def _evening_end(planned: Timetable, unit: Unit) -> dt.datetime | None:
    """When the last step ends that was begun before the night and lasts into it."""
    begins = _night_begins(planned, unit)
    ends = [step.end for step in _awake(planned) if step.end and step.start < begins < step.end]
    return max(ends, default=None)


def _quiet(planned: Timetable) -> int | None:
    day = planned.procedure.date()
    ends = [
        step.end
        for step in planned.steps
        if step.kind in SESSION_KINDS and step.end and step.end.date() == day and step.start < planned.leaving
    ]
    return minutes_between(max(ends), planned.leaving) if ends else None
