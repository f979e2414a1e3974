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
    """

    ref: str
    start: dt.datetime
    protocol: str
    languages: tuple[str, ...]
    arrival: dt.datetime | None = None
    travel_minutes: int | None = None
    call_first: tuple[str, ...] = ()
    cleared: Clearance | None = None
