"""Why 05:30? Each step's rules, and which of them hold it: loosen one by five minutes and the step moves."""

from __future__ import annotations

from collections.abc import Mapping

from generator.clinic.rows import Anchor, Row, WallClock
from generator.plan.network import Closed, Collision, Network, Rule, closed
from generator.plan.solver import GRID, Solver, placed
from generator.plan.spoken import spoken
from generator.plan.timetable import Reason

KINDEST = (
    "starts at the kindest of the times its rules leave: least of the unit's night, most quiet before leaving, "
    "on the hour or half hour"
)
KINDNESS_SOURCE = "the unit's night and quiet time"


def reasons_for(
    solver: Solver, closure: Closed, rows: Mapping[str, Row], chosen: Mapping[str, int]
) -> dict[str, tuple[Reason, ...]]:
    """The reasons of every row: its own rules, and any other rule that moves it when loosened."""
    network = solver.network
    moved: dict[Rule, frozenset[str]] = dict.fromkeys((bound.rule for bound in network.bounds), frozenset())
    for rule in _tight_rules(network, closure):
        moved[rule] = _moved_by(rule, solver, closure, chosen)
    return {
        row_id: tuple(_row_reasons(row, network, moved, solver.wishes.last)) for row_id, row in rows.items()
    }


def _tight_rules(network: Network, closure: Closed) -> list[Rule]:
    """The rules that no other ones imply; loosening any of the others leaves everything as it is."""
    tight = [
        folded.bound.rule
        for folded in network.folded
        if folded.later != folded.earlier
        and folded.on_grid(GRID) <= closure.most[folded.later, folded.earlier]
    ]
    return list(dict.fromkeys(tight))


def _moved_by(rule: Rule, solver: Solver, closure: Closed, chosen: Mapping[str, int]) -> frozenset[str]:
    """The rows whose start changes when this rule is given five more minutes."""
    network = solver.network
    loosened = closed(network, GRID, looser=rule)
    # Where the room between any two starts is what it was, so is the choice.
    if isinstance(loosened, Collision) or loosened.most == closure.most:
        return frozenset()
    other = solver.chosen(loosened, known=chosen)
    return frozenset(
        row for row in network.places if placed(network, row, other) != placed(network, row, chosen)
    )


def _row_reasons(
    row: Row, network: Network, moved: Mapping[Rule, frozenset[str]], last: str | None
) -> list[Reason]:
    fixed: list[Reason] = []
    if row.anchor is not None:
        fixed.append(Reason(f"“{row.id}” is {_at(row.anchor)}", row.source, True))
    elif network.places[row.id].leader == row.id:
        order = "late" if row.id == last else "early"
        fixed.append(Reason(f"“{row.id}” {KINDEST}, then {order}", KINDNESS_SOURCE, False))
    else:
        gap = next(gap for gap in row.gaps if gap.at_least is not None)
        fixed.append(Reason(f"“{row.id}” follows “{gap.row}” as soon as it may", gap.source, True))
    own = [
        Reason(f"“{rule.row}” {rule.text}", rule.source, rule.exact or row.id in rows)
        for rule, rows in moved.items()
        if rule.row == row.id
    ]
    other = [
        Reason(f"“{rule.row}” {rule.text}", rule.source, True)
        for rule, rows in moved.items()
        if rule.row != row.id and row.id in rows
    ]
    return [*fixed, *own, *other]


def _at(anchor: Anchor) -> str:
    return f"at {spoken(anchor)}" if isinstance(anchor, WallClock) else spoken(anchor)
