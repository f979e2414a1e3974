"""Plan: all that one booklet is made from, and who it is: token, mark, code, version, call number, made-at."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field

from generator.clinic.advice import Advice
from generator.clinic.booking import Booking
from generator.clinic.instruction import Instruction
from generator.clinic.protocol import Protocol
from generator.clinic.unit import Unit
from generator.page.names import Names
from generator.plan.timetable import Timetable
from generator.words.wording import Wording


@dataclass(frozen=True, slots=True)
class Identity:
    """What the records gave this version of a booking, once.

    Attributes:
        token: 26 characters; whoever has it can open the plan.
        code: three digits, another one for each version.
        call_number: six digits; opens nothing, finds the booking.
        made: when this version was made, zone-aware.
    """

    token: str
    code: str
    version: int
    call_number: str
    made: dt.datetime

    @property
    def mark(self) -> str:
        """First 12 hex digits of SHA-256(token): in the page, the worker and every storage key."""
        return hashlib.sha256(self.token.encode()).hexdigest()[:12]

    def link(self, base_url: str) -> str:
        """The patient's link; always with its last slash, which is the worker's scope."""
        return f"{base_url}p/{self.token}/"


def in_groups(token: str) -> str:
    """A token for typing: in groups of four, which nobody has to count."""
    return " ".join(token[at : at + 4] for at in range(0, len(token), 4))


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry of a plan's calendar file: which step it belongs to, and from when to when; zone-aware."""

    step_id: str
    start: dt.datetime
    end: dt.datetime


@dataclass(frozen=True, slots=True)
class Replaced:
    """The plan whose place a later page takes.

    Attributes:
        code: its plan code.
        start: its procedure's start, zone-aware.
        entries: what its calendar file put into calendars; `calendar_file.entries_in` reads that file.
    """

    code: str
    start: dt.datetime
    entries: tuple[Entry, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """All that one booklet is made from; `replaces` is the plan given before this version, if there was one."""

    unit: Unit
    protocol: Protocol
    advice: Advice
    booking: Booking
    timetable: Timetable
    identity: Identity
    wordings: tuple[Wording, ...]
    base_url: str
    instructions: Mapping[str, Instruction] = field(default_factory=dict)
    replaces: Replaced | None = None

    @property
    def link(self) -> str:
        """The patient's link; always with its last slash, which is the worker's scope."""
        return self.identity.link(self.base_url)

    @property
    def staff_wording(self) -> Wording:
        """The language that the unit's staff speak: the unit's first, which every booklet has."""
        own = self.unit.languages[0]
        return next((wording for wording in self.wordings if wording.tag == own), self.wordings[-1])

    @property
    def names(self) -> Names:
        """The names of the booklet's files."""
        return Names([wording.tag for wording in self.wordings])
