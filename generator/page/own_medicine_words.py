"""What the page says about the patient's own medicines: the unit's instructions, and the gaps around the doses."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from generator.clinic.instruction import Instruction
from generator.page.step_line import Line, heading, sentence
from generator.plan.timetable import Step
from generator.words.message import Message

TITLES = {
    "instruction": heading(
        "A.step.instruction", "One of your own medicines", "An instruction of the clinic follows."
    ),
    "restart": heading("A.step.restart", "Start again what you stopped", "After the examination."),
    "medicine": heading(
        "A.step.medicine", "Not now: your own medicines", "For a time around the bowel medicine."
    ),
}
_UNSURE = sentence("A.step.instruction-unsure", "Not sure? Call the unit before you change anything.")
_RESTART = sentence("A.step.restart-do", "Start again only what the unit told you to.")
_GAP = sentence(
    "A.step.medicine-gap",
    "Until {until}, take none of your own medicines, unless the unit told you to.",
    "{until}: a time, or a day and a time.",
)
_GAP_OPEN = sentence(
    "A.step.medicine-gap-open",
    "Until the examination, take none of your own medicines, unless the unit told you to.",
)
_GAP_WHY = sentence(
    "B.step.medicine-why", "The bowel medicine would wash them out. Take them before this time, or after it."
)
_GAP_WHY_OPEN = sentence(
    "B.step.medicine-why-open", "The bowel medicine would wash them out. Take them before this time."
)
_GAP_SWALLOWED = sentence(
    "A.step.medicine-swallowed", "This is about medicines you swallow. Treat low sugar at once, as always."
)
MESSAGES = (
    *TITLES.values(), _UNSURE, _RESTART, _GAP, _GAP_OPEN, _GAP_WHY, _GAP_WHY_OPEN, _GAP_SWALLOWED,
)  # fmt: skip


def instruction_message(instruction: Instruction) -> Message:
    """The unit's own sentence, English in its file, translated in its locales."""
    note = f"The clinic's instruction for “{instruction.medicine}”."
    return sentence(f"A.unit.instruction.{instruction.id}", instruction.text, note)


def instruction_line(instruction: Instruction, dates: Mapping[str, str]) -> Line:
    """The unit's own sentence, with its dates as texts."""
    return Line(instruction_message(instruction), dict(dates))


def medicine_lines(step: Step, until: str, instruction: Line | None) -> Iterator[Line]:
    """The sentences of a step about the patient's own medicines; `until` is when a gap ends, or ""."""
    if instruction is not None:
        yield instruction
        yield Line(_UNSURE, {})
    elif step.kind == "restart":
        yield Line(_RESTART, {})
    elif step.kind == "medicine" and until:
        yield Line(_GAP, {"until": until})
        yield Line(_GAP_WHY, {})
        yield Line(_GAP_SWALLOWED, {})
    elif step.kind == "medicine":
        yield Line(_GAP_OPEN, {})
        yield Line(_GAP_WHY_OPEN, {})
        yield Line(_GAP_SWALLOWED, {})
