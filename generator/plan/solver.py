"""Picks the kindest start times that keep every hard rule; exact and deterministic."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from generator.clinic.rows import Row
from generator.plan.hourly import (
    Session,
    fullest_hour,
    may_crowd,
    most_of,
    soonest_within_the_hour,
)
from generator.plan.kindness import NOTHING, Cost, Prices, Wishes, least_of, sum_of
from generator.plan.network import GRID, ORIGIN, Closed, Crowded, Network, TooWide

MOST_LOOKS = 500_000  # starts compared: a real protocol needs some thousands; this many take seconds


@dataclass(frozen=True, slots=True)
class _Options:
    """What a leader may start at, the cheapest first, and the least of each measure among them.

    `even`: the shortfall is the same for all, so that what follows an option never makes a cheaper whole.
    """

    starts: list[tuple[Cost, int]]
    least: Cost
    even: bool


class Solver:
    """Solves one booking, and the same booking with a rule loosened; what a start costs is reckoned once."""

    def __init__(self, network: Network, closure: Closed, rows: Mapping[str, Row], wishes: Wishes) -> None:
        self.network, self.leaders = network, network.leaders
        self.prices = Prices(network, closure, rows, wishes)
        self._options: dict[tuple[str, int, int], _Options] = {}
        crowd = may_crowd(tuple(rows.values()))
        self._sessions = [
            (network.places[row.id], row.glasses, row.id)
            for row in rows.values()
            if crowd and row.glasses is not None
        ]
        self._most = most_of(tuple(rows.values())) or (0, "")

    def chosen(self, closure: Closed, known: Mapping[str, int] | None = None) -> tuple[Cost, dict[str, int]]:
        """The kindest start of every leader, in epoch minutes, and what the whole costs.

        Args:
            known: a choice that keeps the rules already; only a kinder one takes its place.

        Raises:
            TooWide: if the windows leave too many choices to compare.
            Crowded: if every choice puts too much into one hour.
        """
        best = None
        if known is not None:
            cost = self.prices.floor
            for leader in self.leaders:
                cost = sum_of(cost, self.prices.price(leader, known[leader]))
            best = cost, tuple(known[leader] for leader in self.leaders)
        cost, starts = _Search(self, closure, best).kindest()
        return cost, dict(zip(self.leaders, starts, strict=True))

    def keeps_the_hour(self, starts: tuple[int, ...]) -> bool:
        """Whether no hour holds too much, where that hangs on more than two sessions."""
        if not self._sessions:
            return True
        chosen = dict(zip(self.leaders, starts, strict=True))
        sessions = [
            (chosen.get(place.leader, 0) + place.offset, glasses, row)
            for place, glasses, row in self._sessions
        ]
        if fullest_hour(sessions)[0] > self._most[0]:
            return False
        starts_of = placed(self.network, chosen)
        return all(self._is_soonest(row, sessions, starts_of) for row in self.network.by_the_hour)

    def _is_soonest(self, row: str, sessions: list[Session], starts: Mapping[str, int]) -> bool:
        """Whether a row that the hour makes wait could not have come sooner after those above it."""
        index = [name for _, _, name in sessions].index(row)
        start, glasses, _ = sessions[index]
        earliest = max(
            (starts[bound.later] if bound.later != ORIGIN else 0) - bound.most
            for bound in self.network.bounds
            if bound.waits and bound.earlier == row
        )
        return soonest_within_the_hour(sessions[:index], glasses, earliest, self._most[0]) == start

    def options(self, leader: str, earliest: int, latest: int) -> _Options:
        """Every start of a leader in its window with its cost, the cheapest first."""
        known = self._options.get((leader, earliest, latest))
        if known is None:
            starts = range(earliest, latest + 1, GRID)
            costs = [self.prices.price(leader, start) for start in starts]
            even = len({cost[1] for cost in costs}) == 1
            known = _Options(sorted(zip(costs, starts, strict=True)), least_of(costs), even)
            self._options[leader, earliest, latest] = known
        return known

    def could_gain(self, leader: str, start: int, closure: Closed, cost: Cost) -> bool:
        """Whether a choice with this one start could be kinder than that cost: quick, and never wrongly no.

        Args:
            closure: the room while a rule forbids that start; without the rule no window grows by more than a step.
        """
        least = sum_of(self.prices.floor, self.prices.price(leader, start))
        for other in self.leaders:
            if other != leader:
                earliest, latest = closure.window(other)
                further = [self.prices.price(other, at) for at in (earliest - GRID, latest + GRID)]
                least = sum_of(least, least_of([self.options(other, earliest, latest).least, *further]))
        return least <= cost


def placed(network: Network, chosen: Mapping[str, int]) -> dict[str, int]:
    """Every row's start in epoch minutes, given the leaders' starts."""
    return {row: chosen.get(leader, 0) + offset for row, (leader, offset) in network.places.items()}


class _Search:
    """Branch and bound over the leaders' starts; costs add up, save the shortfall, which is the worst one."""

    def __init__(self, solver: Solver, closure: Closed, best: tuple[Cost, tuple[int, ...]] | None) -> None:
        names, most = solver.leaders, closure.most
        self.depth, self.solver = len(names), solver
        self.options = [solver.options(name, *closure.window(name)) for name in names]
        # How long each leader may start after those before it, and before them.
        self.spans = [
            [(most[name][other], most[other][name]) for other in names[:depth]]
            for depth, name in enumerate(names)
        ]
        self.floors = [NOTHING]
        for one in reversed(self.options):
            self.floors.append(sum_of(self.floors[-1], one.least))
        self.floors.reverse()
        self.best = best
        self.looked = 0

    def kindest(self) -> tuple[Cost, tuple[int, ...]]:
        self._extend(0, (), self.solver.prices.floor)
        if self.best is None:  # a closed network has a solution; only the hour can forbid it
            raise Crowded
        return self.best

    def _extend(self, depth: int, starts: tuple[int, ...], cost: Cost) -> None:
        if depth == self.depth:
            if (self.best is None or (cost, starts) < self.best) and self.solver.keeps_the_hour(starts):
                self.best = (cost, starts)
            return
        options, floor = self.options[depth], sum_of(cost, self.floors[depth + 1])
        for own, start in options.starts:
            self.looked += 1
            if self.looked > MOST_LOOKS:
                raise TooWide
            if self.best is not None:
                least, best = sum_of(floor, own), self.best[0]
                # Options come by night minutes, then shortfall: once these two are worse, they stay worse.
                if least[:2] > best[:2] or (options.even and least > best):
                    break
                if least > best:
                    continue
            if self._fits(depth, start, starts):
                self._extend(depth + 1, (*starts, start), sum_of(cost, own))

    def _fits(self, depth: int, start: int, starts: tuple[int, ...]) -> bool:
        for other, (after, before) in zip(starts, self.spans[depth], strict=True):
            if not -before <= start - other <= after:
                return False
        return True
