"""The form of a booking: what was typed, what it means, and every fault in it at once.

There is no field for a free text: what does not exist cannot carry a name, nor reach a patient.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from werkzeug.datastructures import MultiDict

from generator.clinic.booking import Booking, OtherProcedure
from generator.clinic.instruction import MEDICINE_CLASSES
from generator.clinic.rows import SEDATIONS
from generator.desk.preparing import ref_findings
from generator.desk.proposing import Proposal, proposals
from generator.finding import Finding, refusal
from generator.materials.unit_folder import UnitFolder
from generator.plan.moments import in_zone, instants_of

_TEXTS = ("ref", "date", "time", "protocol", "language", "second", "speaks", "travel", "pick_up", "sedation")
_LONGEST_WAY = 720  # minutes


@dataclass
class Typed:
    """What stands in the fields, as it was typed; shown again whatever it means."""

    texts: dict[str, str]
    raised: tuple[str, ...] = ()
    others: dict[str, str] = field(default_factory=dict)

    def __getattr__(self, name: str) -> str:
        return self.texts.get(name, "")

    def has(self, name: str) -> bool:
        """Whether a factor or class of medicine is ticked."""
        return name in self.raised


@dataclass(frozen=True, slots=True)
class Understood:
    """What a form means.

    Attributes:
        booking: None where something in it is missing or cannot be.
        offered: the unit's protocols for that start, those that fit first; empty while there is no start.
        proposal: the one that was proposed, where none was chosen.
    """

    booking: Booking | None
    findings: tuple[Finding, ...]
    offered: tuple[Proposal, ...] = ()
    proposal: Proposal | None = None


def typed_from(form: MultiDict[str, str], folder: UnitFolder) -> Typed:
    """The fields of a form that was sent."""
    texts = {name: form.get(name, "").strip() for name in _TEXTS}
    known = (*folder.stated.factors, *MEDICINE_CLASSES)
    raised = tuple(name for name in dict.fromkeys(form.getlist("raised")) if name in known)
    others = {one.id: form.get(f"other-{one.id}", "").strip() for one in folder.unit.visit_procedures}
    return Typed(texts, raised, others)


def typed_of(booking: Booking, zone: str) -> Typed:
    """The fields of a booking that there is."""
    start = in_zone(booking.start, zone)
    languages = (*booking.languages, "", "")
    texts = {
        "ref": booking.ref,
        "date": start.date().isoformat(),
        "time": f"{start:%H:%M}",
        "protocol": booking.protocol,
        "language": languages[0],
        "second": languages[1],
        "speaks": booking.speaks or "",
        "travel": "" if booking.travel_minutes is None else str(booking.travel_minutes),
        "pick_up": f"{in_zone(booking.pick_up, zone):%H:%M}" if booking.pick_up else "",
        "sedation": booking.sedation or "",
    }
    others = {one.id: f"{in_zone(one.start, zone):%H:%M}" for one in booking.others}
    return Typed(texts, (*booking.factors, *booking.medicines), others)


def understood(typed: Typed, folder: UnitFolder, today: dt.date, before: Booking | None = None) -> Understood:
    """What the fields mean.

    Args:
        before: the booking that the form changes; what the form does not ask about stays.
    """
    unit, findings = folder.unit, [*ref_findings(typed.ref)]
    start = read_moment(typed.date, typed.time, unit.zone, "Time", findings)
    factors = tuple(name for name in typed.raised if name in folder.stated.factors)
    offered = tuple(proposals(folder, start, factors, today)) if start else ()
    proposal = offered[0] if offered and offered[0].fits and not typed.protocol else None
    protocol = typed.protocol or (proposal.id if proposal else "")
    if start and not protocol:
        remedy = "Choose one below, with its reason; or another start."
        findings.append(
            refusal("protocol-undecided", "Preparation", "None of the unit's protocols fits.", remedy)
        )
    elif protocol and protocol not in folder.protocols:
        findings.append(_not_offered("Preparation"))
    travel = read_travel(typed.travel, findings)
    pick_up = (
        read_moment(typed.date, typed.pick_up, unit.zone, "Pick-up", findings) if typed.pick_up else None
    )
    others = _others(typed, folder, findings)
    languages = _languages(typed, folder, findings)
    if typed.sedation and typed.sedation not in SEDATIONS:
        findings.append(_not_offered("Sedation"))
    if findings or start is None:
        return Understood(None, tuple(findings), offered, proposal)
    booking = Booking(
        ref=typed.ref,
        start=start,
        protocol=protocol,
        languages=languages,
        travel_minutes=travel,
        pick_up=pick_up,
        sedation=typed.sedation or None,
        others=others,
        factors=factors,
        medicines=tuple(name for name in typed.raised if name in MEDICINE_CLASSES),
        speaks=typed.speaks or None,
        agreed=tuple(one for one in before.agreed if one in factors) if before else (),
    )
    return Understood(booking, (), offered, proposal)


def _languages(typed: Typed, folder: UnitFolder, findings: list[Finding]) -> tuple[str, ...]:
    offered = folder.unit.languages
    tags = tuple(dict.fromkeys(tag for tag in (typed.language or offered[0], typed.second) if tag))
    if any(tag not in offered for tag in tags):
        findings.append(_not_offered("Language to read"))
    if typed.speaks and not typed.speaks.replace("-", "").isalnum():
        findings.append(_not_offered("Language to speak"))
    return tags


def _others(typed: Typed, folder: UnitFolder, findings: list[Finding]) -> tuple[OtherProcedure, ...]:
    made = []
    for one in folder.unit.visit_procedures:
        if text := typed.others.get(one.id):
            at = read_moment(typed.date, text, folder.unit.zone, one.id, findings)
            made += [OtherProcedure(one.id, at)] if at else []
    return tuple(made)


def read_travel(text: str, findings: list[Finding]) -> int | None:
    """The minutes that were typed; None for none, or with a finding where they are no minutes."""
    if not text:
        return None
    if text.isascii() and text.isdigit() and len(text) < 5 and int(text) <= _LONGEST_WAY:
        return int(text)
    problem = f"The way to the unit is no number of minutes up to {_LONGEST_WAY}."
    findings.append(
        refusal("travel-invalid", "Way to the unit", problem, "Type minutes, such as 45, or nothing.")
    )
    return None


def read_moment(
    day: str, time: str, zone: str, field_name: str, findings: list[Finding]
) -> dt.datetime | None:
    """The moment at which the unit's clocks show this, or a finding why there is none."""
    try:
        date, clock = dt.date.fromisoformat(day), dt.time.fromisoformat(time)
    except ValueError:
        missing = "is missing" if not day or not time else "is none"
        remedy = "Give the day as 2026-12-03 and the time as 14:00."
        findings.append(refusal("time-invalid", field_name, f"The day or the time {missing}.", remedy))
        return None
    found = instants_of(zone, date, clock.replace(second=0, microsecond=0, tzinfo=None))
    if len(found) == 1 and 2000 <= date.year <= 2099:
        return found[0]
    problem = (
        "On that day the clocks change, and this time occurs twice or not at all."
        if 2000 <= date.year <= 2099
        else "That year cannot be meant."
    )
    findings.append(refusal("time-ambiguous", field_name, problem, "Take another time of that day."))
    return None


def _not_offered(field_name: str) -> Finding:
    return refusal("not-offered", field_name, "What was chosen is not offered here.", "Choose from the list.")


def language_names(tags: tuple[str, ...], wordings: Mapping[str, object]) -> list[tuple[str, str]]:
    """Tag and own name of each language, for lists to choose from."""
    return [(tag, f"{getattr(wordings.get(tag), 'name', tag)} ({tag})") for tag in tags]
