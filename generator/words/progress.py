"""Progress: how far a language is, by class of message and by role, and what keeps it from being used."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from generator.words.message import SOURCE_TAG, Message
from generator.words.reviews import ROLES, needed_roles
from generator.words.sheet import Languages
from generator.words.wording import Wording

CLASSES = ("A", "B", "C")
_COUNTS = ("messages", "translated", "reviewed")


@dataclass(frozen=True, slots=True)
class Progress:
    """One language.

    Attributes:
        classes: class -> (messages, those that have words, those whose words are reviewed).
        missing: ids of messages that have no words.
        waiting: role -> ids of messages that have words and wait for somebody in that role.
        stopped: ids of messages of which somebody says that they could hurt.
        todo: how many changes that were asked for are open.
        protocols: protocol -> ids that keep its plans from being published in this language.
    """

    tag: str
    name: str
    classes: Mapping[str, tuple[int, int, int]]
    missing: tuple[str, ...]
    waiting: Mapping[str, tuple[str, ...]]
    stopped: tuple[str, ...]
    todo: int
    protocols: Mapping[str, tuple[str, ...]]

    def as_json(self) -> dict[str, object]:
        """The JSON form."""
        return {
            "tag": self.tag,
            "name": self.name,
            "classes": {
                risk: dict(zip(_COUNTS, counts, strict=True)) for risk, counts in self.classes.items()
            },
            "missing": self.missing,
            "waiting": self.waiting,
            "stopped": self.stopped,
            "todo": self.todo,
            "protocols": {
                name: {"publishable": not ids, "lacking": ids} for name, ids in self.protocols.items()
            },
        }


def progress_of(
    languages: Languages,
    messages: Iterable[Message],
    protocols: Mapping[str, Iterable[Message]],
    asked: set[tuple[str, str]],
    ended: dt.date,
) -> Progress:
    """How far a language is.

    Args:
        protocols: the messages that the plans of each protocol show.
        asked: (id, stamp) of the changes that were ever asked for.
        ended: a review from before this day counts no more.
    """
    wording, tag = languages.wording, languages.tag
    every = list(messages)
    standings = {message.id: wording.standing(message) for message in every}
    waiting = {
        role: tuple(name for name, one in standings.items() if one is not None and role in one.lacking)
        for role in ROLES
        if any(role in needed_roles(tag, message.id) for message in every)
    }
    unready = _unready(
        languages, {one.id: one for shown in (every, *protocols.values()) for one in shown}.values(), ended
    )
    stamps = {(message.id, languages.stamp(message)) for message in every} if asked else set()
    return Progress(
        tag=tag,
        name=wording.name,
        classes={risk: _counts(wording, [one for one in every if one.risk == risk]) for risk in CLASSES},
        missing=tuple(name for name, one in standings.items() if one is None),
        waiting=waiting,
        stopped=tuple(name for name, one in standings.items() if one is not None and one.stopped_by),
        todo=len(asked & stamps),
        protocols={
            name: tuple(message.id for message in shown if message.id in unready)
            for name, shown in protocols.items()
        },
    )


def _counts(wording: Wording, messages: list[Message]) -> tuple[int, int, int]:
    translated = [message for message in messages if wording.forms(message) is not None]
    return len(messages), len(translated), sum(map(wording.is_reviewed, translated))


def _unready(languages: Languages, messages: Iterable[Message], ended: dt.date) -> frozenset[str]:
    """The ids that may not be shown in this language; of those that can hurt, the English counts as well."""
    own, english = languages.wording, languages.english
    return frozenset(
        message.id
        for message in messages
        if not _is_ready(own, message, ended)
        or (message.risk == "A" and languages.tag != SOURCE_TAG and not _is_ready(english, message, ended))
    )


def _is_ready(wording: Wording, message: Message, ended: dt.date) -> bool:
    standing = wording.standing(message)
    return standing is not None and standing.is_whole and standing.since >= ended
