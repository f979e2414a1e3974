"""Answer: what the unit says to a question whose answer touches medicine, vomiting or bleeding.

Which questions these are is a closed list of ours; what is answered is the unit's alone, and counts only while signed.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.finding import Finding

_SENDS_TO_CALL = re.compile(r"\b(?:call|ring|phone|telephone)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Answer:
    """The unit's answer to one question.

    Attributes:
        question: our id of the question.
        text: what the patient reads, in English.
        until: what to do until someone answers, where the text sends the patient to call; else None.
        source: where the clinical lead has it from; for staff.
    """

    question: str
    text: str
    until: str | None
    source: str


def answers_from(
    table: Mapping[str, Any], known: frozenset[str], file: str
) -> tuple[tuple[Answer, ...], list[Finding]]:
    """The unit's answers in file order, and every finding; `known` are the questions that a unit may answer."""
    findings: list[Finding] = []
    fields = Fields(table, file, findings)
    answers: dict[str, Answer] = {}
    for entry in fields.tables("answer"):
        answer = Answer(
            question=entry.text("question"),
            text=entry.text("text"),
            until=entry.optional_text("until"),
            source=entry.text("source"),
        )
        _check_question(entry, answer.question, known, answers)
        _check_words(entry, answer)
        entry.close()
        answers.setdefault(answer.question, answer)
    fields.close()
    return tuple(answers.values()), findings


def _check_question(
    fields: Fields, question: str, known: frozenset[str], answers: Mapping[str, Answer]
) -> None:
    if not question:
        return  # told as a missing key
    if question not in known:
        near = difflib.get_close_matches(question, sorted(known), 1)
        hint = f"Did you mean “{near[0]}”? " if near else ""
        fields.refuse(
            "answer-unknown",
            "question",
            f"There is no question “{question}” that a unit answers.",
            f"{hint}Use one of: {', '.join(sorted(known))}.",
        )
    if question in answers:
        fields.refuse(
            "answer-doubled",
            "question",
            f"The question “{question}” is answered twice.",
            "Keep one of the two answers.",
        )


def _check_words(fields: Fields, answer: Answer) -> None:
    for key, text in (("text", answer.text), ("until", answer.until or "")):
        if "{" in text or "}" in text:
            fields.refuse(
                "answer-braces",
                key,
                f"“{key}” holds braces, and nothing is put into an answer.",
                "Write the sentence without braces; what hangs on the patient belongs into an instruction.",
            )
    if _SENDS_TO_CALL.search(answer.text) and not answer.until:
        fields.refuse(
            "answer-until-missing",
            "until",
            "The answer sends the patient to call, and does not say what to do until someone answers.",
            'Add until = "Until someone answers, …".',
        )
