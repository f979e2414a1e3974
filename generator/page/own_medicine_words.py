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
    "instruction-last": heading(
        "A.step.instruction-last",
        "Last dose of one of your own medicines",
        "On the last day on which a medicine is taken. An instruction of the clinic follows.",
    ),
    "instruction-told": heading(
        "A.step.instruction-told",
        "What the unit told you to do",
        "The clinic has told the patient what to do from this time on; the plan only reminds of it.",
    ),
    "restart": heading("A.step.restart", "Your own medicines again", "After the examination."),
    "medicine": heading(
        "A.step.medicine", "Not now: your own medicines", "For a time around the bowel medicine."
    ),
}
_UNSURE = sentence("A.step.instruction-unsure", "Not sure? Call the unit before you change anything.")
_TOLD = sentence("A.step.instruction-told-do", "Do what the unit told you for this time.")
_AGAIN = sentence("A.step.restart-again", "From {again}, take this medicine again: {medicine}.")
_RESTART = sentence("A.step.restart-do", "Start again only what the unit told you to.")
_TIMES = "{since} is a time; {until} is a time, or a day and a time."
_GAP = sentence(
    "A.step.medicine-gap",
    "From {since} until {until}, swallow none of your own medicines, unless the unit said so.",
    _TIMES,
)
_GAP_WHEN = sentence(
    "A.step.medicine-when", "Those that you are to take: before {since}, or from {until}.", _TIMES
)
_GAP_OPEN = sentence(
    "A.step.medicine-gap-open",
    "From {since} on, swallow none of your own medicines, unless the unit said so.",
    "When this lasts until nothing may be taken by mouth any more.",
)
_GAP_WHEN_OPEN = sentence(
    "A.step.medicine-when-open",
    "Those that you are to take: before {since}, or ask the unit.",
    "When this lasts until nothing may be taken by mouth any more.",
)
_GAP_WHY = sentence("B.step.medicine-why", "The bowel medicine would wash them out.")
_GAP_TWICE = sentence(
    "A.step.medicine-twice",
    "Taken already, or vomited? Call the unit before you take any a second time.",
)
_GAP_SWALLOWED = sentence(
    "A.step.medicine-swallowed",
    "This is about medicines you swallow. Treat low sugar straight away, as always.",
)
MESSAGES = (
    *TITLES.values(), _UNSURE, _TOLD, _AGAIN, _RESTART,
    _GAP, _GAP_WHEN, _GAP_OPEN, _GAP_WHEN_OPEN, _GAP_WHY, _GAP_TWICE, _GAP_SWALLOWED,
)  # fmt: skip


def instruction_message(instruction: Instruction) -> Message:
    """The unit's own sentence, English in its file, translated in its locales."""
    note = f"The clinic's instruction for “{instruction.medicine}”."
    return sentence(f"A.unit.instruction.{instruction.id}", instruction.text, note)


def instruction_line(instruction: Instruction, dates: Mapping[str, str]) -> Line:
    """The unit's own sentence, with its dates as texts."""
    return Line(instruction_message(instruction), dict(dates))


def again_line(again: str, medicine: str) -> Line:
    """From which day a medicine that an instruction stopped is taken again, both as texts."""
    return Line(_AGAIN, {"again": again, "medicine": medicine})


def title_key(step: Step) -> str:
    """Which heading an instruction has: the last dose, what holds from this day, what the unit told by itself."""
    if step.instruction is None:
        return "instruction-told"
    return "instruction-last" if step.is_last_day else "instruction"


def medicine_lines(step: Step, since: str, until: str, own: Line | None) -> Iterator[Line]:
    """The sentences of a step about the patient's own medicines.

    Args:
        since: when a gap begins, as a text.
        until: when it ends, or "" where nothing may be taken by mouth before it does.
        own: the sentence of the unit's instruction, or None where a row of the protocol gives the step.
    """
    if step.kind == "medicine":
        yield from _gap_lines({"since": since, "until": until} if until else {"since": since})
    elif step.kind == "restart":
        yield from [own] if own else []
        yield Line(_RESTART, {})
    else:
        yield own or Line(_TOLD, {})
        yield Line(_UNSURE, {})


def _gap_lines(times: Mapping[str, str]) -> Iterator[Line]:
    ends = "until" in times
    yield Line(_GAP if ends else _GAP_OPEN, times)
    yield Line(_GAP_WHEN if ends else _GAP_WHEN_OPEN, times)
    yield Line(_GAP_WHY, {})
    yield Line(_GAP_TWICE, {})
    yield Line(_GAP_SWALLOWED, {})
