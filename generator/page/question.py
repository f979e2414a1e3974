"""Question: something that patients ask, as they would say it, and what its answer is made of.

An answer that tells somebody to take, stop, repeat, space or replace a medicine, to go on after vomiting, or to stay
at home with bleeding is the unit's alone. Where the unit has signed none, the page says to call, and what to do until
someone answers.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.words.message import Message

CLOCK_CHANGE = "clock-change"  # the unit's clocks change between the first dose and the examination
_UNTIL = "In an answer, after “Call the unit about this.”"


@dataclass(frozen=True, slots=True)
class Question:
    """A question with the parts of its answer, in the order in which they are read.

    Attributes:
        id: its name in answers.toml, and of its place on the page.
        numbers: which of the 83 questions that leaflets and patients bring up it answers; for the tests.
        asked: the question.
        says: our own sentences; one with a placeholder that this plan has no value for is left out.
        by_unit: whether the unit may answer it; its words then take the place of the call.
        lead: whom the call is for, said only before it; None: everybody.
        until: what to do until someone answers; None: the answer sends nobody to call.
        then: our own sentences after the call or the unit's words.
        see: sections of the page that say more.
        only_with: the kind of step, or CLOCK_CHANGE, without which it makes no sense in a plan; "": any plan.
    """

    id: str
    numbers: tuple[int, ...]
    asked: Message
    says: tuple[Message, ...] = ()
    by_unit: bool = False
    lead: Message | None = None
    until: Message | None = None
    then: tuple[Message, ...] = ()
    see: tuple[str, ...] = ()
    only_with: str = ""


def asked(question: str, english: str) -> Message:
    """The words of a question."""
    note = "A question in “Questions people ask”, as a patient says it. Its answer follows when it is opened."
    return Message(f"B.ask.{question}", english, note)


def answer(risk: str, name: str, english: str, about: str, note: str = "") -> Message:
    """A sentence of an answer; `about` says to the translator which question it answers."""
    return Message(f"{risk}.answer.{name}", english, f"In the answer to “{about}”. {note}".strip())


CALL = Message(
    "A.answer.call",
    "Call the unit about this.",
    "In an answer, where the unit has to decide. What to do until someone answers follows.",
)
OWN_LINE = Message(
    "A.answer.own-line",
    "Do the steps on this page name this medicine? Do what they say.",
    "In the answers about the patient’s own medicines. “They”: the steps.",
)
NOT_NAMED = Message(
    "A.answer.not-named",
    "Is it not named there, or are you unsure?",
    "After “Do the steps on this page name this medicine?”. “Call the unit about this.” follows.",
)
UNTIL_NOT_START = Message(
    "A.answer.until-start", "Until someone answers, take none of the bowel medicine.", _UNTIL
)
UNTIL_NOT_ALONE = Message(
    "A.answer.until-not-alone", "Until someone answers, keep somebody with you.", _UNTIL
)
MESSAGES = (CALL, OWN_LINE, NOT_NAMED, UNTIL_NOT_START, UNTIL_NOT_ALONE)

# These stand in templates too, with the same words.
FINISH = Message(
    "A.clarity.finish",
    "Even if it looks see-through, finish the bowel medicine.",
    "Patients like to stop early; they must not.",
)
EXPECTED = Message(
    "B.clarity.expected",
    "Brown before the last dose is expected. Go on with the plan.",
    "First sentence on looking into the bowl.",
)
GOOD = Message(
    "B.clarity.good",
    "You see the bottom, it is yellow or like water, a few flecks at most: that is the aim.",
    "What is hoped for. It is not a promise that the bowel is clean.",
)
NOTHING_EXTRA = Message(
    "A.clarity.until",
    "Until someone answers, keep to this plan and take no extra bowel medicine.",
    "After “Call the unit now”.",
)
START_TIMES = Message(
    "A.start.times",
    "Use the times on this page, not those on the box or an older sheet.",
    "After the list of reasons.",
)
START_MEDICINES = Message(
    "A.start.medicines",
    "Do not stop or change any medicine unless your unit told you to.",
    "After the list of reasons.",
)
OTHER_FOOD = Message(
    "B.food.other", "Is it not in this list? Choose something else, or call.", "Before the list of foods."
)
CONSENT = Message(
    "B.day.consent", "You are asked again whether you agree. You may say no at any time.", "On consent."
)
EMERGENCY_NOW = Message(
    "A.after.emergency-now",
    "Ring the emergency number now: {emergency}",
    "Heading over warning signs after the examination.",
)
MEDICINES_AGAIN = Message(
    "A.after.medicines",
    "Medicines that you stopped or changed: take them again only as the unit tells you.",
    "On medicines that were stopped.",
)
NOBODY = Message(
    "A.call.nobody",
    "Nobody answers and you feel worse? Ring the emergency number.",
    "Below the signs for the unit.",
)
