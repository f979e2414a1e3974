"""Text messages that the unit sends about a plan, each in the patient's language.

A telephone shows them to whoever looks at it, they may be read days later and cannot be taken back. So they name the
unit and its number but nobody and no examination, state neither day nor hour, and say which plan holds no longer.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from generator.clinic.unit import Unit
from generator.page.calendar_file import DEMONSTRATION
from generator.page.hours import bar_index
from generator.page.plan import Identity
from generator.page.text_parts import Parts, parts_of, sendable
from generator.words.message import Message
from generator.words.speaker import Speaker

_T = "In a text message to the patient. Others may see it: it names no examination. Short: each letter is paid for."


class Kind(StrEnum):
    """What a text message is for."""

    FIRST = "first"
    MOVED = "moved"
    CHANGED = "changed"
    HELD = "held"
    CANCELLED = "cancelled"
    SIX_DAYS = "six-days"
    TWO_DAYS = "two-days"
    DAY_BEFORE = "day-before"


_FROM = Message("C.text.from", "From {unit}:", f"{_T} How it begins.")
_FIRST = Message(
    "B.text.first", "Here is the plan for your appointment. Open the link now and read it.", f"{_T}"
)
_MOVED = Message("A.text.moved", "Your appointment has moved. Do not follow the old times.", f"{_T}")
_CHANGED = Message("A.text.changed", "Your plan has changed. Do not follow the old one.", f"{_T}")
_REPLACED = Message("A.text.replaced", "Plan {code} holds no longer.", f"{_T} {{code}}: of the earlier plan.")
_NEW = Message("B.text.new", "Open the link now and read the new plan.", f"{_T}")
_HELD = Message("A.text.held", "Your appointment has changed. Do not follow the old times.", f"{_T}")
_HELD_CALL = Message("A.text.call", "Call us: {phone}.", f"{_T}")
_UNTIL = Message(
    "A.text.until",
    "Until someone answers, take none of the medicine for this appointment.",
    f"{_T} “The medicine for this appointment”: the bowel medicine, which is not to be named here.",
)
_OWN = Message(
    "A.held.own",
    "Have you stopped or changed a tablet or an injection? Ask what to do now.",
    "About the patient’s own medicines, when the appointment has changed.",
)
_CANCELLED = Message(
    "A.text.cancelled",
    "Your appointment is cancelled. Take no more of the medicine for this appointment.",
    f"{_T} “The medicine for this appointment”: the bowel medicine, which is not to be named here.",
)
_NORMAL = Message(
    "A.text.normal", "Eat and drink normally again.", f"{_T} After “your appointment is cancelled”."
)
_STOPPED = Message(
    "A.text.stopped",
    "Have you stopped or changed a tablet or an injection? Call us: {phone}.",
    f"{_T} After “your appointment is cancelled”.",
)
_SIX_DAYS = Message(
    "B.text.six-days",
    "Your appointment is in a few days. Open your plan now, and read what to do first.",
    f"{_T} About six days before.",
)
_TWO_DAYS = Message(
    "B.text.two-days",
    "Your appointment is near. Open your plan now, and look whether you have all that it lists.",
    f"{_T} About two days before.",
)
_DAY_BEFORE = Message(
    "B.text.day-before",
    "On the day before your appointment, follow your plan hour by hour. Open it now.",
    f"{_T} It may be read a day earlier or later than it was sent.",
)
_CODE = Message("A.text.code", "The page must show plan code {code}.", f"{_T}")
_NOTHING = Message(
    "C.text.nothing",
    "This message asks for nothing else.",
    f"{_T} After “open the link now and read it”: nothing is to be answered, paid or typed in.",
)
_QUESTIONS = Message("A.text.questions", "Questions? Call {phone}.", f"{_T}")
_SAID = {
    Kind.FIRST: (_FROM, _FIRST, _REPLACED, _CODE, _NOTHING, _QUESTIONS),
    Kind.MOVED: (_FROM, _MOVED, _REPLACED, _NEW, _CODE, _QUESTIONS),
    Kind.CHANGED: (_FROM, _CHANGED, _REPLACED, _NEW, _CODE, _QUESTIONS),
    Kind.HELD: (_FROM, _HELD, _REPLACED, _HELD_CALL, _UNTIL, _OWN),
    Kind.CANCELLED: (_FROM, _CANCELLED, _NORMAL, _REPLACED, _STOPPED),
    Kind.SIX_DAYS: (_FROM, _SIX_DAYS, _CODE, _QUESTIONS),
    Kind.TWO_DAYS: (_FROM, _TWO_DAYS, _CODE, _QUESTIONS),
    Kind.DAY_BEFORE: (_FROM, _DAY_BEFORE, _CODE, _QUESTIONS),
}
MESSAGES = tuple(dict.fromkeys(message for said in _SAID.values() for message in said))


@dataclass(frozen=True, slots=True)
class TextMessage:
    """A message to be sent by the unit.

    Attributes:
        lang, dir: of its language.
        text: all of it; the link stands at its end on a line of its own, where no telephone takes a full stop or a
            mark of direction for a part of it.
        parts: how it is sent.
    """

    kind: Kind
    lang: str
    dir: str
    text: str
    parts: Parts


def text_message(
    kind: Kind, unit: Unit, identity: Identity, base_url: str, speaker: Speaker, replaced: str = ""
) -> TextMessage:
    """The message in the speaker's language; what that lacks stands in `speaker.missing`.

    Args:
        replaced: code of the plan that holds no longer, or "" where none was given.
    """
    line = unit.call_lines[bar_index(unit)]
    # Joined by no-break spaces a number keeps its order in right-to-left text by itself (Unicode Annex 9, W4).
    phone = line.shown.replace(" ", "\u00a0")
    sentences = [
        speaker.plain(
            message,
            unit=unit.sender,
            phone=phone,
            code=replaced if message is _REPLACED else identity.code,
        )
        for message in _SAID[kind]
        if replaced or message is not _REPLACED
    ]
    if unit.demonstration:
        sentences.append(speaker.plain(DEMONSTRATION))
    wording = speaker.wording
    text = f"{sendable(' '.join(sentences), wording.direction)}\n{identity.link(base_url)}"
    return TextMessage(kind, wording.tag, wording.direction, text, parts_of(text))
