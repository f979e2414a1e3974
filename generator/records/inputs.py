"""Inputs: all that a version of a plan was made from beside the unit's files, kept so that it can be made again."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from cattrs.cols import (
    is_namedtuple,
    namedtuple_dict_structure_factory,
    namedtuple_dict_unstructure_factory,
)
from cattrs.errors import BaseValidationError
from cattrs.preconf.json import make_converter

from generator.clinic.booking import Booking
from generator.page.life import Life
from generator.page.plan import Replaced
from generator.plan.timetable import Timetable


@dataclass(frozen=True, slots=True)
class Inputs:
    """What a plan is made from.

    Attributes:
        booking: the appointment as it was planned.
        begun: row id -> when the patient began it, zone-aware.
        settled: kinds of finding that a person decided about for this version.
        replaces: the plan given before, as its page names it and its calendar entries are taken back.
        given: the timetable as it was given, without its reasons: files of the unit may change under it.
        at_desk: whether a person changed the booking after its list was read, so that the list does not tell all.
    """

    booking: Booking
    begun: Mapping[str, dt.datetime] = field(default_factory=dict)
    settled: tuple[str, ...] = ()
    replaces: Replaced | None = None
    given: Timetable | None = None
    at_desk: bool = False

    def with_given(self, timetable: Timetable) -> Inputs:
        """The same with the timetable that was made from it."""
        steps = tuple(step._replace(because=(), leeway=None) for step in timetable.steps)
        return replace(self, given=replace(timetable, steps=steps, findings=(), yardsticks=()))


@dataclass(frozen=True, slots=True)
class Publication:
    """What is about to be put on the shelf for a version: digests, and what it was made from."""

    facts: str
    content: str
    protocol_digest: str
    inputs: Inputs


@dataclass(frozen=True, slots=True)
class NoticeInputs:
    """What a page in a plan's place is made from, so that it can be made whatever became of the unit's files.

    Attributes:
        made: when the notice was made, zone-aware.
        begun: whether a dose of the plan was due by then.
        new_arrival: when to be at the unit instead, where that is known.
    """

    what: Life
    languages: tuple[str, ...]
    made: dt.datetime
    replaces: Replaced | None = None
    begun: bool = False
    new_arrival: dt.datetime | None = None


_JSON = make_converter(forbid_extra_keys=True)
# By name, not by place: a field that is added later must not shift the others.
_JSON.register_unstructure_hook_factory(
    is_namedtuple, lambda kind: namedtuple_dict_unstructure_factory(kind, _JSON)
)
_JSON.register_structure_hook_factory(
    is_namedtuple, lambda kind: namedtuple_dict_structure_factory(kind, _JSON)
)
Damaged = (BaseValidationError, ValueError, TypeError, KeyError)  # what reading a damaged text raises


def dumped(inputs: Inputs | NoticeInputs) -> str:
    """The inputs as JSON; the same inputs give the same text."""
    return _JSON.dumps(inputs, sort_keys=True, ensure_ascii=False)


@lru_cache(maxsize=512)  # a day's list is asked for again and again; nobody writes to what is read
def inputs_from(text: str) -> Inputs:
    """The inputs of a plan. Raises one of Damaged if the text is none."""
    return _JSON.loads(text, Inputs)


def notice_from(text: str) -> NoticeInputs:
    """The inputs of a notice. Raises one of Damaged if the text is none."""
    return _JSON.loads(text, NoticeInputs)
