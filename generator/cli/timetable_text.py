"""A timetable as a nurse reads it: by day and night, clock times, amounts, and why."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from itertools import groupby

from generator.cli.amount_text import amounts_text
from generator.cli.change_text import change_lines
from generator.cli.options import finding_lines
from generator.cli.step_names import Names, in_words
from generator.cli.timetable_head import head_lines
from generator.clinic.booking import Booking
from generator.finding import Verdict
from generator.materials.unit_folder import UnitFolder
from generator.plan.change import Change
from generator.plan.moment_text import day_text, eve_of, moment_text, night_text, span_text
from generator.plan.reasons import KINDNESS_SOURCE
from generator.plan.suited import Stated
from generator.plan.timetable import Reason, Step, Timetable

_VERDICTS = {
    Verdict.READY: "READY: these times keep every rule",
    Verdict.CHECK: "CHECK: somebody looks at the findings first",
    Verdict.REFUSED: "REFUSED: there is no plan",
}
_INDENT = " " * 17


def timetable_lines(
    planned: Timetable,
    booking: Booking,
    folder: UnitFolder,
    names: Names,
    changes: Sequence[Change] = (),
    *,
    every_rule: bool = False,
) -> Iterator[str]:
    """The lines to print; of the rules only those that put a step where it is, unless `every_rule`.

    Args:
        names: what each step is called.
    """
    yield from head_lines(planned, booking, folder)
    yield _VERDICTS[planned.verdict]
    yield from finding_lines(planned.findings, "  ", names)
    yield from change_lines(changes, names)
    for heading, steps in groupby(sorted(planned.steps, key=_place), key=_heading):
        yield ""
        yield heading
        for step in steps:
            yield from _step_lines(step, folder.stated, names, every_rule)
    if planned.yardsticks:
        yield ""
    for yardstick in planned.yardsticks:
        told = {True: "kept", False: "differs", None: "does not apply"}[yardstick.met]
        yield f"{yardstick.id}: {told}"
        yield from (f"  {text}" for text in yardstick.departures)
    if planned.steps and booking.cleared is None:
        yield ""
        yield "Times only. Nobody has cleared this patient."


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


def _step_lines(step: Step, stated: Stated, names: Names, every_rule: bool) -> Iterator[str]:
    amounts = amounts_text(step)
    past = "  ** HAS PASSED **" if step.past else ""
    yield f"  {_clock(step):<13}  {_title(step, names)}{f': {amounts}' if amounts else ''}{past}"
    if step.medicine and step.window is not None:
        yield f"{_INDENT}{_room(step)}"
    if step.instruction is not None:
        dates = {name: day_text(day) for name, day in step.dates.items()}
        yield f"{_INDENT}{stated.instructions[step.instruction].text.format(**dates)}"
    binding = [reason for reason in step.because if reason.binding]
    for reason in step.because if every_rule else binding or step.because[:1]:
        word = "because" if reason.binding or not (binding or every_rule) else "also"
        yield f"{_INDENT}{word}: {_reason(reason, step, names)} [{reason.source}]"


def _clock(step: Step) -> str:
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


def _reason(reason: Reason, step: Step, names: Names) -> str:
    """A rule in words; for a time that was chosen, from which times, and which of them it is."""
    window = step.window
    if reason.source != KINDNESS_SOURCE or window is None:
        return in_words(reason.rule.removeprefix(f"“{step.id}” "), names)
    which = {window.latest: "latest", window.earliest: "earliest"}.get(step.start, "kindest")
    return f"chosen from {span_text(window.earliest, window.latest, step.start)} ({which})"
