"""Views: what a template may see of a plan in one language: strings, flags and our ids, never a moment."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from generator.page import symptoms
from generator.page.data import data_block
from generator.page.foods import FOOD_WORDS, verdicts
from generator.page.hours import LineView, lines_of
from generator.page.medicine_classes import class_name
from generator.page.names import Names
from generator.page.own_medicine_words import again_line, instruction_line
from generator.page.plan import Plan, Replaced
from generator.page.step_line import Line
from generator.page.step_words import About, Around, lines_for, title_of
from generator.plan.moments import in_zone
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
from generator.words.message import Message
from generator.words.speaker import Speaker
from generator.words.wording import Wording


@dataclass(frozen=True, slots=True)
class LanguageView:
    """A language of this booklet: where its page is, its name in itself, and whether it is this one."""

    tag: str
    dir: str
    name: str
    href: str
    current: bool


@dataclass(frozen=True, slots=True)
class StepView:
    """A step as printed: its hour, the night it lies in (or ""), heading, sentences, and until when (or "")."""

    id: str
    time: str
    night: str
    title: Markup
    lines: tuple[Markup, ...]
    until: str


@dataclass(frozen=True, slots=True)
class DayView:
    """A day and its steps."""

    heading: str
    steps: tuple[StepView, ...]


@dataclass(frozen=True, slots=True)
class FoodView:
    """A food and the verdict on it, as a sentence."""

    name: Markup
    verdict: Markup


@dataclass(frozen=True, slots=True)
class EmergencyView:
    """The emergency number, printed and dialled."""

    shown: str
    dial: str


@dataclass(frozen=True, slots=True)
class ReplacedView:
    """The earlier plan: its code, its day and time, and whether the appointment is at another time now."""

    code: str
    when: str
    moved: bool


@dataclass(frozen=True, slots=True)
class PlanView:
    """Everything templates/page/plan.html uses, and nothing else.

    Attributes:
        assets: path to the shared files, ending in a slash.
        date, arrival, procedure, made: printed days and times.
        replaced: the plan given before this one, or None.
        assumed_travel: minutes that were assumed for the way, or "" where the booking states them.
        open_again: the day to open the page once more before it is needed, or "".
        call_first: names of medicines that a nurse chose the "call before you change it" line for.
        data: the JSON that the scripts read.
    """

    lang: str
    dir: str
    mark: str
    unit: str
    code: str
    call_number: str
    demonstration: bool
    draft: bool
    languages: tuple[LanguageView, ...]
    assets: str
    manifest: str
    calendar: str
    date: str
    arrival: str
    procedure: str
    made: str
    replaced: ReplacedView | None
    assumed_travel: str
    open_again: str
    call_first: tuple[str, ...]
    days: tuple[DayView, ...]
    foods: tuple[FoodView, ...]
    start: tuple[Markup, ...]
    signs_emergency: tuple[Markup, ...]
    signs_unit: tuple[Markup, ...]
    signs_tell: tuple[Markup, ...]
    after_emergency: tuple[Markup, ...]
    after_unit: tuple[Markup, ...]
    emergency: EmergencyView
    lines: tuple[LineView, ...]
    link_groups: str
    data: Markup


def plan_view(plan: Plan, speaker: Speaker, assets: str) -> PlanView:
    """The view of a plan in the speaker's language."""
    wording, unit, identity, timetable = speaker.wording, plan.unit, plan.identity, plan.timetable
    unknown_travel = plan.booking.travel_minutes is None and plan.booking.pick_up is None
    return PlanView(
        lang=wording.tag,
        dir=wording.direction,
        mark=identity.mark,
        unit=unit.name,
        code=identity.code,
        call_number=identity.call_number,
        demonstration=unit.demonstration,
        draft=any(one.draft for one in plan.wordings),
        languages=tuple(language_views(plan.names, {one.tag: one for one in plan.wordings}, wording.tag)),
        assets=assets,
        manifest=plan.names.manifest(wording.tag),
        calendar=plan.names.calendar(wording.tag),
        date=date_text(speaker, timetable.arrival.date()),
        arrival=time_text(speaker, timetable.arrival, unit.clock),
        procedure=f"{timetable.procedure:%H:%M}",
        made=date_text(speaker, in_zone(identity.made, unit.zone).date()),
        replaced=replaced_view(plan.replaces, speaker, unit.zone, timetable.procedure),
        assumed_travel=str(unit.travel_minutes) if unknown_travel else "",
        open_again=_open_again(plan, speaker),
        call_first=tuple(speaker.plain(class_name(name)) for name in plan.booking.call_first),
        days=tuple(_days(plan, speaker)),
        foods=tuple(_foods(plan, speaker)),
        start=said(speaker, symptoms.START),
        signs_emergency=said(speaker, symptoms.EMERGENCY),
        signs_unit=said(speaker, symptoms.UNIT),
        signs_tell=said(speaker, symptoms.TELL),
        after_emergency=said(speaker, symptoms.AFTER_EMERGENCY),
        after_unit=said(speaker, symptoms.AFTER_UNIT),
        emergency=EmergencyView(unit.emergency.shown, unit.emergency.dial),
        lines=tuple(lines_of(unit, speaker)),
        link_groups=_in_groups(plan),
        data=data_block(plan, speaker),
    )


def said(speaker: Speaker, messages: tuple[Message, ...]) -> tuple[Markup, ...]:
    """Each of the messages, for a list."""
    return tuple(speaker.markup(message) for message in messages)


def language_views(names: Names, wordings: Mapping[str, Wording], current: str) -> Iterator[LanguageView]:
    """The documents of a booklet as links between them: tag -> the language that the document is written in."""
    for tag, wording in wordings.items():
        yield LanguageView(wording.tag, wording.direction, wording.name, names.href(tag), tag == current)


def replaced_view(
    replaced: Replaced | None, speaker: Speaker, zone: str, procedure: dt.datetime | None = None
) -> ReplacedView | None:
    """The earlier plan as printed, or None; `procedure` is the present one's start."""
    if replaced is None:
        return None
    when = date_time_text(speaker, in_zone(replaced.start, zone))
    return ReplacedView(replaced.code, when, moved=replaced.start != procedure)


def _days(plan: Plan, speaker: Speaker) -> Iterator[DayView]:
    by_day: dict[dt.date, list[Step]] = {}
    for step in plan.timetable.steps:
        by_day.setdefault(step.start.date(), []).append(step)
    for day, steps in by_day.items():
        yield DayView(date_text(speaker, day), tuple(_step(plan, step, speaker) for step in steps))


def _step(plan: Plan, step: Step, speaker: Speaker) -> StepView:
    around = _around(plan, step, speaker)
    lines = lines_for(step, _about(plan, speaker), around)
    return StepView(
        id=step.id,
        time=_hour(plan, step, speaker),
        night=day_phrase(speaker, step.start) if is_night(step.start) and not step.is_all_day else "",
        title=speaker.markup(title_of(step)),
        lines=tuple(speaker.markup(line.message, **line.values) for line in lines),
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
        emergency=plan.unit.emergency.shown,
    )


def _own(plan: Plan, step: Step, speaker: Speaker) -> Line | None:
    """What an instruction of the unit says at this step, or None where it is not an instruction's."""
    if step.instruction is None:
        return None
    dates = {name: date_text(speaker, day) for name, day in step.dates.items()}
    instruction = plan.instructions[step.instruction]
    if step.kind == "restart":
        return again_line(dates["again"], speaker.plain(class_name(instruction.medicine)))
    return instruction_line(instruction, dates)


def _foods(plan: Plan, speaker: Speaker) -> Iterator[FoodView]:
    for food, message, moment in verdicts(plan.foods, plan.timetable.steps):
        yield FoodView(
            speaker.markup(FOOD_WORDS[food.id]), speaker.markup(message, when=date_time_text(speaker, moment))
        )


def _open_again(plan: Plan, speaker: Speaker) -> str:
    """Two days before the procedure, or the day before when the plan was made later than that."""
    made = in_zone(plan.identity.made, plan.unit.zone).date()
    for days in (2, 1):
        day = plan.timetable.procedure.date() - dt.timedelta(days=days)
        if made < day:
            return date_text(speaker, day)
    return ""


def _in_groups(plan: Plan) -> str:
    """The link for typing: the token in groups of four, which nobody has to count."""
    token = plan.identity.token
    groups = " ".join(token[at : at + 4] for at in range(0, len(token), 4))
    return f"{plan.base_url}p/ {groups} /"
