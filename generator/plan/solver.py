"""Picks the kindest start times that keep every hard rule; exact and deterministic.

Kindness, in this order: (1) fewest minutes awake in the unit's night; (2) least shortfall under the unit's
quiet time between the last glass and leaving home; (3) fewest sessions off the hour and half hour, then off
the quarters; (4) the last session as late, the others as early, as 1-3 leave.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from generator.clinic.rows import SESSION_KINDS, Row
from generator.plan.network import Closed, Collision, Network, closed

GRID = 5  # minutes
AWAKE_KINDS = (*SESSION_KINDS, "tablets", "enema", "mix", "medicine")
_MOMENT_AWAKE = 5  # minutes awake that a step without a length costs at night

Cost = tuple[int, int, int, int, int, int]


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


def starts_for(network: Network, rows: Mapping[str, Row], wishes: Wishes) -> dict[str, int] | Collision:
    """The chosen start of every row in epoch minutes, or the rules that collide."""
    closure = closed(network, GRID)
    if isinstance(closure, Collision):
        return closure
    chosen = _Search(network, rows, wishes, closure).kindest()
    return {row: placed(network, row, chosen) for row in network.places}


def placed(network: Network, row: str, chosen: Mapping[str, int]) -> int:
    """A row's start, given its leader's."""
    place = network.places[row]
    return chosen.get(place.leader, 0) + place.offset


class _Search:
    """Branch and bound over the leaders' starts; costs add up, save the shortfall, which is the worst one."""

    def __init__(self, network: Network, rows: Mapping[str, Row], wishes: Wishes, closure: Closed) -> None:
        self.network, self.rows, self.wishes, self.closure = network, rows, wishes, closure
        self.leaders = network.leaders
        self.last = network.places[wishes.last].leader if wishes.last else None
        self.options = [self._priced(leader) for leader in self.leaders]
        floor: Cost = (0, 0, 0, 0, 0, 0)
        self.floors = [floor]
        for options in reversed(self.options):
            best: Cost = tuple(min(column) for column in zip(*(cost for cost, _ in options), strict=True))
            self.floors.append(_sum(self.floors[-1], best))
        self.floors.reverse()
        self.best: tuple[Cost, tuple[int, ...]] | None = None

    def kindest(self) -> dict[str, int]:
        self._extend(0, (), (0, 0, 0, 0, 0, 0))
        assert self.best is not None, "a closed network has a solution"
        return dict(zip(self.leaders, self.best[1], strict=True))

    def _extend(self, depth: int, starts: tuple[int, ...], cost: Cost) -> None:
        if depth == len(self.leaders):
            if self.best is None or (cost, starts) < self.best:
                self.best = (cost, starts)
            return
        for own, start in self.options[depth]:
            total = _sum(cost, own)
            if self.best is not None and _sum(total, self.floors[depth + 1]) > self.best[0]:
                continue
            if self._fits(depth, start, starts):
                self._extend(depth + 1, (*starts, start), total)

    def _fits(self, depth: int, start: int, starts: tuple[int, ...]) -> bool:
        name, most = self.leaders[depth], self.closure.most
        return all(
            start - other <= most[name, leader] and other - start <= most[leader, name]
            for leader, other in zip(self.leaders, starts, strict=False)
        )

    def _priced(self, leader: str) -> list[tuple[Cost, int]]:
        earliest, latest = self.closure.window(leader)
        return sorted((self._cost(leader, start), start) for start in range(earliest, latest + 1, GRID))

    def _cost(self, leader: str, start: int) -> Cost:
        night = short = off_half = off_quarter = 0
        for row_id, place in self.network.places.items():
            row = self.rows[row_id]
            if place.leader != leader or row.kind not in AWAKE_KINDS:
                continue
            since = start + place.offset
            until = since + row.minutes
            night += self._awake(since, max(until, since + _MOMENT_AWAKE))
            if row.kind in SESSION_KINDS:
                if since < self.wishes.leaving:
                    short = max(short, until + self.wishes.quiet - self.wishes.leaving)
                off_half += (since + self.wishes.offset) % 30 != 0
                off_quarter += (since + self.wishes.offset) % 15 != 0
        is_last = leader == self.last
        return night, short, off_half, off_quarter, -start if is_last else 0, 0 if is_last else start

    def _awake(self, since: int, until: int) -> int:
        return sum(max(0, min(until, end) - max(since, begin)) for begin, end in self.wishes.nights)


def _sum(one: Cost, two: Cost) -> Cost:
    return (
        one[0] + two[0],
        max(one[1], two[1]),
        one[2] + two[2],
        one[3] + two[3],
        one[4] + two[4],
        one[5] + two[5],
    )
