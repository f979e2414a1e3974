"""Looking: at which moments what comes out means what, from the rows that the protocol states."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from generator.clinic.rows import SESSION_KINDS, Row
from generator.plan.moments import later
from generator.plan.timetable import Step, Timetable


@dataclass(frozen=True, slots=True)
class Looking:
    """The moments of one booking, zone-aware.

    Attributes:
        dose_over: the last dose is over; until then brown is expected.
        look: the protocol's check after it, or None; without one, what comes out counts from `counts`.
        counts: from here on what is not see-through is a call.
        short: from here on less is left than the protocol's `room_minutes` until nothing more may be taken.
        nothing_more: nothing may be taken by mouth any more, or None.
        something_by: from here on nothing having come is a call, or None where the protocol does not say.
    """

    dose_over: dt.datetime
    look: Step | None
    counts: dt.datetime
    short: dt.datetime
    nothing_more: dt.datetime | None
    something_by: dt.datetime | None


def looking_in(timetable: Timetable, rows: Iterable[Row]) -> Looking:
    """The moments of a timetable; `rows` are its protocol's, which say how much room a check needs."""
    steps = timetable.steps
    doses = [step for step in steps if step.medicine and step.kind != "mix"]
    dose_over = max((step.end or step.start for step in doses), default=timetable.leaving)
    drunk = max((step.end or step.start for step in steps if step.kind in SESSION_KINDS), default=dose_over)
    look = _last([step for step in steps if step.check == "clarity" and step.start >= dose_over])
    stop = next((step.start for step in steps if step.kind == "stop-drinking"), None)
    movement = next((step.start for step in steps if step.check == "movement"), None)
    counts = look.start if look else max(dose_over, drunk)
    room = next((row.room_minutes or 0 for row in rows if look and row.id == look.id), 0)
    short = max(counts, later(stop or timetable.leaving, -room))
    return Looking(dose_over, look, counts, short, stop, movement)


def _last(steps: list[Step]) -> Step | None:
    return max(steps, key=lambda step: step.start) if steps else None
