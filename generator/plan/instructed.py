"""Instructed: the unit's instructions that a nurse picked, as steps with their dates. No class has a default."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from generator.clinic.booking import Booking
from generator.clinic.instruction import Instruction, class_title
from generator.finding import Finding, refusal
from generator.plan.fixed import Fixed
from generator.plan.moments import from_epoch_minutes, start_of_day
from generator.plan.suited import Stated
from generator.plan.timetable import Reason, Step


def instruction_findings(booking: Booking, stated: Stated) -> Iterator[Finding]:
    """What forbids a plan: a flagged class that nobody picked an instruction for, one picked twice, one unknown."""
    picked: dict[str, str] = {}
    for name in booking.instructions:
        instruction = stated.instructions.get(name)
        if instruction is None:
            known = ", ".join(stated.instructions) or "none yet, in instructions.toml"
            yield refusal(
                "instruction-unknown",
                name,
                f"The unit states no instruction “{name}”.",
                f"It states: {known}.",
            )
        elif instruction.medicine in picked:
            yield refusal(
                "instruction-doubled",
                name,
                f"“{name}” and “{picked[instruction.medicine]}” are both for {class_title(instruction.medicine)}.",
                "Have a nurse pick one of them.",
            )
        else:
            picked[instruction.medicine] = name
    for medicine in booking.call_first:
        if medicine in picked:
            yield refusal(
                "instruction-and-call-first",
                medicine,
                f"For {class_title(medicine)} both “{picked[medicine]}” and the line “call the unit before you change "
                "this medicine” were chosen.",
                "Have a nurse keep one of them.",
            )
    for medicine in booking.medicines:
        if medicine not in picked and medicine not in booking.call_first:
            fitting = ", ".join(one.id for one in stated.instructions.values() if one.medicine == medicine)
            yield refusal(
                f"needs-unit-instruction:{medicine}",
                medicine,
                f"The patient takes {class_title(medicine)}, and nobody has said what to do about it. "
                "No date was worked out.",
                f"A nurse picks one of the unit's instructions ({fitting or 'it states none'}), or the line "
                "“call the unit before you change this medicine”.",
            )


def instruction_steps(booking: Booking, stated: Stated, fixed: Fixed) -> Iterator[Step]:
    """The picked instructions on the day on which they are to be read, and from when a medicine is taken again."""
    for name in booking.instructions:
        if name not in stated.instructions:
            continue
        instruction = stated.instructions[name]
        dates = _dates(instruction, fixed)
        told = (Reason(f"a nurse picked “{name}” for “{instruction.medicine}”", instruction.source, True),)
        yield Step(
            id=f"instruction-{name}",
            kind="instruction",
            start=start_of_day(fixed.zone, _day(fixed, instruction.stands_on)),
            end=None,
            leeway=None,
            because=told,
            instruction=name,
            dates=dates,
        )
        again = _again(instruction, fixed)
        if again is not None:
            yield Step(
                f"again-{name}", "restart", again, None, None, because=told, instruction=name, dates=dates
            )


def _dates(instruction: Instruction, fixed: Fixed) -> dict[str, dt.date]:
    dates: dict[str, dt.date] = {}
    if instruction.first_day_without is not None:
        dates["first_day_without"] = _day(fixed, instruction.first_day_without)
        dates["last_day"] = _day(fixed, instruction.first_day_without - 1)
    again = _again(instruction, fixed)
    if again is not None:
        dates["again"] = again.date()
    return dates


def _again(instruction: Instruction, fixed: Fixed) -> dt.datetime | None:
    if instruction.again_minutes is not None:
        return from_epoch_minutes(fixed.procedure + instruction.again_minutes, fixed.zone)
    if instruction.again_day is not None:
        return start_of_day(fixed.zone, _day(fixed, instruction.again_day))
    return None


def _day(fixed: Fixed, days: int) -> dt.date:
    return fixed.day + dt.timedelta(days=days)
