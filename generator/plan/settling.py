"""Settling: a look some time after the last glass shows more than one at that very minute, where there is time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from generator.clinic.rows import SESSION_KINDS, Row
from generator.plan.fixed import Fixed
from generator.plan.network import GRID, Bound
from generator.plan.spoken import hours
from generator.plan.timetable import Leeway, Reason


def settling_minutes(
    row: Row, starts: Mapping[str, int], rows: Sequence[Row], bounds: Sequence[Bound], fixed: Fixed
) -> int:
    """How much later than its rules ask a check is made: its settle_minutes, or what the day leaves of them.

    The day leaves what comes before leaving home, before the next drink, before `room_minutes` are left until
    nothing more, and before any latest moment that the row itself states.

    Args:
        starts: every row's start, in epoch minutes.
        bounds: the hard rules between rows.
    """
    if not row.settle_minutes:
        return 0
    start = starts[row.id]
    ends = [fixed.leaving]
    ends += [starts[one.id] for one in rows if one.kind in SESSION_KINDS and starts[one.id] > start]
    ends += [starts[one.id] - (row.room_minutes or 0) for one in rows if one.kind == "stop-drinking"]
    ends += [starts.get(bound.earlier, 0) + bound.most for bound in bounds if bound.later == row.id]
    room = min(end - start for end in ends)
    return max(0, min(row.settle_minutes, room // GRID * GRID))


def settled_leeway(leeway: Leeway, minutes: int) -> Leeway:
    """The same window for a step that was made so many minutes later."""
    if not minutes:
        return leeway
    end_by = None if leeway.end_by is None else leeway.end_by - minutes
    return Leeway(leeway.earlier + minutes, max(0, leeway.later - minutes), end_by)


def settled_reason(row: Row, minutes: int) -> Reason:
    """What put the step that much later."""
    return Reason(f"waits {hours(minutes)} so that the last glass has worked", row.source, True)
