"""Told: a booking in words for a page: its timetable, its findings, its particulars."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from generator.clinic.booking import Booking
from generator.clinic.instruction import class_title
from generator.console.words import SEDATIONS, SEVERITIES, console_remedy
from generator.finding import Finding, Severity
from generator.materials.unit_folder import UnitFolder
from generator.page.medicine_classes import class_name
from generator.plan.moment_text import moment_text
from generator.plan.moments import in_zone
from generator.plan.timetable import Timetable
from generator.staff.step_names import finding_in_words, names_of_steps, names_of_unit
from generator.staff.timetable_told import ToldDay, told_days
from generator.words.wording import Wording

_ORDER = (Severity.REFUSE, Severity.WARN, Severity.NOTE)


@dataclass(frozen=True, slots=True)
class ToldFinding:
    """A finding as a person at the desk reads it."""

    kind: str
    weight: str
    severity: str
    where: str
    problem: str
    remedy: str


def days_told(timetable: Timetable | None, folder: UnitFolder) -> list[ToldDay]:
    """The steps of a timetable, by day and night."""
    if timetable is None:
        return []
    return told_days(timetable.steps, folder.stated, names_of_steps(timetable.steps, folder.stated))


def findings_told(
    findings: Iterable[Finding], folder: UnitFolder, timetable: Timetable | None = None, protocol: str = ""
) -> list[ToldFinding]:
    """The findings, the gravest first, each once."""
    regimens = [folder.regimens[protocol]] if protocol in folder.regimens else []
    names = names_of_unit(folder.stated, *regimens)
    if timetable is not None:
        names |= names_of_steps(timetable.steps, folder.stated)
    found = sorted(dict.fromkeys(findings), key=lambda one: _ORDER.index(one.severity))
    told = [finding_in_words(one, names) for one in found]
    return [
        ToldFinding(
            one.kind,
            SEVERITIES[one.severity],
            one.severity.value,
            one.where,
            one.problem,
            console_remedy(one),
        )
        for one in told
    ]


def particulars(
    booking: Booking, folder: UnitFolder, wordings: Mapping[str, Wording]
) -> list[tuple[str, str]]:
    """What a booking says, a line each; nothing that it does not say but the assumption about the way."""
    unit, stated = folder.unit, folder.stated
    protocol = folder.regimens.get(booking.protocol)
    lines = [("Preparation", protocol.title if protocol else booking.protocol)]
    if protocol:
        lines.append(
            ("On the box", f"{protocol.product}, {protocol.pieces} piece(s): {protocol.composition}")
        )
    lines.append(("Reads", ", ".join(name_of(tag, wordings) for tag in booking.languages)))
    if booking.speaks:
        lines.append(("Speaks", name_of(booking.speaks, wordings)))
    if booking.pick_up:
        lines.append(("Fetched at", moment_text(in_zone(booking.pick_up, unit.zone), booking.start)))
    elif booking.travel_minutes is None:
        lines.append(("Way", f"not known; {unit.travel_minutes} minutes are assumed"))
    else:
        lines.append(("Way", f"{booking.travel_minutes} minutes"))
    sedation = SEDATIONS.get(booking.sedation or "", "not known: the rules for every kind hold")
    lines.append(("Sedation", sedation))
    lines += [("Also", f"{other.id}, {in_zone(other.start, unit.zone):%H:%M}") for other in booking.others]
    for name in booking.factors:
        yes = " (answered with yes)" if name in booking.agreed else ""
        lines.append(
            ("About the patient", f"{stated.factors[name].title if name in stated.factors else name}{yes}")
        )
    lines += [("Takes", class_title(name)) for name in booking.medicines]
    for name in booking.instructions:
        known = stated.instructions.get(name)
        lines.append(("Instruction", known.title if known else name))
    for name in booking.call_first:
        lines.append(
            ("Page says", f"Call the unit before you change this medicine: {class_name(name).english}")
        )
    if booking.cleared:
        on = booking.cleared.on
        lines.append(("Cleared", f"{booking.cleared.role}, {on.day} {on:%B %Y}"))
    return lines


def name_of(tag: str, wordings: Mapping[str, Wording]) -> str:
    """A language by its own name and tag."""
    known = wordings.get(tag)
    return f"{known.name} ({tag})" if known else tag


def blocking_titles(folder: UnitFolder, protocol: str) -> list[str]:
    """What must not be true of a patient who is given this protocol, by the unit's own factors."""
    return [
        factor.title
        for factor in folder.stated.factors.values()
        if factor.concerns(protocol)
        and (factor.block or protocol in factor.forbid or (factor.allow and protocol not in factor.allow))
    ]
