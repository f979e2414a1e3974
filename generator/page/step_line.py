"""Step line: one sentence of a step, and how the tables of such sentences are written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from generator.words.message import Message

_STEP = "One step of the plan."
_HEAD = "Heading of one step of the plan."


@dataclass(frozen=True, slots=True)
class Line:
    """A sentence of a step, with the values it takes."""

    message: Message
    values: Mapping[str, object]


def sentence(message_id: str, english: str, note: str = "") -> Message:
    """A sentence of a step."""
    return Message(message_id, english, f"{_STEP} {note}".strip())


def heading(message_id: str, english: str, note: str = "") -> Message:
    """The heading of a step."""
    return Message(message_id, english, f"{_HEAD} {note}".strip())
