"""Yardsticks: published rules as data. Departures are told to the clinical lead and never change a plan."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row
from generator.plan.moments import minutes_between
from generator.plan.spoken import hours
from generator.plan.timetable import Step, Yardstick


@dataclass(frozen=True, slots=True)
class LastDose:
    """A published window for the last dose, in elapsed minutes before the procedure; `latest_start` may be open."""

    id: str
    title: str
    earliest_start: int
    latest_start: int | None
    latest_end: int
    source: str


YARDSTICKS = (
    LastDose(
        "esge-2019",
        "ESGE 2019",
        5 * 60,
        None,
        2 * 60,
        "Hassan et al., Endoscopy 2019;51:775-794: last dose starts within 5 h, ends at least 2 h before",
    ),
    LastDose(
        "usmstf-2025",
        "US Multi-Society Task Force 2025",
        6 * 60,
        4 * 60,
        2 * 60,
        "Jacobson et al., Am J Gastroenterol 2025;120:738-764: last dose starts 4-6 h before, ends >= 2 h before",
    ),
)


LATE_START = "At the latest start, "  # how a departure begins that the earliest start does not have


def yardsticks_for(
    protocol: Protocol, steps: Sequence[Step], procedure: dt.datetime, latest: dt.datetime | None = None
) -> tuple[Yardstick, ...]:
    """How the last dose of bowel medicine stands to each published window.

    Args:
        procedure: the start, zone-aware; where the list gives no hour, the earliest.
        latest: the latest start then; a yardstick is met when it is met at both.
    """
    row = None if protocol.partial else protocol.last_medicine_row or _last_tablets(protocol)
    last = next((step for step in steps if row and step.id == row.id), None)
    if last is None:
        return tuple(Yardstick(yardstick.id, None, ()) for yardstick in YARDSTICKS)
    return tuple(_judged(yardstick, last, procedure, latest) for yardstick in YARDSTICKS)


def _last_tablets(protocol: Protocol) -> Row | None:
    """The last dose of a preparation that is tablets alone; beside an enema they are not its last."""
    if any(row.kind == "enema" for row in protocol.rows):
        return None
    return next((row for row in reversed(protocol.rows) if row.kind == "tablets"), None)


def _judged(yardstick: LastDose, last: Step, procedure: dt.datetime, latest: dt.datetime | None) -> Yardstick:
    departures = _departures(yardstick, last, procedure)
    if latest is not None:
        late = latest.astimezone(procedure.tzinfo)
        departures += [
            f"{LATE_START}{late:%H:%M}: {text}"
            for text in _departures(yardstick, last, late)
            if text not in departures
        ]
    return Yardstick(yardstick.id, not departures, tuple(departures))


def _departures(yardstick: LastDose, last: Step, procedure: dt.datetime) -> list[str]:
    starts = minutes_between(last.start, procedure)
    ends = minutes_between(last.end or last.start, procedure)
    departures = []
    if starts > yardstick.earliest_start:
        departures.append(
            f"The last dose starts {hours(starts)} before; {yardstick.title} says "
            f"{hours(yardstick.earliest_start)} at most."
        )
    if yardstick.latest_start is not None and starts < yardstick.latest_start:
        departures.append(
            f"The last dose starts {hours(starts)} before; {yardstick.title} says "
            f"{hours(yardstick.latest_start)} at least."
        )
    if ends < yardstick.latest_end:
        departures.append(
            f"The last dose ends {hours(ends)} before; {yardstick.title} says "
            f"{hours(yardstick.latest_end)} at least."
        )
    return departures
