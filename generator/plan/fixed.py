"""Fixed: the moments of a booking that nobody chooses: procedure, arrival, leaving home."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from generator.clinic.unit import Unit
from generator.plan.moments import epoch_minutes, in_zone, later


@dataclass(frozen=True, slots=True)
class Fixed:
    """The fixed moments of one booking, in epoch minutes, on the unit's zone; `day` is the procedure's."""

    zone: str
    day: dt.date
    procedure: int
    arrival: int
    leaving: int

    def point(self, name: str) -> int | None:
        """The moment of a named point, or None for a row."""
        return {"procedure": self.procedure, "arrival": self.arrival, "leaving": self.leaving}.get(name)


def fixed_for(start: dt.datetime, arrival: dt.datetime | None, travel: int | None, unit: Unit) -> Fixed:
    """The fixed moments; what is not stated comes from the unit: its arrival lead, its travel minutes."""
    procedure = in_zone(start, unit.zone)
    come = arrival or later(procedure, -unit.arrival_lead_minutes)
    leaving = later(come, -(unit.travel_minutes if travel is None else travel))
    return Fixed(
        unit.zone, procedure.date(), epoch_minutes(procedure), epoch_minutes(come), epoch_minutes(leaving)
    )
