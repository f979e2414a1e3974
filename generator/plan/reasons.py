"""Why 05:30? Each step's rules, and which of them hold it: loosen one by five minutes and the step moves."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from generator.clinic.rows import Anchor, Row, WallClock
from generator.plan.choice import Choice, kindest_of
from generator.plan.network import GRID, ORIGIN, Closed, Collision, Crowded, Network, Rule, TooWide, closed
from generator.plan.solver import AWAKE_KINDS, Solver, Wishes, placed
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
    solver = choice.solver
    network = solver.network
    moved: dict[Rule, frozenset[str]] = dict.fromkeys((bound.rule for bound in network.bounds), frozenset())
    if not room.choice and not network.by_the_hour:
        for rule in _tight_rules(network, choice.closure):
            moved[rule] = _moved_by(rule, choice)
        for row, rule in _holding_rules(room.rules, choice):
            alone = _moves_alone(rows[row], room.rules)
            moved[rule] |= {row} if alone else _moved_in_any_way(rule, room.rules, choice, rows, wishes)
    else:
        moved = {rule: _moved_in_any_way(rule, room.rules, choice, rows, wishes) for rule in moved}
    by_row: dict[str, list[Reason]] = {row: [] for row in rows}
    for rule, moves in moved.items():
        told = f"“{rule.row}” {rule.text}"
        by_row[rule.row].append(Reason(told, rule.source, rule.exact or rule.row in moves))
        for row in moves - {rule.row}:
            by_row[row].append(Reason(told, rule.source, True))
    return {
        name: (
            Reason(f"“{name}” was begun then", BEGUN_SOURCE, True)
            if name in begun
            else _place_reason(row, choice, wishes.last),
            *_own_first(name, by_row[name]),
        )
        for name, row in rows.items()
    }


def _own_first(row: str, reasons: list[Reason]) -> list[Reason]:
    """The row's own rules, then those of others that move it."""
    return sorted(reasons, key=lambda reason: not reason.rule.startswith(f"“{row}” "))


def _tight_rules(network: Network, closure: Closed) -> list[Rule]:
    """The rules that no other ones imply; loosening any of the others leaves everything as it is."""
    tight = [
        folded.bound.rule
        for folded in network.folded
        if folded.later != folded.earlier
        and folded.on_grid(GRID) <= closure.most[folded.later, folded.earlier]
    ]
    return list(dict.fromkeys(tight))


def _holding_rules(rules: Rules, choice: Choice) -> Iterator[tuple[str, Rule]]:
    """The rows that follow which one rule alone holds where they are; of two that do, neither moves a row."""
    for row in rules.follows:
        held = {
            bound.rule
            for bound in rules.bounds
            if bound.waits and bound.earlier == row and choice.is_held_by(bound)
        }
        if len(held) == 1:
            yield row, held.pop()


def _moves_alone(row: Row, rules: Rules) -> bool:
    """Whether a row that follows may move without moving any other: nothing hangs on it, and it costs nobody sleep."""
    if row.kind in AWAKE_KINDS or any(stand and stand[0] == row.id for stand in rules.stands.values()):
        return False
    return all(
        bound.waits and bound.earlier == row.id
        for bound in rules.bounds
        if row.id in (bound.later, bound.earlier)
    )


def _moved_by(rule: Rule, choice: Choice) -> frozenset[str]:
    """The rows whose start changes when this rule is given five more minutes."""
    solver, chosen = choice.solver, choice.starts
    network = solver.network
    loosened = closed(network, GRID, looser=rule)
    # Where the room between any two starts is what it was, so is the choice.
    if isinstance(loosened, Collision) or loosened.most == choice.closure.most:
        return frozenset()
    if not _may_move(rule, solver, loosened, chosen):
        return frozenset()
    _, other = solver.chosen(loosened, known=chosen)
    return frozenset(row for row in network.places if placed(network, row, other) != choice.start(row))


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
    return frozenset(row for row in rules.stands if other.start(row) != choice.start(row))


def _may_move(rule: Rule, solver: Solver, loosened: Closed, chosen: Mapping[str, int]) -> bool:
    """Whether a kinder choice may exist among those the rule forbade: they all have its row one step further."""
    held = [one for one in solver.network.folded if one.bound.rule is rule and one.later != one.earlier]
    if len(held) != 1 or ORIGIN not in (held[0].later, held[0].earlier):
        return True
    [one] = held
    limit = one.on_grid(GRID) + GRID
    leader, start = (one.later, limit) if one.earlier == ORIGIN else (one.earlier, -limit)
    return solver.could_gain(leader, start, loosened, chosen)


def _place_reason(row: Row, choice: Choice, last: str | None) -> Reason:
    """What kind of time the row has: one it states, the kindest, or one that follows from another row."""
    network = choice.solver.network
    if row.anchor is not None:
        return Reason(f"“{row.id}” is {_at(row.anchor)}", row.source, True)
    if network.places[row.id].leader == row.id:
        order = "late" if row.id == last else "early"
        return Reason(f"“{row.id}” {KINDEST}, then {order}", KINDNESS_SOURCE, False)
    waited = [
        bound.rule
        for bound in network.bounds
        if bound.waits and bound.earlier == row.id and choice.is_held_by(bound)
    ]
    gap = next(gap for gap in row.gaps if gap.at_least is not None)
    if not waited:  # only the hourly maximum makes it wait: no rule between two rows says so
        return Reason(f"“{row.id}” follows as soon as the hour has room for it", row.source, True)
    if waited[0].row == row.id and f"“{gap.row}”" in waited[0].text:
        return Reason(f"“{row.id}” follows “{gap.row}” as soon as it may", gap.source, True)
    return Reason(f"“{waited[0].row}” {waited[0].text}; “{row.id}” follows at once", waited[0].source, True)


def _at(anchor: Anchor) -> str:
    return f"at {spoken(anchor)}" if isinstance(anchor, WallClock) else spoken(anchor)
