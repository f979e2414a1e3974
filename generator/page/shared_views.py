"""What templates see on every page of a booklet: its languages, the emergency number, the plan it replaces."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from generator.page.names import Names
from generator.page.plan import Replaced
from generator.plan.moments import in_zone
from generator.plan.timetable import Timetable
from generator.words.clock import date_text, date_time_text
from generator.words.message import Message
from generator.words.speaker import Speaker
from generator.words.wording import Wording


@dataclass(frozen=True, slots=True)
class LanguageView:
    """A language of this booklet: where its page is, its name in itself, and whether it is this one."""

    tag: str
    dir: str
    name: str
    href: str
    current: bool


@dataclass(frozen=True, slots=True)
class EmergencyView:
    """The emergency number, printed and dialled."""

    shown: str
    dial: str


@dataclass(frozen=True, slots=True)
class ReplacedView:
    """The earlier plan: its code, its day and time, and whether the appointment is at another time now."""

    code: str
    when: str
    moved: bool


def said(speaker: Speaker, messages: tuple[Message, ...]) -> tuple[Markup, ...]:
    """Each of the messages, for a list."""
    return tuple(speaker.markup(message) for message in messages)


def language_views(names: Names, wordings: Mapping[str, Wording], current: str) -> Iterator[LanguageView]:
    """The documents of a booklet as links between them: tag -> the language that the document is written in."""
    for tag, wording in wordings.items():
        yield LanguageView(wording.tag, wording.direction, wording.name, names.href(tag), tag == current)


def open_again(made: dt.datetime, timetable: Timetable, zone: str, speaker: Speaker) -> str:
    """The day to open the page anew: two days before the procedure, or one when the plan was made later than that."""
    for days in (2, 1):
        day = timetable.procedure.date() - dt.timedelta(days=days)
        if in_zone(made, zone).date() < day:
            return date_text(speaker, day)
    return ""


def replaced_view(
    replaced: Replaced | None, speaker: Speaker, zone: str, procedure: dt.datetime | None = None
) -> ReplacedView | None:
    """The earlier plan as printed, or None; `procedure` is the present one's start."""
    if replaced is None:
        return None
    when = date_time_text(speaker, in_zone(replaced.start, zone))
    return ReplacedView(replaced.code, when, moved=replaced.start != procedure)
