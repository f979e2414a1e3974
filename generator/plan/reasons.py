"""Why 05:30? Each step's rules, and which of them hold it: loosen one by five minutes and the step moves."""

from __future__ import annotations

from collections.abc import Mapping

from generator.clinic.rows import Row
from generator.plan.network import Collision, Network, Rule
from generator.plan.rules import spoken
from generator.plan.solver import GRID, Wishes, starts_for
from generator.plan.timetable import Reason


def reasons_for(
    network: Network, rows: Mapping[str, Row], wishes: Wishes, starts: Mapping[str, int]
) -> dict[str, tuple[Reason, ...]]:
    """The reasons of every row: its own rules, and any other rule that moves it when loosened."""
    moved = {rule: _moved_by(rule, network, rows, wishes, starts) for rule in _rules(network)}
    return {row_id: tuple(_row_reasons(row, network, moved)) for row_id, row in rows.items()}


def _rules(network: Network) -> list[Rule]:
    return list(dict.fromkeys(bound.rule for bound in network.bounds))


def _moved_by(
    rule: Rule, network: Network, rows: Mapping[str, Row], wishes: Wishes, starts: Mapping[str, int]
) -> frozenset[str]:
    """The rows whose start changes when this rule is given five more minutes."""
    loosened = starts_for(network.loosened(rule, GRID), rows, wishes)
    if isinstance(loosened, Collision):
        return frozenset()
    return frozenset(row for row, start in starts.items() if loosened[row] != start)


def _row_reasons(row: Row, network: Network, moved: Mapping[Rule, frozenset[str]]) -> list[Reason]:
    fixed: list[Reason] = []
    if row.anchor is not None:
        fixed.append(Reason(f"“{row.id}” is at {spoken(row.anchor)}", row.source, True))
    elif network.places[row.id].leader != row.id:
        gap = next(gap for gap in row.gaps if gap.at_least is not None)
        fixed.append(Reason(f"“{row.id}” follows “{gap.row}” as soon as it may", gap.source, True))
    own = [
        Reason(f"“{rule.row}” {rule.text}", rule.source, row.id in rows)
        for rule, rows in moved.items()
        if rule.row == row.id
    ]
    other = [
        Reason(f"“{rule.row}” {rule.text}", rule.source, True)
        for rule, rows in moved.items()
        if rule.row != row.id and row.id in rows
    ]
    return [*fixed, *own, *other]
