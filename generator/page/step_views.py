"""The steps of a plan as printed: by day, each with its hour, heading and sentences."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace

from markupsafe import Markup

from generator.page.data import DOSES
from generator.page.day_line import day_line
from generator.page.drawings import step_pictures
from generator.page.medicine_classes import class_name
from generator.page.own_medicine_words import again_line, instruction_line
from generator.page.pace_lines import pace_lines
from generator.page.plan import Plan
from generator.page.step_line import Line
from generator.page.step_words import About, Around, lines_for, title_of
from generator.plan.moments import epoch_minutes, from_epoch_minutes, in_zone
from generator.plan.opening import calls_for
from generator.plan.pace import Limit, limits_of
from generator.plan.timetable import Step
from generator.words.clock import (
    ALL_DAY,
    ON_THIS_DAY,
    date_text,
    date_time_text,
    day_phrase,
    is_night,
    time_text,
)
from generator.words.speaker import Speaker


@dataclass(frozen=True, slots=True)
class StepView:
    """A step as printed: its hour, the night it lies in (or ""), heading, sentences, pace, and until when (or "").

    `picture` is the name of a drawing, shown where the plan has it, or "".
    """

    id: str
    time: str
    night: str
    title: Markup
    lines: tuple[Markup, ...]
    pace: tuple[Markup, ...]
    until: str
    picture: str = ""


@dataclass(frozen=True, slots=True)
class DayView:
    """A day, its line from midnight to midnight (or ""), and its steps."""

    heading: str
    line: Markup
    steps: tuple[StepView, ...]


def day_views(plan: Plan, speaker: Speaker) -> Iterator[DayView]:
    """The steps by day, in order of time."""
    by_day: dict[dt.date, list[Step]] = {}
    for step in plan.timetable.steps:
        by_day.setdefault(step.start.date(), []).append(step)
    limits = limits_of(plan.timetable, plan.protocol, plan.unit.quiet_minutes)
    pictures = step_pictures(plan.timetable.steps)
    for day, steps in by_day.items():
        views = [
            replace(_step(plan, step, speaker, limits.get(step.id)), picture=pictures.get(step.id, ""))
            for step in steps
        ]
        starts = [epoch_minutes(step.start) for step in steps if not step.is_all_day]
        rtl = speaker.wording.direction == "rtl"
        line = day_line(plan.unit.zone, day, starts, right_to_left=rtl)
        yield DayView(date_text(speaker, day), line, tuple(views))


def _step(plan: Plan, step: Step, speaker: Speaker, limit: Limit | None) -> StepView:
    around = _around(plan, step, speaker)
    lines = lines_for(step, _about(plan, speaker), around)
    return StepView(
        id=step.id,
        time=_hour(plan, step, speaker),
        night=day_phrase(speaker, step.start) if is_night(step.start) and not step.is_all_day else "",
        title=speaker.markup(title_of(step)),
        lines=tuple(speaker.markup(line.message, **line.values) for line in lines),
        pace=tuple(speaker.markup(line.message, **line.values) for line in pace_lines(plan, step, limit)),
        until="" if step.kind == "medicine" else around.until,  # its own sentence says it
    )


def _hour(plan: Plan, step: Step, speaker: Speaker) -> str:
    if step.is_all_day:
        return speaker.plain(ON_THIS_DAY if step.is_last_day else ALL_DAY)
    return time_text(speaker, step.start, plan.unit.clock)


def _around(plan: Plan, step: Step, speaker: Speaker) -> Around:
    until = ""
    if step.end is not None:
        same_day = step.end.date() == step.start.date()
        until = speaker.isolated(f"{step.end:%H:%M}") if same_day else date_time_text(speaker, step.end)
    return Around(
        since=speaker.isolated(f"{step.start:%H:%M}"),
        until=until,
        own=_own(plan, step, speaker),
        fasting=any(
            other.kind == "stop-drinking" and other.start <= step.start for other in plan.timetable.steps
        ),
    )


def _about(plan: Plan, speaker: Speaker) -> About:
    booking = plan.booking
    latest = in_zone(booking.latest_start, plan.unit.zone) if booking.latest_start else None
    return About(
        product=plan.protocol.product,
        pieces=plan.protocol.pieces,
        place=plan.unit.place,
        fetched=booking.pick_up is not None,
        latest=speaker.isolated(f"{latest:%H:%M}") if latest else "",
        arrival=speaker.isolated(f"{plan.timetable.arrival:%H:%M}"),
        provisional=booking.provisional,
        watch_stated=plan.advice.aftercare is not None,
        emergency=plan.unit.emergency.shown,
        foods_listed=bool(plan.advice.foods),
        last_answer=_last_answer(plan, speaker),
    )


def _last_answer(plan: Plan, speaker: Speaker) -> str:
    """When the last line that helps with the preparation closes before the first dose; "" where one is open then."""
    doses = [step.start for step in plan.timetable.steps if step.medicine and step.kind in DOSES]
    if not doses:
        return ""
    unit, day, first = plan.unit, min(doses).date(), epoch_minutes(min(doses))
    calls = calls_for(unit, day - dt.timedelta(days=14), day)
    helping = [
        call for call in calls if "preparation" in unit.call_lines[call.line].purposes and call.since <= first
    ]
    closed = max((call.until for call in helping), default=first + 1)
    return "" if closed > first else date_time_text(speaker, from_epoch_minutes(closed, unit.zone))


def _own(plan: Plan, step: Step, speaker: Speaker) -> Line | None:
    """What an instruction of the unit says at this step, or None where it is not an instruction's."""
    if step.instruction is None:
        return None
    dates = {name: date_text(speaker, day) for name, day in step.dates.items()}
    instruction = plan.instructions[step.instruction]
    if step.kind == "restart":
        return again_line(dates["again"], speaker.plain(class_name(instruction.medicine)))
    return instruction_line(instruction, dates)
