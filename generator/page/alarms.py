"""The list of alarms to set: a page cannot ring, so it says which alarms the patient sets, and for when."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from generator.page.plan import Plan
from generator.page.step_words import title_of
from generator.plan.alarms import alarm_steps
from generator.words.clock import date_text, day_phrase, is_night, time_text
from generator.words.speaker import Speaker


@dataclass(frozen=True, slots=True)
class AlarmView:
    """An alarm as printed: its hour, its day, the night it lies in (or ""), and what it is for."""

    time: str
    day: str
    night: str
    title: Markup


def alarm_views(plan: Plan, speaker: Speaker) -> Iterator[AlarmView]:
    """Each alarm to set. Arriving has none: the one for leaving comes before it."""
    for step in alarm_steps(plan.timetable):
        if step.kind != "arrive":
            yield AlarmView(
                time=time_text(speaker, step.start, plan.unit.clock),
                day=date_text(speaker, step.start.date()),
                night=day_phrase(speaker, step.start) if is_night(step.start) else "",
                title=speaker.markup(title_of(step)),
            )
