"""The head of a timetable: what it was reckoned from, and whom the patient can call."""

from __future__ import annotations

from collections.abc import Iterator

from generator.clinic.booking import Booking
from generator.materials.unit_folder import UnitFolder
from generator.page.medicine_classes import class_name
from generator.plan.moment_text import day_text
from generator.plan.timetable import Timetable
from generator.staff.line_hours import hours_text


def head_lines(planned: Timetable, booking: Booking, folder: UnitFolder) -> Iterator[str]:
    """One fact a line; of what the booking does not state only the sedation, whose absence makes rules stricter."""
    protocol, unit = folder.regimens[booking.protocol], folder.unit
    first = planned.procedure
    yield protocol.title
    yield f"Examination {day_text(first)} {first.year}, {first:%H:%M} ({planned.zone})"
    for name, value in _facts(booking, folder):
        yield f"  {name:<12} {value}"
    yield f"  {'Box':<12} {protocol.product}, {protocol.pieces} piece(s): {protocol.composition}"
    yield f"  {'Place':<12} {unit.name}, {unit.place}"
    for line in unit.call_lines:
        yield f"  {'Phone':<12} {line.shown}: {hours_text(line)} ({', '.join(line.purposes)})"
    yield f"  {'Emergency':<12} {unit.emergency.shown}"


def _facts(booking: Booking, folder: UnitFolder) -> Iterator[tuple[str, str]]:
    """What the booking says of this patient."""
    stated = folder.stated
    yield "Sedation", booking.sedation or "not known: the rules for every kind hold"
    for name in booking.factors:
        yield "Factor", stated.factors[name].title if name in stated.factors else name
    for name in booking.instructions:
        yield "Instruction", stated.instructions[name].title if name in stated.instructions else name
    for medicine in booking.call_first:
        yield "Call first", f"“Call the unit before you change this medicine”: {class_name(medicine).english}"
    for other in booking.others:
        yield "Also", f"{other.id}, {other.start:%H:%M}"
