"""Wordings for whoever translates: the language as far as it has come, and the ids in place of the words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from generator.words.message import Message
from generator.words.pseudo import id_text
from generator.words.wording import Wording


def as_far_as(wording: Wording, messages: Mapping[str, Message]) -> Wording:
    """The language, whole: a message that cannot be shown yet stands in English, in double angle brackets."""
    texts = {
        message.id: wording.forms(message) or _repeated(f"«{message.forms[-1]}»", message, wording)
        for message in messages.values()
    }
    return replace(wording, texts=texts, entries={}, unfinished=frozenset(), base=None)


def with_ids(wording: Wording, messages: Mapping[str, Message]) -> Wording:
    """The language with the id of each message in place of its words; placeholders stay."""
    texts = {
        message.id: _repeated(id_text(message.id, message.forms[-1]), message, wording)
        for message in messages.values()
    }
    return replace(wording, texts=texts, entries={}, unfinished=frozenset(), base=None)


def _repeated(text: str, message: Message, wording: Wording) -> tuple[str, ...]:
    return (text,) * (1 if message.other is None else len(wording.categories))
