"""Why 05:30? Each step's rules, and which of them hold it: loosen one by five minutes and the step moves."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from generator.clinic.rows import Anchor, Row, WallClock
from generator.plan.choice import Choice, kindest_of
from generator.plan.kindness import AWAKE_KINDS, Wishes
from generator.plan.network import (
    GRID,
    ORIGIN,
    Bound,
    Closed,
    Collision,
    Crowded,
    Folded,
    Network,
    Rule,
    TooWide,
    closed,
)
from generator.plan.solver import placed
from generator.plan.soonest import Room, Rules, room_of
from generator.plan.spoken import spoken
from generator.plan.timetable import Reason

KINDEST = (
    "starts at the kindest of the times its rules leave: least of the unit's night, most quiet before leaving, "
    "on the hour or half hour"
)
BEGUN_SOURCE = "what was already done"
KINDNESS_SOURCE = "the unit's night and quiet time"


def reasons_for(
    room: Room, choice: Choice, rows: Mapping[str, Row], wishes: Wishes, begun: Collection[str] = ()
) -> dict[str, tuple[Reason, ...]]:
    """The reasons of every row: its own rules, and any other rule that moves it when loosened."""
    network, waits = choice.solver.network, choice.waits()
    moved: dict[Rule, frozenset[str]] = dict.fromkeys((bound.rule for bound in network.bounds), frozenset())
    if not room.choice and not network.by_the_hour:
        for rule, held in _tight_rules(network, choice.closure).items():
            if _may_move(held, choice):
                moved[rule] = _moved_by(rule, choice)
        alone = _moving_alone(rows, room.rules)
        for row, rule in _holding_rules(room.rules, waits):
            moved[rule] |= (
                {row} if row in alone else _moved_in_any_way(rule, room.rules, choice, rows, wishes)
            )
    else:
        moved = {rule: _moved_in_any_way(rule, room.rules, choice, rows, wishes) for rule in moved}
    own: dict[str, list[Reason]] = {row: [] for row in rows}
    others: dict[str, list[Reason]] = {row: [] for row in rows}
    for rule, moves in moved.items():
        told = f"“{rule.row}” {rule.text}"
        own[rule.row].append(Reason(told, rule.source, rule.exact or rule.row in moves))
        for row in moves - {rule.row}:
            others[row].append(Reason(told, rule.source, True))
    return {
        name: (
            Reason(f"“{name}” was begun then", BEGUN_SOURCE, True)
            if name in begun
            else _place_reason(row, choice, waits, wishes.last),
            *own[name],
            *others[name],
        )
        for name, row in rows.items()
    }


def _tight_rules(network: Network, closure: Closed) -> dict[Rule, list[Folded]]:
    """The rules that no other ones imply, each with its bounds; loosening any other leaves everything as it is."""
    tight: dict[Rule, list[Folded]] = {}
    for folded in network.folded:
        if folded.on_grid(GRID) <= closure.most[folded.later][folded.earlier]:
            tight.setdefault(folded.bound.rule, []).append(folded)
    return tight


def _holding_rules(rules: Rules, waits: list[Bound]) -> Iterator[tuple[str, Rule]]:
    """The rows that follow which one rule alone holds where they are; of two that do, neither moves a row."""
    for row in rules.follows:
        held = {bound.rule for bound in waits if bound.earlier == row}
        if len(held) == 1:
            yield row, held.pop()


def _moving_alone(rows: Mapping[str, Row], rules: Rules) -> set[str]:
    """The rows that follow and may move without moving any other: nothing hangs on them, they cost nobody sleep."""
    tied = {stand[0] for stand in rules.stands.values() if stand}
    tied |= {bound.later for bound in rules.bounds}
    tied |= {bound.earlier for bound in rules.bounds if not bound.waits}
    return {row for row in rules.follows if row not in tied and rows[row].kind not in AWAKE_KINDS}


def _may_move(held: list[Folded], choice: Choice) -> bool:
    """Whether a kinder choice may exist among those the bounds forbade: they all have a row one step further."""
    if len(held) != 1 or ORIGIN not in (held[0].later, held[0].earlier):
        return True
    [one] = held
    limit = one.on_grid(GRID) + GRID
    leader, start = (one.later, limit) if one.earlier == ORIGIN else (one.earlier, -limit)
    return choice.solver.could_gain(leader, start, choice.closure, choice.cost)


def _moved_by(rule: Rule, choice: Choice) -> frozenset[str]:
    """The rows whose start changes when this rule is given five more minutes."""
    network = choice.solver.network
    loosened = closed(network, GRID, looser=rule)
    # Where the room between any two starts is what it was, so is the choice.
    if isinstance(loosened, Collision) or loosened.most == choice.closure.most:
        return frozenset()
    _, starts = choice.solver.chosen(loosened, known=choice.starts)
    return _differing(placed(network, starts), choice.starts)


def _differing(one: Mapping[str, int], other: Mapping[str, int]) -> frozenset[str]:
    return frozenset(row for row, start in one.items() if start != other[row])


def _moved_in_any_way(
    rule: Rule, rules: Rules, choice: Choice, rows: Mapping[str, Row], wishes: Wishes
) -> frozenset[str]:
    """The same where rows that follow may come to stand in several ways: all of them are looked at again."""
    looser = rules.looser(rule)
    try:
        room = room_of(looser)
        other = choice if isinstance(room, Collision) else kindest_of(room, rows, wishes)
    except (TooWide, Crowded):
        return frozenset()
    return _differing(other.starts, choice.starts)


def _place_reason(row: Row, choice: Choice, waits: list[Bound], last: str | None) -> Reason:
    """What kind of time the row has: one it states, the kindest, or one that follows from another row."""
    if row.anchor is not None:
        return Reason(f"“{row.id}” is {_at(row.anchor)}", row.source, True)
    if row.id in choice.solver.leaders:
        order = "late" if row.id == last else "early"
        return Reason(f"“{row.id}” {KINDEST}, then {order}", KINDNESS_SOURCE, False)
    waited = [bound.rule for bound in waits if bound.earlier == row.id]
    gap = next(gap for gap in row.gaps if gap.at_least is not None)
    if not waited:  # only the hourly maximum makes it wait: no rule between two rows says so
        return Reason(f"“{row.id}” follows as soon as the hour has room for it", row.source, True)
    if waited[0].row == row.id and f"“{gap.row}”" in waited[0].text:
        return Reason(f"“{row.id}” follows “{gap.row}” as soon as it may", gap.source, True)
    return Reason(f"“{waited[0].row}” {waited[0].text}; “{row.id}” follows at once", waited[0].source, True)


def _at(anchor: Anchor) -> str:
    return f"at {spoken(anchor)}" if isinstance(anchor, WallClock) else spoken(anchor)
