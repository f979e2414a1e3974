"""Row: one rule of a protocol: what is done, when it may start, how long it takes, by when it has ended."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

# Design: these kinds are promised in JSON; none is ever renamed.
KINDS = (
    "instruction",
    "collect",
    "call",
    "confirm",
    "diet",
    "last-meal",
    "clear-fluids",
    "medicine",
    "mix",
    "tablets",
    "enema",
    "drink",
    "extra-fluid",
    "pause",
    "wake",
    "check",
    "stop-drinking",
    "leave",
    "arrive",
    "procedure",
    "home",
    "restart",
    "watch",
)
ENGINE_KINDS = ("leave", "arrive", "procedure")  # the engine makes these itself, for every plan
SESSION_KINDS = ("drink", "extra-fluid")
HOME_KINDS = (*SESSION_KINDS, "mix", "enema")  # done at home unless the row says: at the unit
POINTS = ("procedure", "arrival", "leaving")
RESERVED_IDS = (*POINTS, "leave", "arrive")
RESERVED_BEGINNINGS = ("usual-medicines-", "instruction-", "again-")  # of the steps that the engine adds
DIETS = ("low-fibre", "full-liquids", "usual")
CHECKS = ("clarity", "movement")
# What a patient may be given; clinical practice tells cut-offs and driving rules by these five.
SEDATIONS = ("none", "gas", "conscious", "propofol", "general")
ERRAND_KINDS = ("collect", "call", "confirm")  # done with somebody who keeps opening days


@dataclass(frozen=True, slots=True)
class WallClock:
    """A wall-clock moment: `at`, on the day `day` days from the procedure's day (-1: the day before).

    It keeps its wall time across a clock change.
    """

    day: int
    at: dt.time


@dataclass(frozen=True, slots=True)
class Before:
    """A moment `minutes` elapsed minutes before a point or before the start of an earlier row.

    Negative minutes lie after it.
    """

    point: str
    minutes: int


Anchor = WallClock | Before


@dataclass(frozen=True, slots=True)
class Window:
    """When a row may start; either end may be open. `source` is what states it.

    `sedation`, here and in gaps and deadlines: the kinds of sedation it holds for; empty: for all.
    """

    since: Anchor | None
    until: Anchor | None
    source: str
    sedation: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Gap:
    """How long after another row this one starts, in elapsed minutes from that row's start or end."""

    row: str
    at_least: int | None
    at_most: int | None
    counted_from: str
    source: str
    sedation: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Deadline:
    """By when the row must have ended. `source` is what states it."""

    anchor: Anchor
    source: str
    sedation: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Instead:
    """Another time for the row, for these kinds of sedation."""

    sedation: tuple[str, ...]
    anchor: Anchor
    source: str


@dataclass(frozen=True, slots=True)
class Glasses:
    """A drinking session: whole millilitres per glass, minutes per glass; the last glass may be smaller.

    `fastest_minutes` is the fastest pace allowed, `most_ml_per_hour` the cap on all drinks together.
    `least_ml` and `most_ml` are what the whole session must and may hold, `least_ml_per_hour` the slowest
    pace that still counts (None: the protocol states none).
    """

    count: int
    ml: int
    last_ml: int
    minutes: int
    fastest_minutes: int
    most_ml_per_hour: int | None
    least_ml_per_hour: int | None = None
    least_ml: int | None = None
    most_ml: int | None = None

    @property
    def total_ml(self) -> int:
        """The sum of the glasses, in millilitres."""
        return (self.count - 1) * self.ml + self.last_ml

    @property
    def total_minutes(self) -> int:
        """From the first sip to the end of the last glass's share of time."""
        return self.count * self.minutes


@dataclass(frozen=True, slots=True)
class PhaseLimits:
    """The most of everything drunk in a phase together, bowel medicine included, in millilitres: in all, in an hour."""

    most_ml: int | None
    most_ml_per_hour: int | None


@dataclass(frozen=True, slots=True)
class Row:
    """One rule. Exactly one of `anchor`, `windows`, or a gap that fixes the start gives its time.

    Attributes:
        instead: other times by kind of sedation; the anchor holds for the other kinds, and where it is unknown.
        takes_minutes: how long a row without glasses takes (a pause, an enema); None: it is a moment.
        serves: for a mix row, the drinks that are drunk from it; `keeps_minutes`: how long it may be kept.
        check: what a check row looks for; `room_minutes`: what must then be left until nothing more may be taken;
            `settle_minutes`: how much later than its rules ask it is better made, where the day leaves that much.
        phase: for a clear-fluids row, the most of all drinks from its start to its end.
        contains: composition of what the row takes, where it is not the protocol's own.
        at_unit: it is done at the unit: after arrival, not before leaving home.
        usual: the unit's own times by slot: start of the procedure -> wall clock of this row.
    """

    id: str
    kind: str
    diet: str | None
    anchor: Anchor | None
    windows: tuple[Window, ...]
    gaps: tuple[Gap, ...]
    deadlines: tuple[Deadline, ...]
    until_row: str | None
    glasses: Glasses | None
    packets: int | None
    mix_ml: int | None
    tablets: int | None
    wait_minutes: int | None
    days: int | None
    medicine: bool
    usual: dict[dt.time, dt.time]
    source: str
    instead: tuple[Instead, ...] = ()
    takes_minutes: int | None = None
    serves: tuple[str, ...] = ()
    keeps_minutes: int | None = None
    check: str | None = None
    room_minutes: int | None = None
    settle_minutes: int | None = None
    phase: PhaseLimits | None = None
    contains: str | None = None
    at_unit: bool = False

    @property
    def minutes(self) -> int:
        """How long the row takes by itself; 0 for a moment."""
        if self.glasses:
            return self.glasses.total_minutes
        return (self.takes_minutes or 0) + (self.wait_minutes or 0)

    @property
    def anchors(self) -> tuple[Anchor, ...]:
        """Every moment the row states: its own, and the ends of its windows and deadlines."""
        ends = (
            self.anchor,
            *(other.anchor for other in self.instead),
            *(end for window in self.windows for end in (window.since, window.until)),
            *(deadline.anchor for deadline in self.deadlines),
        )
        return tuple(end for end in ends if end is not None)

    @property
    def names_before(self) -> tuple[str, ...]:
        """Points and rows this row is counted from."""
        named = [end.point for end in self.anchors if isinstance(end, Before)]
        return tuple(dict.fromkeys([*named, *(gap.row for gap in self.gaps)]))
