"""Booking: one appointment. It has no field for a name, birth date, address, phone or record number."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Clearance:
    """Who checked that this patient may take this protocol's medicine: a role and a day, never a name."""

    role: str
    on: dt.date


@dataclass(frozen=True, slots=True)
class OtherProcedure:
    """Another procedure of the same visit: its id in unit.toml, and its start, zone-aware."""

    id: str
    start: dt.datetime


@dataclass(frozen=True, slots=True)
class Booking:
    """One appointment.

    Attributes:
        ref: the unit's appointment reference; stays in the records, never on a page or in a link.
        start: start of the procedure, zone-aware.
        protocol: id of the protocol.
        languages: tags to read, the patient's first; each must be whole.
        arrival: when to be there, zone-aware; None: the unit's lead before the start.
        travel_minutes: None: the unit's stated default, shown as an assumption.
        call_first: classes of medicine for which a person chose the line
            "call the unit before you change this medicine".
        cleared: None: nobody has; a real unit then publishes nothing.
        latest_start: where the list gives an order and no hour, `start` is the earliest start and this the latest.
        provisional: the unit has not confirmed the time yet.
        pick_up: when a fixed transport leaves from home, zone-aware; then travel_minutes counts for nothing.
        sedation: one of clinic.rows.SEDATIONS; None: not known, so that the rules for every kind hold.
        others: further procedures of the same visit.
        factors: ids of the unit's factors that apply to this patient.
        agreed: of these, the ones whose question a person has answered with yes, so that their rows are in the plan.
        medicines: classes of medicine this patient was flagged with; each needs an instruction or `call_first`.
        instructions: ids of the unit's instructions that a nurse picked.
        speaks: tag of the language to speak with the patient, for whoever phones; None: nobody has said.
    """

    ref: str
    start: dt.datetime
    protocol: str
    languages: tuple[str, ...]
    arrival: dt.datetime | None = None
    travel_minutes: int | None = None
    call_first: tuple[str, ...] = ()
    cleared: Clearance | None = None
    latest_start: dt.datetime | None = None
    provisional: bool = False
    pick_up: dt.datetime | None = None
    sedation: str | None = None
    others: tuple[OtherProcedure, ...] = ()
    factors: tuple[str, ...] = ()
    agreed: tuple[str, ...] = ()
    medicines: tuple[str, ...] = ()
    instructions: tuple[str, ...] = ()
    speaks: str | None = None
