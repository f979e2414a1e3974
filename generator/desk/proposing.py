"""Proposing: which of the unit's signed protocols fit a start and what was said of the patient, and why.

The order is the unit's own, that of its list codes. Nothing is chosen here: whoever clears the patient confirms it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.signoff import signature_findings
from generator.materials.unit_folder import UnitFolder


@dataclass(frozen=True, slots=True)
class Proposal:
    """One protocol for one appointment.

    Attributes:
        fits: it is signed until that day, meant for that start, and nothing said of the patient forbids it.
        why: a sentence for staff.
    """

    id: str
    title: str
    fits: bool
    why: str


def proposals(
    folder: UnitFolder, start: dt.datetime, factors: Sequence[str], today: dt.date
) -> list[Proposal]:
    """All protocols of the unit, those that fit first, each group in the unit's order."""
    found = [_proposal(folder, name, start, factors, today) for name in _in_order(folder)]
    return sorted(found, key=lambda one: not one.fits)


def proposed(folder: UnitFolder, booking: Booking, today: dt.date) -> Proposal | None:
    """The first that fits; None where none does."""
    found = proposals(folder, booking.start, booking.factors, today)
    return found[0] if found and found[0].fits else None


def _in_order(folder: UnitFolder) -> list[str]:
    coded = [name for names in folder.unit.listing.codes.values() for name in names]
    return [name for name in dict.fromkeys((*coded, *folder.protocols)) if name in folder.protocols]


def _proposal(
    folder: UnitFolder, name: str, start: dt.datetime, factors: Sequence[str], today: dt.date
) -> Proposal:
    signed = folder.protocols[name]
    protocol = signed.protocol
    against = [
        *_unsigned(folder, name, start, today),
        *_outside(protocol, start),
        *_forbidden(folder, protocol, factors),
    ]
    if against:
        return Proposal(name, protocol.title, False, " ".join(against))
    until = max(
        one.review_by for one in folder.signoffs if (one.file, one.digest) == (signed.file, signed.digest)
    )
    why = f"{_slots(protocol)}; this one is at {start:%H:%M}. Signed until {until.day} {until:%B %Y}."
    return Proposal(name, protocol.title, True, why)


def _unsigned(folder: UnitFolder, name: str, start: dt.datetime, today: dt.date) -> list[str]:
    signed = folder.protocols[name]
    found = signature_findings(signed.file, signed.digest, folder.signoffs, today) or signature_findings(
        signed.file, signed.digest, folder.signoffs, start.date()
    )
    return [one.problem for one in found]


def _outside(protocol: Protocol, start: dt.datetime) -> list[str]:
    return [] if protocol.slots.hold(start.time()) else [f"{_slots(protocol)}; this one is at {start:%H:%M}."]


def _slots(protocol: Protocol) -> str:
    return f"For starts from {protocol.slots.since:%H:%M} to before {protocol.slots.until:%H:%M}"


def _forbidden(folder: UnitFolder, protocol: Protocol, factors: Sequence[str]) -> list[str]:
    known = [folder.stated.factors[name] for name in factors if name in folder.stated.factors]
    return [
        f"Not given to such patients: {factor.title}."
        for factor in known
        if factor.concerns(protocol.id)
        and (protocol.id in factor.forbid or (factor.allow and protocol.id not in factor.allow))
    ]
