"""The unit's own sentences in its advice: English in its files, translated in its locales."""

from __future__ import annotations

from collections.abc import Iterator

from generator.clinic.advice import Advice
from generator.words.message import Message

_NOTES = {
    "A.unit.day.directions": "The clinic's own sentence on the way to it.",
    "A.unit.after.results": "The clinic's own sentence on how results come.",
    "A.unit.after.flying": "The clinic's own sentence on flying after the examination.",
    "A.unit.after.lifting": "The clinic's own sentence on lifting after the examination.",
    "A.unit.figures.counted": "The clinic's own sentence below its figures: who was counted, and when.",
}


def own_sentence(message_id: str, english: str) -> Message:
    """One of them; the ids are a closed list."""
    return Message(message_id, english, _NOTES[message_id])


def own_sentences(advice: Advice) -> Iterator[Message]:
    """All that the unit's files hold, signed or not: translators begin before a signature is there."""
    day, after, figures = advice.day, advice.aftercare, advice.figures
    texts = {
        "A.unit.day.directions": day and day.directions,
        "A.unit.after.results": after and after.results,
        "A.unit.after.flying": after and after.flying,
        "A.unit.after.lifting": after and after.lifting,
        "A.unit.figures.counted": figures and figures.counted,
    }
    yield from (own_sentence(message_id, text) for message_id, text in texts.items() if text)
