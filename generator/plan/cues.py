"""Cues: at each moment the one thing to do. Worked out here, so that the phone only has to look it up."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from generator.plan.moments import epoch_minutes
from generator.plan.timetable import Step, Timetable

_ERRAND, _PHASE, _ACTION, _MUST = range(4)
_RANKS = {"collect": _ERRAND, "diet": _PHASE, "clear-fluids": _PHASE} | dict.fromkeys(
    ("stop-drinking", "leave", "arrive", "procedure", "watch"), _MUST
)
# What wins when two begin at the same minute: leaving cannot wait, and its card repeats "nothing more".
_ORDER = ("stop-drinking", "leave", "arrive", "procedure", "watch")
_LINGER = 60  # minutes that a moment stays the thing to do when nothing else takes its place


@dataclass(frozen=True, slots=True)
class Cue:
    """From this moment (epoch minutes) on, this step is the thing to do; None: nothing is."""

    at: int
    step: str | None


def cues_for(timetable: Timetable) -> tuple[Cue, ...]:
    """The cues of a plan, in order of time; before the first one the errand, if there is one, is the thing to do."""
    spans = [
        (_since(step), _until(step, timetable), _RANKS.get(step.kind, _ACTION), step)
        for step in timetable.steps
    ]
    borders = sorted({border for since, until, _, _ in spans for border in (since, until)})
    cues: list[Cue] = []
    for border in borders:
        active = [
            (rank, since, _ORDER.index(step.kind) if step.kind in _ORDER else -1, number, step.id)
            for number, (since, until, rank, step) in enumerate(spans)
            if since <= border < until
        ]
        current = max(active)[-1] if active else None
        if not cues or cues[-1].step != current:
            cues.append(Cue(border, current))
    return tuple(cues)


def _since(step: Step) -> int:
    """An errand is to be done by its time, so it is the thing to do from the beginning."""
    return 0 if step.kind == "collect" else epoch_minutes(step.start)


def _until(step: Step, timetable: Timetable) -> int:
    start = epoch_minutes(step.start)
    match step.kind:
        case "collect":
            return min(
                (epoch_minutes(other.start) for other in timetable.steps if other.kind != "collect"),
                default=start,
            )
        case "stop-drinking":
            return epoch_minutes(timetable.arrival)
        case "leave":
            return epoch_minutes(timetable.arrival)
        case "arrive":
            return epoch_minutes(timetable.procedure)
        case "procedure":
            return _first_after(timetable.steps, step.start) or start + 6 * _LINGER
        case "watch":
            return start + step.amounts["days"] * 24 * 60
    if step.end is not None:
        return max(epoch_minutes(step.end), start + 1)
    following = _first_after(timetable.steps, step.start)
    return min(start + _LINGER, following) if following else start + _LINGER


def _first_after(steps: Sequence[Step], moment: dt.datetime) -> int | None:
    later = [epoch_minutes(step.start) for step in steps if step.start > moment]
    return min(later) if later else None
