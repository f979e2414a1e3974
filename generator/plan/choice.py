"""Choice: the kindest starts over all ways in which the rows that follow may stand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from generator.clinic.rows import Row
from generator.plan.hourly import hour_distances
from generator.plan.kindness import Cost, Wishes
from generator.plan.network import ORIGIN, Bound, Closed, Collision, Crowded
from generator.plan.solver import Solver, placed
from generator.plan.soonest import Near, Room, Stand, Way, room_of


@dataclass(frozen=True, slots=True)
class Choice:
    """The kindest choice of all ways: the way's solver and closure, its cost, every row's start in epoch minutes."""

    solver: Solver
    closure: Closed
    cost: Cost
    starts: dict[str, int]

    def waits(self) -> list[Bound]:
        """The bounds that make a row wait and leave it no more room."""
        starts = self.starts | {ORIGIN: 0}
        return [
            bound
            for bound in self.solver.network.bounds
            if bound.waits and starts[bound.later] - starts[bound.earlier] == bound.most
        ]


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
        solver = Solver(network, closure, rows, wishes)
        try:
            cost, starts = solver.chosen(closure)
        except Crowded:
            continue
        found = cost, tuple(starts.values())
        if best is None or found < best:
            best, choice = found, Choice(solver, closure, cost, placed(network, starts))
    if choice is None:
        raise Crowded
    return choice


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
