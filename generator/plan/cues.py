"""Cues: at each moment the one thing to do. Worked out here, so that the phone only has to look it up."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from generator.plan.moments import epoch_minutes
from generator.plan.timetable import Step, Timetable

_ERRAND, _PHASE, _ACTION, _MUST = range(4)
_ERRANDS = ("collect", "call", "confirm")  # to be done by their time, so from the beginning
_WHOLE_DAYS = ("instruction", "restart")
_RANKS = dict.fromkeys((*_ERRANDS, *_WHOLE_DAYS), _ERRAND) | {"diet": _PHASE, "clear-fluids": _PHASE}
_RANKS |= dict.fromkeys(("stop-drinking", "leave", "arrive", "procedure", "watch"), _MUST)
# Leaving cannot wait, and its card repeats "nothing more".
_ORDER = ("stop-drinking", "leave", "arrive", "procedure", "watch")
_LINGER = 60  # minutes that a moment stays the thing to do when nothing else takes its place
_HOME_AGAIN = 180  # minutes after the examination's start; common practice, no source


@dataclass(frozen=True, slots=True)
class Cue:
    """From this moment (epoch minutes) on, this step is the thing to do; None: nothing is."""

    at: int
    step: str | None


def cues_for(timetable: Timetable) -> tuple[Cue, ...]:
    """The cues of a plan, in order of time; before the first one the errand, if there is one, is the thing to do."""
    spans = [
        (_since(step, timetable), _until(step, timetable), _RANKS.get(step.kind, _ACTION), step)
        for step in timetable.steps
        if step.kind != "medicine"  # something not to do, and only for who takes medicines: the list says it
    ]
    borders = sorted({border for since, until, _, _ in spans for border in (since, until)})
    cues: list[Cue] = []
    for border in borders:
        active = [
            (rank, since, _tie(step), number, step.id)
            for number, (since, until, rank, step) in enumerate(spans)
            if since <= border < until
        ]
        current = max(active)[-1] if active else None
        if not cues or cues[-1].step != current:
            cues.append(Cue(border, current))
    return tuple(cues)


def _tie(step: Step) -> int:
    """Which of two wins that begin at the same minute; of two errands the one that is due first."""
    if step.kind in _ERRANDS:
        return -epoch_minutes(step.start)
    return _ORDER.index(step.kind) if step.kind in _ORDER else -1


def _since(step: Step, timetable: Timetable) -> int:
    """An errand is to be done by its time, so from the beginning; the days of watching show when one is home again."""
    if step.kind == "watch":
        return max(epoch_minutes(step.start), epoch_minutes(timetable.procedure) + _HOME_AGAIN)
    return 0 if step.kind in _ERRANDS else epoch_minutes(step.start)


def _until(step: Step, timetable: Timetable) -> int:
    start = epoch_minutes(step.start)
    match step.kind:
        case "collect" | "call" | "confirm":
            return _errand_until(start, timetable)
        case "instruction" | "restart" if step.is_all_day:
            return start + 24 * 60
        case "stop-drinking":
            return epoch_minutes(timetable.arrival)
        case "leave":
            return epoch_minutes(timetable.arrival)
        case "arrive":
            return epoch_minutes(timetable.procedure)
        case "procedure":
            return _procedure_until(step, timetable)
        case "watch":
            return start + step.amounts["days"] * 24 * 60
    if step.end is not None:
        return max(epoch_minutes(step.end), start + 1)
    following = _first_after(timetable.steps, step.start)
    return min(start + _LINGER, following) if following else start + _LINGER


def _procedure_until(step: Step, timetable: Timetable) -> int:
    """Its card gives way to what comes next, within six hours; the days of watching wait for their own hour."""
    end = epoch_minutes(step.start) + 6 * _LINGER
    others = [other for other in timetable.steps if other.kind != "watch"]
    return min(end, _first_after(others, step.start) or end)


def _errand_until(start: int, timetable: Timetable) -> int:
    """An errand gives way to the next one at its time; the last one stays until the preparation begins."""
    others = [step for step in timetable.steps if epoch_minutes(step.start) > start]
    if any(step.kind in _ERRANDS for step in others):
        return start
    begins = [epoch_minutes(step.start) for step in others if step.kind not in _WHOLE_DAYS]
    return min(begins, default=start)


def _first_after(steps: Sequence[Step], moment: dt.datetime) -> int | None:
    later = [epoch_minutes(step.start) for step in steps if step.start > moment]
    return min(later) if later else None
