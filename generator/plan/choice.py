"""Choice: the kindest starts over all ways in which the rows that follow may stand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from generator.clinic.rows import Row
from generator.plan.hourly import hour_distances
from generator.plan.network import ORIGIN, Bound, Closed, Collision, Crowded, Network
from generator.plan.solver import MOMENT_AWAKE, Cost, Solver, Wishes, placed
from generator.plan.soonest import Near, Room, Stand, Way, room_of


@dataclass(frozen=True, slots=True)
class Choice:
    """The kindest choice of all ways: the way's solver and closure, and every leader's start in epoch minutes."""

    solver: Solver
    closure: Closed
    starts: dict[str, int]

    def start(self, row: str) -> int:
        """A row's start in epoch minutes."""
        return placed(self.solver.network, row, self.starts)

    def is_held_by(self, bound: Bound) -> bool:
        """Whether a bound between two starts leaves them no more room."""
        later, earlier = (self.start(name) if name != ORIGIN else 0 for name in (bound.later, bound.earlier))
        return later - earlier == bound.most


def kindest_of(room: Room, rows: Mapping[str, Row], wishes: Wishes) -> Choice:
    """The kindest choice that keeps the rules in any way.

    Raises:
        TooWide: if there are too many choices to compare.
        Crowded: if every choice puts too much into one hour.
    """
    try:
        return _kindest(room.ways, rows, wishes)
    except Crowded:
        if not room.rules.follows:
            raise
    # A row that follows may have to wait until the hour has room again.
    further = room_of(room.rules, _near(rows))
    if isinstance(further, Collision):
        raise Crowded
    return _kindest(further.ways, rows, wishes)


def _kindest(ways: Sequence[Way], rows: Mapping[str, Row], wishes: Wishes) -> Choice:
    best: tuple[Cost, tuple[int, ...]] | None = None
    choice = None
    for network, closure in ways:
        solver = Solver(network, rows, _near_nights(network, closure, rows, wishes))
        try:
            cost, starts = solver.chosen(closure)
        except Crowded:
            continue
        found = cost, tuple(starts.values())
        if best is None or found < best:
            best, choice = found, Choice(solver, closure, starts)
    if choice is None:
        raise Crowded
    return choice


def _near_nights(network: Network, closure: Closed, rows: Mapping[str, Row], wishes: Wishes) -> Wishes:
    """The wishes with only the nights that any row could touch."""
    windows = [closure.window(leader) for leader in network.leaders]
    fixed = [
        (place.offset, place.offset + rows[row].minutes)
        for row, place in network.places.items()
        if place.leader == ORIGIN
    ]
    first = min((one[0] for one in (*windows, *fixed)), default=0)
    last = max((one[1] for one in (*windows, *fixed)), default=0)
    far = max(
        (abs(place.offset) + rows[row].minutes for row, place in network.places.items() if place.leader),
        default=0,
    )
    near = tuple(one for one in wishes.nights if first - far < one[1] and one[0] < last + far + MOMENT_AWAKE)
    return replace(wishes, nights=near)


def _near(rows: Mapping[str, Row]) -> Near:
    """Where the hourly maximum may make a session wait: just outside the hour of a glass above it."""

    def stands(name: str) -> Iterable[Stand]:
        one = rows[name].glasses
        if one is None:
            return
        for above in rows.values():
            if above.id == name:
                return
            if above.glasses is not None:
                for distance in sorted(hour_distances(above.glasses, one)):
                    yield above.id, distance

    return stands
