"""The rules of one booking as bounds on differences of start times: what the solver searches and explains.

Every hard rule says that one start lies at most so many minutes after another, or after a fixed moment.
Rows whose start follows exactly from another's are folded into that one (their *leader*), so that few
unknowns remain, however many rows a protocol has. Times are epoch minutes. What a plan needs dozens of is a tuple.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

GRID = 5  # minutes: starts that are chosen are multiples of it
ORIGIN = ""  # the fixed moment zero: an absolute bound is a bound against it


class Rule(NamedTuple):
    """One hard rule as a person would say it.

    Attributes:
        row: id of the row it is stated for.
        text: the rule, a phrase in English for staff.
        source: what states it.
        exact: it states one moment, so that it binds whatever else does.
        kind: the kind of finding when it cannot be kept.
    """

    row: str
    text: str
    source: str
    exact: bool = False
    kind: str = "rules-collide"


class Bound(NamedTuple):
    """start(later) - start(earlier) <= most, in minutes; ORIGIN stands for zero.

    A `deadline` is by when `later` must have ended. `waits`: `earlier`, where it follows as soon as it may,
    waits for this.
    """

    later: str
    earlier: str
    most: int
    rule: Rule
    deadline: bool = False
    waits: bool = False


class Place(NamedTuple):
    """Where a row stands: a fixed moment (leader ORIGIN, `offset` absolute) or `offset` after its leader's start."""

    leader: str
    offset: int


_AT_ORIGIN = Place(ORIGIN, 0)


class Folded(NamedTuple):
    """A bound as one between leaders; between two moments of one leader no choice is left."""

    later: str
    earlier: str
    most: int
    bound: Bound

    def on_grid(self, grid: int, more: int = 0) -> int:
        """A bound between two leaders in minutes, given so many more, on the grid.

        Exact, because every leader's start is a multiple of `grid`: a bound between two of them may be
        rounded down to the grid without losing a solution.
        """
        return (self.most + more) // grid * grid


@dataclass(frozen=True, slots=True)
class Network:
    """The rows' places and the bounds between them.

    `by_the_hour`: rows that follow as soon as the hourly maximum lets them.
    """

    places: dict[str, Place]
    bounds: tuple[Bound, ...]
    by_the_hour: tuple[str, ...] = ()
    leaders: tuple[str, ...] = field(init=False)  # the rows whose start the solver chooses, in protocol order
    folded: tuple[Folded, ...] = field(init=False)  # the bounds between two leaders
    settled: tuple[Folded, ...] = field(init=False)  # the others, kept or not whatever is chosen

    def __post_init__(self) -> None:
        leaders = tuple(row for row, place in self.places.items() if place.leader == row)
        folded: list[Folded] = []
        settled: list[Folded] = []
        for bound in self.bounds:
            later, shift = self.places.get(bound.later, _AT_ORIGIN)
            earlier, back = self.places.get(bound.earlier, _AT_ORIGIN)
            one = Folded(later, earlier, bound.most - shift + back, bound)
            (settled if later == earlier else folded).append(one)
        object.__setattr__(self, "leaders", leaders)
        object.__setattr__(self, "folded", tuple(folded))
        object.__setattr__(self, "settled", tuple(settled))


@dataclass(frozen=True, slots=True)
class Collision:
    """Rules that cannot be kept together, and by how many minutes they miss."""

    rules: tuple[Rule, ...]
    minutes: int


@dataclass(frozen=True, slots=True)
class Closed:
    """`most[later][earlier]`: the tightest bound between any two leaders (and ORIGIN), on the grid, in minutes."""

    most: dict[str, dict[str, int]]

    def window(self, leader: str) -> tuple[int, int]:
        """Earliest and latest start of a leader that the hard rules leave."""
        return -self.most[ORIGIN][leader], self.most[leader][ORIGIN]


NO_BOUND = 10**12


class TooWide(Exception):
    """The rows leave more choices than can be compared; narrower windows are needed."""


class Crowded(Exception):
    """Every choice of times puts more into one hour than the protocol allows."""


def closed(network: Network, grid: int, looser: Rule | None = None) -> Closed | Collision:
    """The network's closure on the grid, or the rules that collide.

    Args:
        looser: a rule that is given one grid step more room.
    """
    for settled in network.settled:
        if settled.most < 0:
            rules = (settled.bound.rule, *_place_rules(network, settled.bound))
            return Collision(rules, -settled.most)
    names = (ORIGIN, *network.leaders)
    most = {later: {earlier: 0 if later == earlier else NO_BOUND for earlier in names} for later in names}
    reasons: dict[tuple[str, str], tuple[Rule, ...]] = {}
    for folded in network.folded:
        rule, later, earlier = folded.bound.rule, folded.later, folded.earlier
        limit = folded.on_grid(grid, grid if rule is looser else 0)
        if limit < most[later][earlier]:
            most[later][earlier], reasons[later, earlier] = limit, (rule,)
    return _closure(most, reasons)


def _closure(
    most: dict[str, dict[str, int]], reasons: dict[tuple[str, str], tuple[Rule, ...]]
) -> Closed | Collision:
    """Floyd and Warshall's closure, carrying the rules along; a negative round trip is a collision."""
    for via, onwards in most.items():
        for later, tightest in most.items():
            first = tightest[via]
            if first >= NO_BOUND:
                continue
            for earlier, second in onwards.items():
                through = first + second
                if through < tightest[earlier] and second < NO_BOUND:
                    tightest[earlier] = through
                    reasons[later, earlier] = reasons.get((later, via), ()) + reasons.get((via, earlier), ())
                    if later == earlier:
                        return Collision(tuple(dict.fromkeys(reasons[later, earlier])), -through)
    return Closed(most)


def _place_rules(network: Network, bound: Bound) -> tuple[Rule, ...]:
    """The other rules that hold the two rows of a broken bound where they are."""
    rows = {bound.later, bound.earlier} - {ORIGIN}
    return tuple(
        dict.fromkeys(
            other.rule for other in network.bounds if other.rule != bound.rule and other.rule.row in rows
        )
    )
