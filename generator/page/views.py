"""Views: what a template may see of a plan in one language: strings, flags and our ids, never a moment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from markupsafe import Markup

from generator.page import symptoms
from generator.page.after_view import AfterView, plan_after
from generator.page.alarms import AlarmView, alarm_views
from generator.page.data import data_block
from generator.page.day_view import VisitView, visit_view
from generator.page.drawings import PictureView
from generator.page.figure_view import FiguresView, figures_view
from generator.page.food_letters import food_letters
from generator.page.food_view import FoodGroupView, food_groups
from generator.page.hours import LineView, bar_index, lines_of
from generator.page.look_view import LookView, look_view
from generator.page.medicine_classes import class_name
from generator.page.plan import Plan, in_groups
from generator.page.question_views import MomentView, moment_views
from generator.page.saying import SayingView, saying_view
from generator.page.shared_views import (
    EmergencyView,
    LanguageView,
    ReplacedView,
    language_views,
    open_again,
    replaced_view,
    said,
)
from generator.page.step_views import DayView, day_views
from generator.plan.moments import in_zone
from generator.words.clock import (
    date_text,
    time_text,
)
from generator.words.speaker import Speaker


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanView:
    """Everything templates/page/plan.html uses, and nothing else.

    Attributes:
        assets: path to the shared files, ending in a slash. date, arrival, procedure, made: as printed.
        draft: it shows a message that nobody has reviewed; `marked` sees to it.
        replaced: the plan given before this one, or None.
        assumed_travel: minutes assumed for the way, or "" where the booking states them.
        open_again: the day to open the page once more before it is needed, or "".
        foods: the unit's signed list, by group; empty where the page says to ask.
        call_first: names of medicines that a nurse chose the "call before you change it" line for.
        pictures: name -> the drawing; a plan has only those that fit it.
        data: the JSON that the scripts read.
    """

    lang: str
    dir: str
    mark: str
    unit: str
    code: str
    call_number: str
    demonstration: bool
    draft: bool = False
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
    alarms: tuple[AlarmView, ...]
    foods: tuple[FoodGroupView, ...]
    look: LookView
    start: tuple[Markup, ...]
    signs_emergency: tuple[Markup, ...]
    signs_unit: tuple[Markup, ...]
    signs_tell: tuple[Markup, ...]
    questions: tuple[MomentView, ...]
    day: VisitView | None
    figures: FiguresView | None
    after: AfterView
    emergency: EmergencyView
    lines: tuple[LineView, ...]
    bar: int
    saying: SayingView | None
    link: str
    pictures: Mapping[str, PictureView] = field(default_factory=dict)
    data: Markup

    @property
    def link_groups(self) -> str:
        """The link for typing."""
        base, token = self.link.rstrip("/").rsplit("/", 1)
        return f"{base}/ {in_groups(token)} /"

    @property
    def food_letters(self) -> str:
        """What the field that looks up foods forgives in this language."""
        return food_letters(self.lang)


def plan_view(plan: Plan, speaker: Speaker, assets: str) -> PlanView:
    """The view of a plan in the speaker's language; its drawings are not in it yet."""
    wording, unit, identity, timetable = speaker.wording, plan.unit, plan.identity, plan.timetable
    return PlanView(
        lang=wording.tag,
        dir=wording.direction,
        mark=identity.mark,
        unit=unit.name,
        code=identity.code,
        call_number=identity.call_number,
        demonstration=unit.demonstration,
        languages=tuple(language_views(plan.names, {one.tag: one for one in plan.wordings}, wording.tag)),
        assets=assets,
        manifest=plan.names.manifest(wording.tag),
        calendar=plan.names.calendar(wording.tag),
        date=date_text(speaker, timetable.arrival.date()),
        arrival=time_text(speaker, timetable.arrival, unit.clock),
        procedure=f"{timetable.procedure:%H:%M}",
        made=date_text(speaker, in_zone(identity.made, unit.zone).date()),
        replaced=replaced_view(plan.replaces, speaker, unit.zone, timetable.procedure),
        assumed_travel=_assumed_travel(plan),
        open_again=open_again(identity.made, timetable, unit.zone, speaker),
        call_first=tuple(speaker.plain(class_name(name)) for name in plan.booking.call_first),
        days=tuple(day_views(plan, speaker)),
        alarms=tuple(alarm_views(plan, speaker)),
        foods=tuple(food_groups(plan, speaker)),
        look=look_view(plan, speaker),
        start=said(speaker, symptoms.START),
        signs_emergency=said(speaker, symptoms.signs_at("emergency", plan.advice.levels)),
        signs_unit=said(speaker, symptoms.signs_at("unit", plan.advice.levels)),
        signs_tell=said(speaker, symptoms.signs_at("tell", plan.advice.levels)),
        questions=tuple(moment_views(plan, speaker)),
        day=visit_view(plan, speaker),
        figures=figures_view(plan.advice.figures, speaker),
        after=plan_after(plan, speaker),
        emergency=EmergencyView(unit.emergency.shown, unit.emergency.dial),
        lines=tuple(lines_of(unit, speaker)),
        bar=bar_index(unit),
        saying=saying_view(plan.staff_wording, speaker, identity.call_number),
        link=plan.link,
        data=data_block(plan, speaker),
    )


def _assumed_travel(plan: Plan) -> str:
    """Minutes that were assumed for the way, or "" where the booking states how the patient comes."""
    stated = plan.booking.travel_minutes is not None or plan.booking.pick_up is not None
    return "" if stated else str(plan.unit.travel_minutes)
