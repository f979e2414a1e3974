"""What a choice of starts costs the patient: kindness as figures, to be compared one after the other.

(1) minutes awake in the unit's night; (2) shortfall under the unit's quiet time between the last glass and leaving
home; (3) sessions off the hour and half hour, then off the quarters; (4) the last session late, the others early.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from generator.clinic.rows import SESSION_KINDS, Row
from generator.plan.network import GRID, ORIGIN, Closed, Network

AWAKE_KINDS = (*SESSION_KINDS, "tablets", "enema", "mix")
MOMENT_AWAKE = 5  # minutes awake that a step without a length costs at night
_HALF_HOUR = 30  # minutes
_LOOSER = 2 * GRID  # further than that no window grows: a rule has two bounds at most, each given a grid step

Cost = tuple[int, int, int, int, int, int]
NOTHING: Cost = (0, 0, 0, 0, 0, 0)
_Awake = tuple[
    int, int, bool
]  # of a row: how long after its leader's start, for how long, whether it is a session


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


class _Following(NamedTuple):
    """What follows from one leader's start.

    Attributes:
        awake: for each row that keeps somebody awake, how long after the start, and for how long.
        sessions: for each session, how long after the start it begins and ends.
        odd: by the start's minute past the half hour, how many sessions are then off :00 and :30, and off :15 and :45.
        nights: those that it could touch.
    """

    awake: Sequence[tuple[int, int]]
    sessions: Sequence[tuple[int, int]]
    odd: Sequence[tuple[int, int]]
    nights: Sequence[tuple[int, int]]


class Prices:
    """What each start of each leader costs, reckoned once; also for starts that a loosened rule would allow."""

    def __init__(self, network: Network, closure: Closed, rows: Mapping[str, Row], wishes: Wishes) -> None:
        self._wishes = wishes
        self._last = network.places[wishes.last] if wishes.last else None
        awake: dict[str, list[_Awake]] = {leader: [] for leader in (ORIGIN, *network.leaders)}
        for name, (leader, offset) in network.places.items():
            row = rows[name]
            if row.kind in AWAKE_KINDS:
                awake[leader].append((offset, row.minutes, row.kind in SESSION_KINDS))
        self._following = {
            leader: _following(members, closure.window(leader), wishes) for leader, members in awake.items()
        }
        self._known: dict[tuple[str, int], Cost] = {}
        # What stands at a fixed moment costs what it costs: its lack of quiet hides any smaller one.
        self.floor = self._cost(ORIGIN, 0)

    def price(self, leader: str, start: int) -> Cost:
        """What a leader's start, in epoch minutes, costs with all that follows from it."""
        known = self._known.get((leader, start))
        if known is None:
            known = self._known[leader, start] = self._cost(leader, start)
        return known

    def _cost(self, leader: str, start: int) -> Cost:
        awake, sessions, odd, nights = self._following[leader]
        night = short = 0
        for begin, end in nights:
            for offset, minutes in awake:
                since = start + offset
                if begin < since + minutes and since < end:
                    night += min(since + minutes, end) - max(since, begin)
        quiet = self._wishes.leaving - self._wishes.quiet
        for since, until in sessions:
            if start + until - quiet > short and start + since < self._wishes.leaving:
                short = start + until - quiet
        off_half, off_quarter = odd[start % _HALF_HOUR // GRID]
        last = self._last
        late = -(start + last.offset) if last is not None and leader == last.leader else 0
        return night, short, off_half, off_quarter, late, 0 if leader == self._wishes.last else start


def _following(members: Sequence[_Awake], window: tuple[int, int], wishes: Wishes) -> _Following:
    awake = [(offset, max(minutes, MOMENT_AWAKE)) for offset, minutes, _ in members]
    sessions = [(offset, offset + minutes) for offset, minutes, is_session in members if is_session]
    first = window[0] - _LOOSER + min([since for since, _ in awake], default=0)
    last = window[1] + _LOOSER + max([since + minutes for since, minutes in awake], default=0)
    return _Following(
        awake,
        sessions,
        _odd(tuple([(since + wishes.offset) % _HALF_HOUR for since, _ in sessions])),
        [(begin, end) for begin, end in wishes.nights if begin < last and first < end],
    )


@lru_cache(maxsize=1024)
def _odd(past: tuple[int, ...]) -> tuple[tuple[int, int], ...]:
    """See _Following. `past`: when each session begins if the leader starts on a half hour, in minutes past one."""
    starts = [[at + start for at in past] for start in range(0, _HALF_HOUR, GRID)]
    return tuple((sum(at % 30 != 0 for at in one), sum(at % 15 != 0 for at in one)) for one in starts)


def least_of(costs: Sequence[Cost]) -> Cost:
    """The least night, and the least of each other measure at that night: no choice costs less.

    An option with more of the night is dearer whatever its other measures are, so they need not count.
    """
    least = min(costs)[0]
    columns = zip(*[cost for cost in costs if cost[0] == least], strict=True)
    night, short, off_half, off_quarter, late, early = map(min, columns)
    return night, short, off_half, off_quarter, late, early


def sum_of(one: Cost, two: Cost) -> Cost:
    """Costs add up, save the shortfall, which is the worst one."""
    return (
        one[0] + two[0],
        one[1] if one[1] > two[1] else two[1],
        one[2] + two[2],
        one[3] + two[3],
        one[4] + two[4],
        one[5] + two[5],
    )
