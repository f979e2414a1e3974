"""Pace: by when a session must have ended so that all that follows it still fits. The phone reckons against these.

The plan's own times stand: who drinks more slowly than planned must still leave room for the drinks that come next at
once, must have ended before the next dose begins, and must keep the quiet time before leaving home.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from generator.clinic.protocol import Protocol
from generator.clinic.rows import SESSION_KINDS, Row
from generator.plan.moments import epoch_minutes, minutes_between
from generator.plan.rules import drinks_of
from generator.plan.timetable import Step, Timetable

_HOUR = 60
_AT_ONCE = 60  # minutes: a session planned so soon after another moves on with it; common practice, no source


@dataclass(frozen=True, slots=True)
class Limit:
    """By when a session must have ended, in epoch minutes.

    Attributes:
        by: what the protocol's rules leave, following drinks included.
        quiet: leaving home less the unit's quiet time, following drinks included; never before the planned end, for
            a plan in order may itself leave less quiet than the unit wishes for.
        keeps: minutes from the session's start until its mixture stops keeping; None: the protocol states none.
    """

    by: int
    quiet: int
    keeps: int | None


def most_per_hour(timetable: Timetable) -> int | None:
    """The smallest hourly maximum that a step states, in millilitres: it holds for all drinks together."""
    stated = [
        step.amounts["most_ml_per_hour"] for step in timetable.steps if "most_ml_per_hour" in step.amounts
    ]
    return min(stated, default=None)


def limits_of(timetable: Timetable, protocol: Protocol, quiet_minutes: int) -> dict[str, Limit]:
    """The limit of each session, by the step's id."""
    rows = {row.id: row for row in protocol.rows}
    keeps, most = _keeps(timetable, rows), most_per_hour(timetable)
    leaving = epoch_minutes(timetable.leaving)
    limits: dict[str, Limit] = {}
    following: Step | None = None
    for step in reversed([step for step in timetable.steps if step.kind in SESSION_KINDS and step.end]):
        end = _end(step)
        by = min(leaving, _stated_end(step, leaving))
        quiet = leaving - quiet_minutes
        if following is not None:
            gap = _gap_after(step, rows.get(following.id))
            if epoch_minutes(following.start) - end <= gap + _AT_ONCE:
                needs = gap + _fastest(following, most)
                by = min(by, limits[following.id].by - needs)
                quiet = min(quiet, limits[following.id].quiet - needs)
            else:
                by = min(by, epoch_minutes(following.start) - gap)
        # A plan already given was in order: what is reckoned here never ends before it does.
        limits[step.id] = Limit(max(by, end), max(quiet, end), keeps.get(step.id))
        following = step
    return limits


def _end(step: Step) -> int:
    return epoch_minutes(step.end or step.start)


def _stated_end(step: Step, otherwise: int) -> int:
    window = step.window
    return epoch_minutes(window.end_by) if window and window.end_by else otherwise


def _gap_after(step: Step, row: Row | None) -> int:
    """Least minutes that a row keeps free after the end of a session."""
    gaps = row.gaps if row else ()
    kept = [gap.at_least or 0 for gap in gaps if gap.row == step.id and gap.counted_from == "end"]
    return max(kept, default=0)


def _fastest(step: Step, most: int | None) -> int:
    """Least minutes that a session takes: at its fastest pace, and within the hourly maximum."""
    glass = step.amounts["fastest_minutes"]
    if most is not None and most >= step.amounts["ml"]:
        glass = max(glass, -(-_HOUR // (most // step.amounts["ml"])))
    return step.amounts["glasses"] * min(glass, step.amounts["minutes"])


def _keeps(timetable: Timetable, rows: Mapping[str, Row]) -> dict[str, int]:
    """Session -> minutes from its start until its mixture, mixed at the planned time, stops keeping."""
    steps = {step.id: step for step in timetable.steps}
    found: dict[str, int] = {}
    for row in rows.values():
        for name in drinks_of(row, rows):
            if row.id in steps and name in steps and row.keeps_minutes is not None:
                stood = minutes_between(steps[row.id].start, steps[name].start)
                found[name] = min(row.keeps_minutes - stood, found.get(name, row.keeps_minutes))
    return found
