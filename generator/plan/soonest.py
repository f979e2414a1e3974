"""Soonest: a row that follows "as soon as it may" stands at the latest of what it waits for.

Which of these is the latest may hang on starts that are still to be chosen. So the rules of a booking become one
network or several, one for each *way*: in each, such a row stands right behind one thing it waits for, and the
others are bounds like any. The solver takes the kindest choice of all ways.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from generator.plan.network import (
    GRID,
    ORIGIN,
    Bound,
    Closed,
    Collision,
    Network,
    Place,
    Rule,
    TooWide,
    closed,
)

_MOST_WAYS = 256
Stand = tuple[str, int]  # (ORIGIN, epoch minutes), or (a row, minutes after its start)
Places = dict[str, Place]
Way = tuple[Network, Closed]
Near = Callable[[str], Iterable[Stand]]  # where a row may come to stand beside the rules it states


@dataclass(frozen=True, slots=True)
class Rules:
    """The hard rules of one booking.

    Attributes:
        stands: where each row stands; None for one whose start is chosen, or that follows.
        bounds: between any two rows.
        follows: the rows that start as soon as they may.
    """

    stands: dict[str, Stand | None]
    bounds: tuple[Bound, ...]
    follows: tuple[str, ...]

    def bounded(self, *bounds: Bound) -> Rules:
        """The same with further bounds."""
        return replace(self, bounds=(*self.bounds, *bounds))

    def standing(self, row: str, at: int) -> Rules:
        """The same with a row at a moment, in epoch minutes."""
        follows = tuple(name for name in self.follows if name != row)
        return replace(self, stands=self.stands | {row: (ORIGIN, at)}, follows=follows)

    def looser(self, rule: Rule) -> Rules:
        """The same with one rule given a grid step more room."""
        bounds = [
            bound._replace(most=bound.most + GRID) if bound.rule == rule else bound for bound in self.bounds
        ]
        return replace(self, bounds=tuple(bounds))


def networks_of(rules: Rules, near: Near | None = None) -> list[Network]:
    """One network for each way in which the rows that follow may come to stand.

    Args:
        near: where a row stands when the hourly maximum makes it wait; None: nowhere but behind its rules.

    Raises:
        TooWide: if there are too many ways.
    """
    waits = _waits(rules)
    ways: list[tuple[Places, tuple[str, ...]]] = [({}, ())]
    for row in _in_order(rules, waits):
        if row in waits:
            ways = [
                (places | {row: place}, (*by_the_hour, row) if waiting else by_the_hour)
                for places, by_the_hour in ways
                for place, waiting in _behind(row, waits[row], places, near)
            ]
            if len(ways) > _MOST_WAYS:
                raise TooWide
        else:
            stand = rules.stands[row]
            for places, _ in ways:
                places[row] = Place(row, 0) if stand is None else _after(stand, places)
    return [
        Network({row: places[row] for row in rules.stands}, rules.bounds, by_the_hour)
        for places, by_the_hour in ways
    ]


@dataclass(frozen=True, slots=True)
class Room:
    """What the rules leave: the ways that keep them, each with its closure; at least one.

    `choice`: whether the rows that follow have more ways than one to stand, kept or not.
    """

    rules: Rules
    ways: tuple[Way, ...]
    choice: bool

    def window(self, row: str) -> tuple[int, int]:
        """The earliest and the latest start of a row in any way, in epoch minutes."""
        found = []
        for network, closure in self.ways:
            place = network.places[row]
            earliest, latest = (0, 0) if place.leader == ORIGIN else closure.window(place.leader)
            found.append((earliest + place.offset, latest + place.offset))
        return min(since for since, _ in found), max(until for _, until in found)

    def bounded(self, *bounds: Bound) -> Room | None:
        """The room that further bounds leave; None: they collide with the others."""
        found = room_of(self.rules.bounded(*bounds))
        return None if isinstance(found, Collision) else found


def room_of(rules: Rules, near: Near | None = None) -> Room | Collision:
    """The room that the rules leave, or the rules that collide.

    Raises:
        TooWide: if there are too many ways.
    """
    networks = networks_of(rules, near)
    ways: list[Way] = []
    collisions: list[Collision] = []
    for network in networks:
        closure = closed(network, GRID)
        if isinstance(closure, Collision):
            collisions.append(closure)
        else:
            ways.append((network, closure))
    if ways:
        return Room(rules, tuple(ways), len(networks) > 1)
    return collisions[0] if len(networks) == 1 else _collision(rules, collisions)


def _collision(rules: Rules, collisions: list[Collision]) -> Collision:
    """What collides wherever the rows that follow stand; else the least that is amiss."""
    places: Places = {}
    for row in _in_order(rules, {}):
        stand = rules.stands[row]
        places[row] = Place(row, 0) if stand is None else _after(stand, places)
    anyhow = closed(Network({row: places[row] for row in rules.stands}, rules.bounds), 1)
    return anyhow if isinstance(anyhow, Collision) else min(collisions, key=lambda one: one.minutes)


def _waits(rules: Rules) -> dict[str, list[Bound]]:
    """What each row that follows waits for, save what itself follows from that row."""
    waits: dict[str, list[Bound]] = {row: [] for row in rules.follows}
    for bound in rules.bounds:
        if bound.waits and bound.earlier in waits:
            waits[bound.earlier].append(bound)
    index = {row: number for number, row in enumerate((ORIGIN, *rules.stands))}
    return {
        # Rows hang on rows above them, so that only one below can hang on this one.
        row: [
            bound
            for bound in found
            if index[bound.later] < index[row] or not _hangs_on(bound.later, row, rules, waits)
        ]
        for row, found in waits.items()
    }


def _needs(row: str, rules: Rules, waits: Mapping[str, list[Bound]]) -> list[str]:
    """The rows that must have their places before this one."""
    stand = rules.stands[row]
    needed = [stand[0]] if stand is not None else [bound.later for bound in waits.get(row, ())]
    return [name for name in needed if name != ORIGIN]


def _hangs_on(row: str, other: str, rules: Rules, waits: Mapping[str, list[Bound]]) -> bool:
    todo, seen = [row], set()
    while todo:
        name = todo.pop()
        if name == other:
            return True
        if name != ORIGIN and name not in seen:
            seen.add(name)
            todo += _needs(name, rules, waits)
    return False


def _in_order(rules: Rules, waits: Mapping[str, list[Bound]]) -> list[str]:
    """The rows, each behind those it needs: in the order of the file, save for a mixture that stands below."""
    order: dict[str, None] = {}

    def add(row: str) -> None:
        if row not in order:
            for name in _needs(row, rules, waits):
                add(name)
            order[row] = None

    for row in rules.stands:
        add(row)
    return list(order)


def _behind(row: str, waits: list[Bound], places: Places, near: Near | None) -> Iterator[tuple[Place, bool]]:
    """The places a row that follows may have; true: only the hourly maximum puts it there."""
    latest: dict[str, int] = {}
    for bound in waits:
        place = _after((bound.later, -bound.most), places)
        latest[place.leader] = max(place.offset, latest.get(place.leader, place.offset))
    for leader, offset in latest.items():
        yield Place(leader, offset), False
    further = {_after(one, places) for one in (near(row) if near else ()) if one[0] in places}
    for place in sorted(further, key=lambda place: (place.leader, place.offset)):
        if place.offset > latest.get(place.leader, place.offset - 1):
            yield place, True


def _after(stand: Stand, places: Places) -> Place:
    name, minutes = stand
    if name == ORIGIN:
        return Place(ORIGIN, minutes)
    return Place(places[name].leader, places[name].offset + minutes)
