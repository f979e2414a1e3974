"""Fixed: the moments of a booking that nobody chooses: the procedures, arrival, leaving home."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from generator.clinic.booking import OtherProcedure
from generator.clinic.rows import POINTS
from generator.clinic.unit import Unit
from generator.plan.moments import epoch_minutes, from_epoch_minutes, later


@dataclass(frozen=True, slots=True)
class Fixed:
    """The fixed moments of one booking, in epoch minutes, on the unit's zone.

    `procedure` is the earliest start of the visit and `day` its day: cut-offs count from the first procedure.
    `others` are the further procedures of the visit by id.
    """

    zone: str
    day: dt.date
    procedure: int
    arrival: int
    leaving: int
    others: dict[str, int] = field(default_factory=dict)

    def point(self, name: str) -> int | None:
        """The moment of a named point, or None for a row."""
        return getattr(self, name) if name in POINTS else self.others.get(name)


def fixed_for(
    start: dt.datetime,
    arrival: dt.datetime | None,
    travel: int | None,
    unit: Unit,
    pick_up: dt.datetime | None = None,
    others: tuple[OtherProcedure, ...] = (),
) -> Fixed:
    """The fixed moments; what is not stated comes from the unit: its arrival lead, its travel minutes."""
    points = {other.id: epoch_minutes(other.start) for other in others}
    procedure = min([epoch_minutes(start), *points.values()])
    first = from_epoch_minutes(procedure, unit.zone)
    come = arrival or later(first, -unit.arrival_lead_minutes)
    leaving = pick_up or later(come, -(unit.travel_minutes if travel is None else travel))
    return Fixed(unit.zone, first.date(), procedure, epoch_minutes(come), epoch_minutes(leaving), points)
