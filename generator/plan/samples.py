"""Samples: how a protocol fares for its earliest, a middle and its last slot, without and with a way to go.

What is found is for the clinical lead: slots that cannot be prepared for, hours that hold too much, and moments at
which the plan sends people to the telephone while nobody answers it. `departures` holds samples to published rules.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.unit import Unit
from generator.finding import Finding, Severity, Verdict, warning
from generator.plan.hourly import fullest_hour, sessions_of
from generator.plan.moments import epoch_minutes, instants_of, minutes_between
from generator.plan.opening import calls_for
from generator.plan.planning import timetable_for
from generator.plan.timetable import Timetable

SAMPLE_DAY = dt.date(2027, 6, 16)  # a Wednesday on which no zone changes its clocks
LONG_WAY = 90  # minutes; common practice, no source: the longest way that units plan an early slot for
MUCH_IN_AN_HOUR = 1000  # mL; common practice, no source
_QUARTER = 15


@dataclass(frozen=True, slots=True)
class Sample:
    """One slot and way, and the timetable for it."""

    start: dt.datetime
    travel_minutes: int
    timetable: Timetable

    @property
    def name(self) -> str:
        """The slot and way in words."""
        return f"A start at {self.start:%H:%M} with {self.travel_minutes} minutes' way"


def samples_of(protocol: Protocol, unit: Unit) -> tuple[Sample, ...]:
    """The timetables of the earliest, a middle and the last slot, each without and with the longest way."""
    made = []
    for at in _starts(protocol):
        start = instants_of(unit.zone, SAMPLE_DAY, at)[0]
        for travel in (0, LONG_WAY):
            booking = Booking("-", start, protocol.id, unit.languages[:1], travel_minutes=travel)
            made.append(Sample(start, travel, timetable_for(booking, protocol, unit, None)))
    return tuple(made)


def usual_start(protocol: Protocol) -> dt.time:
    """The middle one of the slots that samples are made for."""
    starts = _starts(protocol)
    return starts[len(starts) // 2]


def _starts(protocol: Protocol) -> tuple[dt.time, ...]:
    first, end = (at.hour * 60 + at.minute for at in (protocol.slots.since, protocol.slots.until))
    last = max(first, (end - 1) // _QUARTER * _QUARTER)
    middle = (first + last) // 2 // _QUARTER * _QUARTER
    return tuple(
        dt.time(minute // 60, minute % 60) for minute in dict.fromkeys((first, max(first, middle), last))
    )


def sample_findings(samples: tuple[Sample, ...], protocol: Protocol, unit: Unit) -> list[Finding]:
    """Slots that cannot be prepared for, hours that hold too much, and checks too late or with nobody to call."""
    return [
        *_slots_that_do_not_fit(samples, protocol),
        *_full_hours(samples, protocol),
        *_checks_too_late(samples, protocol),
        *_checks_without_a_line(samples, protocol, unit),
    ]


def _slots_that_do_not_fit(samples: tuple[Sample, ...], protocol: Protocol) -> Iterator[Finding]:
    for sample in samples:
        if sample.timetable.verdict is Verdict.REFUSED:
            worst = next(one for one in sample.timetable.findings if one.severity is Severity.REFUSE)
            yield warning(
                "slot-does-not-fit", protocol.id, f"{sample.name} cannot be prepared for. {worst.problem}",
                worst.remedy,
            )  # fmt: skip


def _full_hours(samples: tuple[Sample, ...], protocol: Protocol) -> Iterator[Finding]:
    for sample in samples:
        total, names = fullest_hour(sessions_of(protocol, sample.timetable.steps))
        if total > MUCH_IN_AN_HOUR:
            yield warning(
                "much-in-an-hour",
                f"{protocol.id} {', '.join(names)}",
                f"{' and '.join(f'“{name}”' for name in names)}: {total} mL in one hour.",
                "Compare with the label; so much at once makes people vomit, and water alone can be dangerous.",
            )
            return


def _checks_too_late(samples: tuple[Sample, ...], protocol: Protocol) -> Iterator[Finding]:
    """A check of clarity must leave time to call and to drink more before nothing more may be taken."""
    rooms = {row.id: row.room_minutes or 0 for row in protocol.rows if row.check == "clarity"}
    told = set()
    for sample in samples:
        stops = [step.start for step in sample.timetable.steps if step.kind == "stop-drinking"]
        for step in sample.timetable.steps:
            if step.id not in rooms or step.id in told or not stops:
                continue
            if minutes_between(step.start, min(stops)) < rooms[step.id]:
                told.add(step.id)
                yield warning(
                    "check-too-late",
                    f"{protocol.id} {step.id}",
                    f"{sample.name} has the check “{step.id}” at {step.start:%H:%M} and nothing more from "
                    f"{min(stops):%H:%M}: less than the {rooms[step.id]} minutes that a call and a top-up need.",
                    "Let the last drinks end earlier, or put the check before them.",
                )


def _checks_without_a_line(samples: tuple[Sample, ...], protocol: Protocol, unit: Unit) -> Iterator[Finding]:
    advice = {number for number, line in enumerate(unit.call_lines) if "preparation" in line.purposes}
    told = set()
    for sample in samples:
        steps = [step for step in sample.timetable.steps if step.kind == "check"]
        for step in steps:
            day = step.start.date()
            calls = calls_for(unit, day - dt.timedelta(days=1), day)
            moment = epoch_minutes(step.start)
            if any(call.line in advice and call.since <= moment < call.until for call in calls):
                continue
            if step.id not in told:
                told.add(step.id)
                yield warning(
                    "check-without-line",
                    f"{protocol.id} {step.id}",
                    f"{sample.name} has the check “{step.id}” at {step.start:%H:%M}, when no line for advice is open.",
                    "Give a line those hours, or put the check where one is open.",
                )
