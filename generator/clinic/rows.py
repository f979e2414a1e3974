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
POINTS = ("procedure", "arrival", "leaving")
DIETS = ("low-fibre", "usual")


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
    """When a row may start; either end may be open. `source` is what states it."""

    since: Anchor | None
    until: Anchor | None
    source: str


@dataclass(frozen=True, slots=True)
class Gap:
    """How long after another row this one starts, in elapsed minutes from that row's start or end."""

    row: str
    at_least: int | None
    at_most: int | None
    counted_from: str
    source: str


@dataclass(frozen=True, slots=True)
class Deadline:
    """By when the row must have ended. `source` is what states it."""

    anchor: Anchor
    source: str


@dataclass(frozen=True, slots=True)
class Glasses:
    """A drinking session: whole millilitres per glass, minutes per glass; the last glass may be smaller.

    `fastest_minutes` is the fastest pace allowed, `most_ml_per_hour` the cap on all drinks together
    (None: the protocol states none).
    """

    count: int
    ml: int
    last_ml: int
    minutes: int
    fastest_minutes: int
    most_ml_per_hour: int | None

    @property
    def total_ml(self) -> int:
        """The sum of the glasses, in millilitres."""
        return (self.count - 1) * self.ml + self.last_ml

    @property
    def total_minutes(self) -> int:
        """From the first sip to the end of the last glass's share of time."""
        return self.count * self.minutes


@dataclass(frozen=True, slots=True)
class Row:
    """One rule. Exactly one of `anchor`, `windows`, or a gap that fixes the start gives its time.

    `usual` holds the unit's own times by slot: start of the procedure -> wall clock of this row.
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

    @property
    def minutes(self) -> int:
        """How long the row takes by itself; 0 for a moment."""
        return self.glasses.total_minutes if self.glasses else (self.wait_minutes or 0)

    @property
    def names_before(self) -> tuple[str, ...]:
        """Points and rows this row is counted from."""
        ends = [
            self.anchor,
            *(end for window in self.windows for end in (window.since, window.until)),
            *(deadline.anchor for deadline in self.deadlines),
        ]
        return tuple([end.point for end in ends if isinstance(end, Before)] + [gap.row for gap in self.gaps])
