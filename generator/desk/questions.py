"""Questions: what a nurse or doctor decides about a booking, and what each answer does to it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from generator.clinic.instruction import class_title
from generator.desk.answers import Answers
from generator.desk.decisions import ASKING_KIND, CALL_FIRST, GO_AHEAD, INSTRUCTION_KIND, LEAVE_OUT
from generator.finding import Finding
from generator.materials.unit_folder import UnitFolder

NOT_THIS_PATIENT = "not-this-patient"  # the factor or medicine was raised in error


@dataclass(frozen=True, slots=True)
class Question:
    """One finding that asks for a decision.

    Attributes:
        subject: the factor or class of medicine it is about; "" for any other.
        choices: answer -> in words, the safest first.
    """

    kind: str
    subject: str
    finding: Finding
    choices: Mapping[str, str]


def questions_about(
    findings: Iterable[Finding], settled: Collection[str], folder: UnitFolder
) -> list[Question]:
    """The findings for which somebody has still to decide, each once."""
    open_ones = {
        one.kind: one
        for one in findings
        if (one.decision and one.kind not in settled) or one.kind.startswith(f"{INSTRUCTION_KIND}:")
    }
    return [_question(one, folder) for one in open_ones.values()]


def _question(finding: Finding, folder: UnitFolder) -> Question:
    group, _, subject = finding.kind.partition(":")
    if group == INSTRUCTION_KIND:
        choices = {CALL_FIRST: "The page says: call the unit before you change this medicine"}
        choices |= {
            one.id: one.title for one in folder.stated.instructions.values() if one.medicine == subject
        }
        choices[NOT_THIS_PATIENT] = f"The patient does not take it ({class_title(subject)})"
        return Question(finding.kind, subject, finding, choices)
    factor = folder.stated.factors.get(subject)
    if factor is None:
        return Question(
            finding.kind, "", finding, {GO_AHEAD: "I have looked into it; the plan is right as it is"}
        )
    if group == ASKING_KIND and factor.changes_rows:
        choices = {
            GO_AHEAD: "Yes: with what the unit adds to the plan for it",
            LEAVE_OUT: "No: I have looked into it; the plan stays as it is",
        }
    else:
        choices = {GO_AHEAD: "I have looked into it; the plan is right as it is"}
    choices[NOT_THIS_PATIENT] = "It does not concern this patient"
    return Question(finding.kind, subject, finding, choices)


def answers_from(questions: Iterable[Question], chosen: Mapping[str, str]) -> Answers:
    """What was chosen, by kind of finding, as answers; what is no choice of a question is passed over."""
    picked = [(one, chosen[one.kind]) for one in questions if chosen.get(one.kind) in one.choices]
    void = tuple(one.subject for one, choice in picked if choice == NOT_THIS_PATIENT)
    medicines = [(one, choice) for one, choice in picked if one.kind.startswith(f"{INSTRUCTION_KIND}:")]
    others = [(one, choice) for one, choice in picked if not one.kind.startswith(f"{INSTRUCTION_KIND}:")]
    return Answers(
        void=void,
        instructions=tuple(choice for _, choice in medicines if choice not in (CALL_FIRST, NOT_THIS_PATIENT)),
        call_first=tuple(one.subject for one, choice in medicines if choice == CALL_FIRST),
        agreed=tuple(
            one.subject
            for one, choice in others
            if choice == GO_AHEAD and one.kind.startswith(f"{ASKING_KIND}:")
        ),
        decided=tuple(one.kind for one, choice in others if choice in (GO_AHEAD, LEAVE_OUT)),
    )
