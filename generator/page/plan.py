"""Plan: all that one booklet is made from, and who it is: token, mark, code, version, call number, made-at."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field

from generator.clinic.booking import Booking
from generator.clinic.food import Food
from generator.clinic.instruction import Instruction
from generator.clinic.protocol import Protocol
from generator.clinic.unit import Unit
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


@dataclass(frozen=True, slots=True)
class Plan:
    """All that one booklet is made from."""

    unit: Unit
    protocol: Protocol
    foods: tuple[Food, ...]
    booking: Booking
    timetable: Timetable
    identity: Identity
    wordings: tuple[Wording, ...]
    base_url: str
    instructions: Mapping[str, Instruction] = field(default_factory=dict)

    @property
    def link(self) -> str:
        """The patient's link; always with its last slash, which is the worker's scope."""
        return f"{self.base_url}p/{self.identity.token}/"

    def page_name(self, tag: str) -> str:
        """The file of a language: index.html for the first, <tag>.html for the others."""
        return "index.html" if tag == self.wordings[0].tag else f"{tag}.html"

    def companion_name(self, tag: str, suffix: str, first: str) -> str:
        """The file that goes with a language's page: `first` with the suffix, or <tag> with it."""
        return f"{first if tag == self.wordings[0].tag else tag}.{suffix}"
