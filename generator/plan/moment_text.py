"""Days and moments in English for staff; from 21:00 to 06:00 both days of the night are named."""

from __future__ import annotations

import datetime as dt

from generator.plan.timetable import Step


def day_text(day: dt.date) -> str:
    """ "Thursday 3 December" """
    return f"{day:%A} {day.day} {day:%B}"


def eve_of(moment: dt.datetime) -> dt.date | None:
    """The day on which the night began that holds this moment, or None by day.

    From 21:00 to 06:00 both days are named: nobody is woken a day early or late.
    """
    if 6 <= moment.hour < 21:
        return None
    return moment.date() if moment.hour >= 21 else moment.date() - dt.timedelta(days=1)


def night_text(eve: dt.date) -> str:
    """ "in the night from Wednesday to Thursday" """
    return f"in the night from {eve:%A} to {eve + dt.timedelta(days=1):%A}"


def moment_text(moment: dt.datetime, seen_from: dt.datetime | None = None) -> str:
    """A clock time; with its day, and both days of a night, unless that is the day it is seen from."""
    if seen_from is not None and moment.date() == seen_from.date():
        return f"{moment:%H:%M}"
    eve = eve_of(moment)
    night = f" ({night_text(eve)})" if eve else ""
    return f"{day_text(moment)}, {moment:%H:%M}{night}"


def span_text(start: dt.datetime, end: dt.datetime | None, seen_from: dt.datetime) -> str:
    """ "18:00-19:00", with its days where they are not the one it is seen from."""
    first = moment_text(start, seen_from)
    if end is None or end == start:
        return first
    return f"{first}{'-' if end.date() == start.date() else ' to '}{moment_text(end, start)}"


def when_text(step: Step) -> str:
    """When a step is, with day and clock."""
    if step.is_all_day:
        return f"from {day_text(step.start)}"
    if step.end is None:
        return moment_text(step.start)
    if step.end.date() == step.start.date():
        day, clock = moment_text(step.start).split(", ")
        return f"{day}, {step.start:%H:%M}-{step.end:%H:%M}{clock[5:]}"
    return f"{moment_text(step.start)}, until {moment_text(step.end)}"
