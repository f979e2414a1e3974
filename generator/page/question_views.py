"""Question views: the questions people ask and their answers, as the template prints them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from generator.page.plan import Plan
from generator.page.question import CALL, Question
from generator.page.questions import LED_TO, parts_of, questions_in
from generator.plan.alarms import alarm_steps
from generator.plan.timetable import Step
from generator.words.clock import date_time_text
from generator.words.message import Message, placeholders_in
from generator.words.speaker import Speaker

_HEADINGS = {
    "start": Message(
        "A.start.heading",
        "Before you start",
        "Heading of the list of reasons to call before taking anything.",
    ),
    "steps": Message("B.steps.heading", "The steps", "Heading of the timetable."),
    "alarms": Message(
        "B.alarm.heading",
        "Alarms to set",
        "Heading of the list of alarms that the patient sets on the phone.",
    ),
    "food": Message("B.food.heading", "Food and drink", "Heading of the list of foods."),
    "clarity": Message(
        "B.clarity.heading",
        "Is it see-through?",
        "Heading: does what comes out look clean enough? Not “clear” alone.",
    ),
    "call": Message("A.call.heading", "When to call", "Heading of the list of warning signs."),
    "day": Message("B.day.heading", "On the day", "Heading."),
    "afterwards": Message(
        "A.after.heading", "Afterwards", "Heading of the part about after the examination."
    ),
}
MESSAGES = tuple(_HEADINGS.values())


@dataclass(frozen=True, slots=True)
class QuestionView:
    """What the template prints of a question.

    Attributes:
        id: its name on the page; "" where nothing leads to it.
        asked: the question.
        lines: the paragraphs of its answer.
        see: the parts of the page that say more: (name, heading).
    """

    id: str
    asked: Markup
    lines: tuple[Markup, ...]
    see: tuple[tuple[str, Markup], ...]


@dataclass(frozen=True, slots=True)
class MomentView:
    """A moment and what is asked then."""

    heading: Markup
    questions: tuple[QuestionView, ...]


def moment_views(plan: Plan, speaker: Speaker) -> Iterator[MomentView]:
    """The questions that make sense in this plan, by moment, with the unit's answers as far as they are signed."""
    steps = plan.timetable.steps
    answers = {one.question: one for one in plan.advice.answers}
    values = {"emergency": plan.unit.emergency.shown, **_values_of(steps, speaker)}
    absent = set() if any(step.kind != "arrive" for step in alarm_steps(plan.timetable)) else {"alarms"}

    def view(asked: Question) -> QuestionView:
        said = [one for one in parts_of(asked, answers) if placeholders_in(one.english) <= values.keys()]
        return QuestionView(
            asked.id if asked.id in LED_TO else "",
            speaker.markup(asked.asked),
            tuple(_paragraphs(said, values, speaker)),
            tuple((name, speaker.markup(_HEADINGS[name])) for name in asked.see if name not in absent),
        )

    for heading, questions in questions_in(steps):
        yield MomentView(speaker.markup(heading), tuple(view(one) for one in questions))


def _paragraphs(said: Sequence[Message], values: Mapping[str, str], speaker: Speaker) -> Iterator[Markup]:
    """The sentences, each by itself; the call stands beside the question that says whom it is for."""
    paragraph, asks = Markup(), False
    for message in said:
        if paragraph and not (asks and message is CALL):
            yield paragraph
            paragraph = Markup()
        paragraph += (Markup(" ") if paragraph else Markup()) + speaker.markup(message, **values)
        asks = message.english.endswith("?")
    yield paragraph


def _values_of(steps: Sequence[Step], speaker: Speaker) -> dict[str, str]:
    """What the sentences take from the plan: when nothing having come yet is a reason to call."""
    check = next((step for step in steps if step.check == "movement"), None)
    return {"when": date_time_text(speaker, check.start)} if check else {}
