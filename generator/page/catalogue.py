"""Every message there is: those written in templates, and those in tables. A translator's file is checked against it.

Templates are read as syntax trees, so that a message cannot be lost by the way it is laid out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from generator.page import (
    after_words,
    booklet,
    calendar_file,
    companion_words,
    day_words,
    drawings,
    figure_view,
    foods,
    handout,
    hours,
    medicine_classes,
    message_text,
    pace_words,
    phone_words,
    question_views,
    questions,
    saying,
    step_messages,
    symptoms,
)
from generator.page.template_messages import template_messages
from generator.words import clock
from generator.words.message import Message

LANGUAGE_NAME = Message("C.language.name", "English", "The name of your language, in your language.")
_TABLES = (
    after_words,
    booklet,
    calendar_file,
    clock,
    companion_words,
    day_words,
    drawings,
    figure_view,
    foods,
    handout,
    hours,
    medicine_classes,
    message_text,
    pace_words,
    phone_words,
    saying,
    question_views,
    questions,
    step_messages,
    symptoms,
)


def catalogue(templates: Mapping[str, str]) -> dict[str, Message]:
    """Every message by id.

    Raises:
        ValueError: if a template says a message other than by `t("id", "English", "note", ...)` with plain
            texts, or one id has two English texts.
    """
    messages: dict[str, Message] = {LANGUAGE_NAME.id: LANGUAGE_NAME}
    for message in (*_table_messages(), *template_messages(templates)):
        known = messages.setdefault(message.id, message)
        if known.forms != message.forms:
            raise ValueError(f"message {message.id} is written with two English texts")
    return dict(sorted(messages.items()))


def _table_messages() -> Iterator[Message]:
    for table in _TABLES:
        yield from table.MESSAGES
