"""Instruction: a sentence the unit wrote for one class of medicine, with dates worked out from days it states.

A nurse picks it for a patient. No class has a default, and nothing here leads from a class to a number of days.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.finding import Finding

# The classes of medicine that a booking may be flagged with, and that an instruction may be for, in words for staff.
MEDICINE_CLASSES = {
    "anticoagulant": "blood thinner such as warfarin or apixaban",
    "antiplatelet": "aspirin, clopidogrel or a similar tablet",
    "diabetes": "medicine against diabetes",
    "insulin": "insulin",
    "sglt2": "diabetes tablet of the SGLT2 kind, such as dapagliflozin",
    "glp1": "medicine of the GLP-1 kind (not insulin)",
    "iron": "iron",
    "lithium": "lithium",
    "epilepsy": "medicine against fits",
}


def class_title(name: str) -> str:
    """The words for a class; any other circumstance that a list hints at goes by its own name."""
    return MEDICINE_CLASSES.get(name, name)


@dataclass(frozen=True, slots=True)
class Instruction:
    """One instruction. Days are counted on the calendar from the day of the procedure, -1 the day before.

    Attributes:
        medicine: the class it is for, one of MEDICINE_CLASSES.
        text: the sentence for the patient, in English; {first_day_without}, {last_day} and {again} are dates.
        first_day_without: the first day on which the medicine is not taken; None: it is not stopped.
        again_day: the day from which it is taken again; None: not stated in days.
        again_minutes: elapsed minutes after the procedure's start from which it is taken again; None: not so stated.
        day: for an instruction that stops nothing, the day from which it holds.
    """

    id: str
    medicine: str
    title: str
    text: str
    first_day_without: int | None
    again_day: int | None
    again_minutes: int | None
    day: int
    source: str

    @property
    def stands_on(self) -> int:
        """The day under which the patient reads it: the last one with the medicine, or the one from which it holds."""
        return self.day if self.first_day_without is None else self.first_day_without - 1


def instructions_from(table: Mapping[str, Any], file: str) -> tuple[dict[str, Instruction], list[Finding]]:
    """The unit's instructions by id, and every finding."""
    findings: list[Finding] = []
    fields = Fields(table, file, findings)
    instructions: dict[str, Instruction] = {}
    for entry in fields.tables("instruction"):
        instruction = _instruction_from(entry)
        if instruction.id in instructions:
            problem = f"The instruction “{instruction.id}” stands twice."
            entry.refuse("instruction-doubled", "id", problem, "Keep one of them.")
        instructions[instruction.id] = instruction
    fields.close()
    return instructions, findings


def _instruction_from(fields: Fields) -> Instruction:
    without = _first_day_without(fields)
    again = fields.has("again_hours")
    instruction = Instruction(
        id=fields.identifier("id"),
        medicine=fields.choice("medicine", MEDICINE_CLASSES),
        title=fields.text("title"),
        text=fields.text("text"),
        first_day_without=without,
        again_day=fields.whole("again_day", least=-30, most=60) if fields.has("again_day") else None,
        again_minutes=fields.minutes_of_hours("again_hours", least=0) if again else None,
        day=fields.whole("day", least=-60, most=0) if fields.has("day") else (without or 0),
        source=fields.text("source"),
    )
    if instruction.again_day is not None and again:
        fields.refuse(
            "value-invalid", "again_hours", "Both “again_day” and “again_hours” are given.", "Keep one."
        )
    _check_dates_told(fields, instruction)
    fields.close()
    return instruction


def _first_day_without(fields: Fields) -> int | None:
    """Both ways of saying it, kept apart: "from day X without" and "last taken on day X" differ by one day."""
    if fields.has("last_day"):
        if fields.has("first_day_without"):
            fields.refuse(
                "value-invalid",
                "last_day",
                "Both “last_day” and “first_day_without” are given.",
                "Keep one: the first day without is the day after the last day with.",
            )
        return fields.whole("last_day", least=-60, most=0) + 1
    return fields.whole("first_day_without", least=-60, most=0) if fields.has("first_day_without") else None


def _check_dates_told(fields: Fields, instruction: Instruction) -> None:
    """The sentence must say the dates that are worked out, and none that are not."""
    stops = instruction.first_day_without is not None
    again = instruction.again_day is not None or instruction.again_minutes is not None
    told = instruction.text
    if stops and not ("{first_day_without}" in told and "{last_day}" in told):
        fields.refuse(
            "instruction-dates",
            "text",
            "The sentence does not say both days: counting days is where people go wrong.",
            "Put {last_day} (the last day with) and {first_day_without} into the text.",
        )
    for name in sorted(
        set(re.findall(r"\{[^}]*\}?", told)) - {"{first_day_without}", "{last_day}", "{again}"}
    ):
        fields.refuse(
            "instruction-dates",
            "text",
            f"The sentence holds {name}, which is no date that is worked out.",
            "Use {last_day}, {first_day_without} and {again}; other braces may not stand in the text.",
        )
    wrong = [] if stops else [name for name in ("{first_day_without}", "{last_day}") if name in told]
    wrong += ["{again}"] if "{again}" in told and not again else []
    for name in wrong:
        fields.refuse(
            "instruction-dates",
            "text",
            f"The sentence says {name}, and no day is stated for it.",
            "State last_day or first_day_without, and again_day or again_hours; or take it out of the text.",
        )
