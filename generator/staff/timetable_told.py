"""A timetable as a nurse reads it: by day and night, clock times, amounts, and why; in pieces, for any kind of page."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from generator.plan.moment_text import day_text, eve_of, moment_text, night_text, span_text
from generator.plan.reasons import KINDNESS_SOURCE
from generator.plan.suited import Stated
from generator.plan.timetable import Reason, Step
from generator.staff.amount_text import amounts_text
from generator.staff.step_names import Names, in_words


@dataclass(frozen=True, slots=True)
class ToldReason:
    """A rule in words, and what states it; `binding`: the step stands where it is because of it."""

    rule: str
    source: str
    binding: bool


@dataclass(frozen=True, slots=True)
class ToldStep:
    """One step in words.

    Attributes:
        clock: "18:00-19:00", "from 22:30", "on this day".
        room: for a dose, between which times it may start and by when it is finished; else "".
        words: the sentence of an instruction, with its dates; else "".
        because: the rules that put it there; every rule, if all were asked for.
    """

    id: str
    kind: str
    start: dt.datetime
    clock: str
    title: str
    amounts: str
    past: bool
    room: str
    words: str
    because: tuple[ToldReason, ...]


@dataclass(frozen=True, slots=True)
class ToldDay:
    """The steps of one day, or of the night that begins on it."""

    heading: str
    steps: tuple[ToldStep, ...]


def told_days(
    steps: Iterable[Step], stated: Stated, names: Names, *, every_rule: bool = False
) -> list[ToldDay]:
    """The steps by day and night, in order of time; of the rules only those that put a step where it is.

    Args:
        names: what each step is called.
        every_rule: all rules instead.
    """
    return [
        ToldDay(heading, tuple(_told(step, stated, names, every_rule) for step in found))
        for heading, found in groupby(sorted(steps, key=_place), key=_heading)
    ]


def _told(step: Step, stated: Stated, names: Names, every_rule: bool) -> ToldStep:
    words = ""
    if step.instruction is not None and step.instruction in stated.instructions:
        dates = {name: day_text(day) for name, day in step.dates.items()}
        words = stated.instructions[step.instruction].text.format(**dates)
    binding = [reason for reason in step.because if reason.binding]
    reasons = step.because if every_rule else binding or step.because[:1]
    return ToldStep(
        id=step.id,
        kind=step.kind,
        start=step.start,
        clock=clock_of(step),
        title=_title(step, names),
        amounts=amounts_text(step),
        past=step.past,
        room=_room(step) if step.medicine and step.window is not None else "",
        words=words,
        because=tuple(
            ToldReason(_rule(reason, step, names), reason.source, reason.binding) for reason in reasons
        ),
    )


def _place(step: Step) -> tuple[dt.date, bool, dt.datetime]:
    """Where a step stands: a day, then the night that begins on it. What holds all day stands by its day."""
    eve = None if step.is_all_day else eve_of(step.start)
    return eve or step.start.date(), eve is not None, step.start


def _heading(step: Step) -> str:
    day, at_night, _ = _place(step)
    if not at_night:
        return day_text(day)
    words = night_text(day)
    following = day + dt.timedelta(days=1)
    first = f"{day.day}" if day.month == following.month else f"{day.day} {day:%B}"
    return f"{words[0].upper()}{words[1:]}, {first} to {following.day} {following:%B}"


def clock_of(step: Step) -> str:
    """The hours of a step on its own day."""
    if step.is_all_day:
        return "on this day" if step.is_last_day else "from this day"
    if step.end is None:
        return f"{step.start:%H:%M}"
    if step.end.date() == step.start.date():
        return f"{step.start:%H:%M}-{step.end:%H:%M}"
    return f"from {step.start:%H:%M}"


def _title(step: Step, names: Names) -> str:
    if step.kind == "medicine":
        return f"NO own medicines {_medicine_gap(step)}"
    over = step.end is not None and step.end.date() != step.start.date()
    return (
        f"{names[step.id]}, until {moment_text(step.end, step.start)}"
        if over and step.end
        else names[step.id]
    )


def _medicine_gap(step: Step) -> str:
    """When the patient's own medicines are not taken, and when they are."""
    if step.end is None:
        return f"from {step.start:%H:%M} (before {step.start:%H:%M}; not again before the examination)"
    end = moment_text(step.end, step.start)
    return f"{span_text(step.start, step.end, step.start)} (before {step.start:%H:%M}, or from {end})"


def _room(step: Step) -> str:
    """What the rules leave for the start of a dose, and by when it must have been finished."""
    window = step.window
    assert window is not None, "only what has a window is asked for"
    alone = window.earliest == window.latest
    told = f"may start {span_text(window.earliest, window.latest, step.start)}{' only' if alone else ''}"
    return told + (f"; finished by {moment_text(window.end_by, step.start)}" if window.end_by else "")


def _rule(reason: Reason, step: Step, names: Names) -> str:
    """A rule in words; for a time that was chosen, from which times, and which of them it is."""
    window = step.window
    if reason.source != KINDNESS_SOURCE or window is None:
        return in_words(reason.rule.removeprefix(f"“{step.id}” "), names)
    which = {window.latest: "latest", window.earliest: "earliest"}.get(step.start, "kindest")
    return f"chosen from {span_text(window.earliest, window.latest, step.start)} ({which})"
