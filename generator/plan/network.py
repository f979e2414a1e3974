"""The rules of one booking as bounds on differences of start times: what the solver searches and explains.

Every hard rule says that one start lies at most so many minutes after another, or after a fixed moment.
Rows whose start follows exactly from another's are folded into that one (their *leader*), so that few
unknowns remain, however many rows a protocol has. Times are epoch minutes.
"""

from __future__ import annotations

from dataclasses import dataclass, field

GRID = 5  # minutes: starts that are chosen are multiples of it
ORIGIN = ""  # the fixed moment zero: an absolute bound is a bound against it


@dataclass(frozen=True, slots=True)
class Rule:
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


@dataclass(frozen=True, slots=True)
class Bound:
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


@dataclass(frozen=True, slots=True)
class Place:
    """Where a row stands: a fixed moment (leader ORIGIN, `offset` absolute) or `offset` after its leader's start."""

    leader: str
    offset: int


@dataclass(frozen=True, slots=True)
class Folded:
    """A bound as one between leaders: `later` and `earlier` are the same where no choice is left."""

    later: str
    earlier: str
    most: int
    bound: Bound

    def on_grid(self, grid: int, more: int = 0) -> int:
        """The bound in minutes, given so many more, on the grid.

        Exact, because every leader's start is a multiple of `grid`: a bound between two of them may be
        rounded down to the grid without losing a solution.
        """
        most = self.most + more
        return most if self.later == self.earlier else most // grid * grid


@dataclass(frozen=True, slots=True)
class Network:
    """The rows' places and the bounds between them.

    `by_the_hour`: rows that follow as soon as the hourly maximum lets them.
    """

    places: dict[str, Place]
    bounds: tuple[Bound, ...]
    by_the_hour: tuple[str, ...] = ()
    leaders: tuple[str, ...] = field(init=False)  # the rows whose start the solver chooses, in protocol order
    folded: tuple[Folded, ...] = field(init=False)

    def __post_init__(self) -> None:
        leaders = tuple(row for row, place in self.places.items() if place.leader == row)
        object.__setattr__(self, "leaders", leaders)
        object.__setattr__(self, "folded", tuple([_folded(bound, self.places) for bound in self.bounds]))


def _folded(bound: Bound, places: dict[str, Place]) -> Folded:
    one, two = places.get(bound.later), places.get(bound.earlier)
    later, shift = (one.leader, one.offset) if one else (ORIGIN, 0)
    earlier, back = (two.leader, two.offset) if two else (ORIGIN, 0)
    return Folded(later, earlier, bound.most - shift + back, bound)


@dataclass(frozen=True, slots=True)
class Collision:
    """Rules that cannot be kept together, and by how many minutes they miss."""

    rules: tuple[Rule, ...]
    minutes: int


@dataclass(frozen=True, slots=True)
class Closed:
    """The tightest bound between any two leaders (and ORIGIN), on the grid, in minutes."""

    names: tuple[str, ...]
    most: dict[tuple[str, str], int]

    def window(self, leader: str) -> tuple[int, int]:
        """Earliest and latest start of a leader that the hard rules leave."""
        return -self.most[ORIGIN, leader], self.most[leader, ORIGIN]


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
    names = (ORIGIN, *network.leaders)
    most: dict[tuple[str, str], int] = {(a, b): 0 if a == b else NO_BOUND for a in names for b in names}
    reasons: dict[tuple[str, str], tuple[Rule, ...]] = {}
    for folded in network.folded:
        rule, pair = folded.bound.rule, (folded.later, folded.earlier)
        limit = folded.on_grid(grid, grid if rule is looser else 0)
        if folded.later == folded.earlier:
            if limit < 0:
                return Collision((rule, *_place_rules(network, folded.bound)), -limit)
        elif limit < most[pair]:
            most[pair], reasons[pair] = limit, (rule,)
    return _closure(names, most, reasons)


def _closure(
    names: tuple[str, ...], most: dict[tuple[str, str], int], reasons: dict[tuple[str, str], tuple[Rule, ...]]
) -> Closed | Collision:
    """Floyd and Warshall's closure, carrying the rules along; a negative round trip is a collision."""
    for via in names:
        for later in names:
            if most[later, via] >= NO_BOUND:
                continue
            for earlier in names:
                through = most[later, via] + most[via, earlier]
                if through < most[later, earlier] and most[via, earlier] < NO_BOUND:
                    most[later, earlier] = through
                    reasons[later, earlier] = reasons.get((later, via), ()) + reasons.get((via, earlier), ())
                    if later == earlier:
                        return Collision(tuple(dict.fromkeys(reasons[later, earlier])), -through)
    return Closed(names, most)


def _place_rules(network: Network, bound: Bound) -> tuple[Rule, ...]:
    """The other rules that hold the two rows of a broken bound where they are."""
    rows = {bound.later, bound.earlier} - {ORIGIN}
    return tuple(
        dict.fromkeys(
            other.rule for other in network.bounds if other.rule != bound.rule and other.rule.row in rows
        )
    )
