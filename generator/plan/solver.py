"""Picks the kindest start times that keep every hard rule; exact and deterministic.

Kindness, in this order: (1) fewest minutes awake in the unit's night; (2) least shortfall under the unit's
quiet time between the last glass and leaving home; (3) fewest sessions off the hour and half hour, then off
the quarters; (4) the last session as late, the others as early, as 1-3 leave.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from generator.clinic.rows import SESSION_KINDS, Row
from generator.plan.hourly import (
    Session,
    fullest_hour,
    may_crowd,
    most_of,
    soonest_within_the_hour,
)
from generator.plan.network import GRID, ORIGIN, Closed, Crowded, Network, TooWide

MOST_LOOKS = 500_000  # starts compared: a real protocol needs some thousands; this many take seconds
AWAKE_KINDS = (*SESSION_KINDS, "tablets", "enema", "mix")
MOMENT_AWAKE = 5  # minutes awake that a step without a length costs at night

Cost = tuple[int, int, int, int, int, int]
_NOTHING: Cost = (0, 0, 0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What kindness is measured against, in epoch minutes and minutes.

    `offset` is the zone's offset in minutes: :00 and :30 are meant on the wall, not in UTC.
    `last` is the row whose session should be late.
    """

    nights: tuple[tuple[int, int], ...]
    quiet: int
    leaving: int
    offset: int
    last: str | None


@dataclass(frozen=True, slots=True)
class _Member:
    """A row that keeps somebody awake: so long after its leader's start, for so long, drinking or not."""

    offset: int
    minutes: int
    session: bool


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

    def __init__(self, network: Network, rows: Mapping[str, Row], wishes: Wishes) -> None:
        self.network, self.wishes = network, wishes
        self.leaders = network.leaders
        self._last = network.places[wishes.last] if wishes.last else None
        self.last_row = wishes.last
        self._members = {leader: _members_of(leader, network, rows) for leader in (ORIGIN, *self.leaders)}
        self._prices: dict[tuple[str, int], Cost] = {}
        self._options: dict[tuple[str, int, int], _Options] = {}
        crowd = may_crowd(tuple(rows.values()))
        self._sessions = [
            (network.places[row.id], row.glasses, row.id)
            for row in rows.values()
            if crowd and row.glasses is not None
        ]
        self._most = most_of(tuple(rows.values())) or (0, "")
        # What stands at a fixed moment costs what it costs: its lack of quiet hides any smaller one.
        self.floor = self._cost(ORIGIN, 0)

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
            cost = self.floor
            for leader in self.leaders:
                cost = _sum(cost, self._price(leader, known[leader]))
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
        return all(self._is_soonest(row, sessions, chosen) for row in self.network.by_the_hour)

    def _is_soonest(self, row: str, sessions: list[Session], chosen: Mapping[str, int]) -> bool:
        """Whether a row that the hour makes wait could not have come sooner after those above it."""
        index = [name for _, _, name in sessions].index(row)
        start, glasses, _ = sessions[index]
        earliest = max(
            (placed(self.network, bound.later, chosen) if bound.later != ORIGIN else 0) - bound.most
            for bound in self.network.bounds
            if bound.waits and bound.earlier == row
        )
        return soonest_within_the_hour(sessions[:index], glasses, earliest, self._most[0]) == start

    def options(self, leader: str, earliest: int, latest: int) -> _Options:
        """Every start of a leader in its window with its cost, the cheapest first."""
        known = self._options.get((leader, earliest, latest))
        if known is None:
            price = self._price
            priced = [(price(leader, start), start) for start in range(earliest, latest + 1, GRID)]
            even = len({cost[1] for cost, _ in priced}) == 1
            known = self._options[leader, earliest, latest] = _Options(sorted(priced), _least(priced), even)
        return known

    def _price(self, leader: str, start: int) -> Cost:
        known = self._prices.get((leader, start))
        if known is None:
            known = self._prices[leader, start] = self._cost(leader, start)
        return known

    def _cost(self, leader: str, start: int) -> Cost:
        night = short = off_half = off_quarter = 0
        wishes = self.wishes
        for member in self._members[leader]:
            since = start + member.offset
            until = since + member.minutes
            night += self._awake(since, max(until, since + MOMENT_AWAKE))
            if member.session:
                if since < wishes.leaving:
                    short = max(short, until + wishes.quiet - wishes.leaving)
                off_half += (since + wishes.offset) % 30 != 0
                off_quarter += (since + wishes.offset) % 15 != 0
        last = self._last
        late = -(start + last.offset) if last is not None and leader == last.leader else 0
        return night, short, off_half, off_quarter, late, 0 if leader == self.last_row else start

    def _awake(self, since: int, until: int) -> int:
        awake = 0
        for begin, end in self.wishes.nights:
            if begin < until and since < end:
                awake += (until if until < end else end) - (since if since > begin else begin)
        return awake

    def could_gain(self, leader: str, start: int, closure: Closed, chosen: Mapping[str, int]) -> bool:
        """Whether any choice with this one start could be kinder than the chosen one: quick, and never wrongly no."""
        least, best = _sum(self.floor, self._price(leader, start)), self.floor
        for other in self.leaders:
            best = _sum(best, self._price(other, chosen[other]))
            if other != leader:
                least = _sum(least, self.options(other, *closure.window(other)).least)
        return least <= best


def placed(network: Network, row: str, chosen: Mapping[str, int]) -> int:
    """A row's start in epoch minutes, given the leaders' starts."""
    place = network.places[row]
    return chosen.get(place.leader, 0) + place.offset


def _members_of(leader: str, network: Network, rows: Mapping[str, Row]) -> tuple[_Member, ...]:
    return tuple(
        _Member(place.offset, rows[row].minutes, rows[row].kind in SESSION_KINDS)
        for row, place in network.places.items()
        if place.leader == leader and rows[row].kind in AWAKE_KINDS
    )


class _Search:
    """Branch and bound over the leaders' starts; costs add up, save the shortfall, which is the worst one."""

    def __init__(self, solver: Solver, closure: Closed, best: tuple[Cost, tuple[int, ...]] | None) -> None:
        self.names, self.most, self.solver = solver.leaders, closure.most, solver
        self.options = [solver.options(name, *closure.window(name)) for name in self.names]
        self.floors = [_NOTHING]
        for one in reversed(self.options):
            self.floors.append(_sum(self.floors[-1], one.least))
        self.floors.reverse()
        self.best = best
        self.looked = 0

    def kindest(self) -> tuple[Cost, tuple[int, ...]]:
        self._extend(0, (), self.solver.floor)
        if self.best is None:  # a closed network has a solution; only the hour can forbid it
            raise Crowded
        return self.best

    def _extend(self, depth: int, starts: tuple[int, ...], cost: Cost) -> None:
        if depth == len(self.names):
            if (self.best is None or (cost, starts) < self.best) and self.solver.keeps_the_hour(starts):
                self.best = (cost, starts)
            return
        floor, options = self.floors[depth + 1], self.options[depth]
        for own, start in options.starts:
            self.looked += 1
            if self.looked > MOST_LOOKS:
                raise TooWide
            total = _sum(cost, own)
            if self.best is not None:
                least, best = _sum(total, floor), self.best[0]
                # Options come by night minutes, then shortfall: once these two are worse, they stay worse.
                if least[:2] > best[:2] or (options.even and least > best):
                    break
                if least > best:
                    continue
            if self._fits(depth, start, starts):
                self._extend(depth + 1, (*starts, start), total)

    def _fits(self, depth: int, start: int, starts: tuple[int, ...]) -> bool:
        name, most = self.names[depth], self.most
        for earlier, other in zip(self.names, starts, strict=False):
            if start - other > most[name, earlier] or other - start > most[earlier, name]:
                return False
        return True


def _least(options: list[tuple[Cost, int]]) -> Cost:
    """The least night, and the least of each other measure at that night: no choice costs less.

    An option with more of the night is dearer whatever its other measures are, so they need not count.
    """
    night = min(cost[0] for cost, _ in options)
    _, *others = zip(*(cost for cost, _ in options if cost[0] == night), strict=True)
    short, off_half, off_quarter, late, early = (min(column) for column in others)
    return night, short, off_half, off_quarter, late, early


def _sum(one: Cost, two: Cost) -> Cost:
    return (
        one[0] + two[0],
        one[1] if one[1] > two[1] else two[1],
        one[2] + two[2],
        one[3] + two[3],
        one[4] + two[4],
        one[5] + two[5],
    )
