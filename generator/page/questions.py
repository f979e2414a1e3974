"""Questions people ask: all of them by moment, which of them the unit answers, and what is said to each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import chain

from generator.clinic.answer import Answer
from generator.page import question, step_messages
from generator.page.question import CALL, CLOCK_CHANGE, Question
from generator.page.questions_before import BEFORE, DIET
from generator.page.questions_doses import DOSES
from generator.page.questions_later import AFTER, AT_UNIT
from generator.page.questions_night import MORNING, NIGHT
from generator.plan.timetable import Step
from generator.words.message import Message


def _moment(name: str, english: str) -> Message:
    return Message(f"B.moment.{name}", english, "Heading over questions that people ask at that time.")


MOMENTS: tuple[tuple[Message, tuple[Question, ...]], ...] = (
    (_moment("before", "Before it begins"), BEFORE),
    (_moment("diet", "Food and the days before"), DIET),
    (_moment("doses", "While you take the bowel medicine"), DOSES),
    (_moment("night", "In the night"), NIGHT),
    (_moment("morning", "On the morning"), MORNING),
    (_moment("unit", "At the unit"), AT_UNIT),
    (step_messages.TITLES["home"], AFTER),
)
QUESTIONS = {one.id: one for _, questions in MOMENTS for one in questions}
ANSWERABLE = frozenset(one.id for one in QUESTIONS.values() if one.by_unit)

# Kind of step, or what a check looks for -> the questions that the card offers at that step.
ASKED_AT = {
    "collect": ("other-product", "times", "illness"),
    "diet": ("ate-seeds", "hungry", "vegetarian"),
    "last-meal": ("ate-seeds", "vegetarian"),
    "clear-fluids": ("hungry", "ate-solid", "red-tablet"),
    "mix": ("warm-cup", "mix-in", "mixed-up"),
    "drink": ("sick", "vomited", "taste"),
    "extra-fluid": ("cold", "cramps", "nothing-yet"),
    "tablets": ("forgot-tablets", "cramps"),
    "movement": ("nothing-yet", "cramps"),
    "clarity": ("aim", "still-brown", "looks-clean"),
    "wake": ("overslept", "brown-at-night"),
    "stop-drinking": ("drank-after", "low-sugar", "teeth"),
    "leave": ("way", "companion", "low-sugar"),
    "arrive": ("waiting", "no-sedation", "soiling"),
    "procedure": ("waiting", "no-sedation", "soiling"),
    "home": ("again", "restart", "no-stool"),
    "instruction": ("usual-tablets", "thinner", "diabetes"),
    "restart": ("restart",),
    "watch": ("bleeding-after", "belly-after", "no-stool"),
}
ASKED_AT_NIGHT = ("all-night", "bed", "earlier-dose")
ASKED_BY_BOWL = ("sick", "vomited", "cold", "cramps")  # how one feels while one looks at what comes out
ANSWERED_ON_CARD = ("sick", "started-after")  # static/page/drinking.js says these answers on the card itself
# All that something on the page leads to; the others need no name there.
LED_TO = frozenset({*chain(*ASKED_AT.values()), *ASKED_AT_NIGHT, *ASKED_BY_BOWL, *ANSWERED_ON_CARD})


def answer_messages(answer: Answer) -> tuple[Message, ...]:
    """The unit's own sentences of an answer, English in its file, translated in its locales."""
    about = f"The clinic’s answer to the question “{_english_of(answer.question)}”"
    said = (Message(f"A.unit.answer.{answer.question}", answer.text, f"{about}."),)
    if answer.until is None:
        return said
    note = f"{about}: what to do until someone answers the phone."
    return (*said, Message(f"A.unit.answer-until.{answer.question}", answer.until, note))


def _english_of(question_id: str) -> str:
    return QUESTIONS[question_id].asked.english if question_id in QUESTIONS else question_id


def parts_of(asked: Question, answers: Mapping[str, Answer]) -> tuple[Message, ...]:
    """The sentences of an answer in order; the unit's own where it has signed any, else the call."""
    if asked.by_unit and asked.id in answers:
        return (*asked.says, *answer_messages(answers[asked.id]), *asked.then)
    lead = (asked.lead,) if asked.lead else ()
    call = (CALL, asked.until) if asked.until else ()
    return (*asked.says, *lead, *call, *asked.then)


def questions_in(steps: Sequence[Step]) -> Iterator[tuple[Message, list[Question]]]:
    """Each moment with the questions that make sense in a plan with these steps."""
    has = _what_it_has(steps)
    for heading, questions in MOMENTS:
        yield heading, [one for one in questions if one.only_with in has]


def _what_it_has(steps: Sequence[Step]) -> set[str]:
    """What a question may depend on: the kinds of a plan's steps, "" for any plan, and whether the clocks change."""
    offsets = {step.start.utcoffset() for step in steps if step.kind in ("drink", "procedure")}
    return {"", *(step.kind for step in steps), *([CLOCK_CHANGE] if len(offsets) > 1 else [])}


def asked_at(step: Step, steps: Sequence[Step]) -> list[str]:
    """The ids of the questions that the card offers at a step."""
    has = _what_it_has(steps)
    return [one for one in ASKED_AT.get(step.check or step.kind, ()) if QUESTIONS[one].only_with in has]


def _all_messages() -> Iterator[Message]:
    for heading, questions in MOMENTS:
        yield heading
        for one in questions:
            yield from (one.asked, *one.says, *one.then)
            yield from (message for message in (one.lead, one.until) if message)


MESSAGES = (*question.MESSAGES, *_all_messages())
