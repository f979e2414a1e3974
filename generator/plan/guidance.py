"""Guidance on fasting, diet and the days of the doses, as data to find departures. It never makes a patient's row."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generator.clinic.food import Food
from generator.plan.moments import later, minutes_between
from generator.plan.spoken import hours
from generator.plan.timetable import Timetable


@dataclass(frozen=True, slots=True)
class Fasting:
    """One guidance: how many elapsed minutes before the procedure each kind of intake must have ended."""

    id: str
    title: str
    minutes: dict[str, int]
    source: str

    def latest(self, intake: str, procedure: dt.datetime) -> dt.datetime:
        """The last moment at which that kind may be taken, zone-aware."""
        return later(procedure, -self.minutes[intake])


ASA = Fasting(
    "asa-2023",
    "ASA 2017 and 2023",
    {"clear": 120, "milk": 360, "tea-with-milk": 360, "light-meal": 360, "fatty-meal": 480},
    "Anesthesiology 2017;126:376-393 and 2023;138:132-151",
)
ESA = Fasting(
    "esa-2011",
    "European Society of Anaesthesiology 2011",
    {"clear": 120, "tea-with-milk": 120, "light-meal": 360},  # milk up to about a fifth of the cup
    "Smith et al., Eur J Anaesthesiol 2011;28:556-569",
)
# Foods of ours that no guidance or label counts as a clear drink late in a preparation.
_NOT_CLEAR = {
    **{
        food_id: (ASA, f"{name} is not a clear drink: 6 h before")
        for food_id, name in {
            "milk": "milk",
            "kefir": "sour milk",
            "plain-yoghurt": "yoghurt",
            "tea-with-milk": "tea with milk",
            "coffee-with-milk": "coffee with milk",
            "ice-cream": "ice cream",
            "custard": "custard",
            "nutrition-shake": "a nutrition shake",
        }.items()
    },
    "alcohol": (ASA, "alcohol is not a clear drink"),
}
_RED = frozenset(
    "red-drinks red-juice red-herbal-tea red-jelly sports-drink-red blackcurrant-cordial".split()
)
LABELS = "labels"
_EVENING = dt.time(15)  # common practice, no source: a meal from then on is no midday meal
_ESGE = "ESGE 2019 (Endoscopy 2019;51:775-794)"
_USMSTF = "US Multi-Society Task Force 2025 (Am J Gastroenterol 2025;120:738-764)"
Told = tuple[str, str, str]  # which guidance, its rule, what departs


def guidance_departures(timetable: Timetable) -> Iterator[Told]:
    """What in a timetable departs from guidance on fasting, diet and the days of the doses."""
    yield from fasting_departures(timetable)
    yield from diet_departures(timetable)
    yield from dose_day_departures(timetable)


def diet_departures(timetable: Timetable) -> Iterator[Told]:
    """A diet longer than the day before, or none on it; a protocol that says nothing of food is left alone."""
    day_before = timetable.procedure.date() - dt.timedelta(days=1)
    diets = [step for step in timetable.steps if step.kind == "diet" and step.diet != "usual"]
    first = [*diets, *(step for step in timetable.steps if step.kind == "clear-fluids")]
    begun = min((step.start for step in first), default=timetable.procedure)
    if begun.date() < day_before:
        rule = "change the diet on the day before only, where the risk is low"
        yield "usmstf-2025", rule, f"The diet begins on {begun:%A}; {_USMSTF}: {rule}."
    yield from _late_meals(timetable, day_before)
    food = [step for step in timetable.steps if step.kind in ("last-meal", "clear-fluids")]
    if food and not any(step.start.date() <= day_before for step in diets):
        rule = "a low-fibre diet on the day before"
        yield "esge-2019", rule, f"No diet is stated for the day before; {_ESGE}: {rule}."


def _late_meals(timetable: Timetable, day_before: dt.date) -> Iterator[Told]:
    """Meals after the midday of the day before; when midday is over no guidance says."""
    for step in timetable.steps:
        day = step.start.date()
        if step.kind == "last-meal" and (
            day > day_before or (day == day_before and step.start.time() >= _EVENING)
        ):
            on = "the day before" if day == day_before else "the day itself"
            rule = "low-fibre food for the early and midday meals of the day before"
            yield "usmstf-2025", rule, f"The last meal is at {step.start:%H:%M} on {on}; {_USMSTF}: {rule}."


def dose_day_departures(timetable: Timetable) -> Iterator[Told]:
    """All doses on the morning of a morning examination."""
    doses = [step for step in timetable.steps if step.kind == "drink"]
    if (
        doses
        and timetable.procedure.hour < 12
        and all(step.start.date() == timetable.procedure.date() for step in doses)
    ):
        rule = "for a morning examination doses on the same day are inferior to a split"
        yield "usmstf-2025", rule, f"All doses are on the day itself; {_USMSTF}: {rule}."


def fasting_departures(timetable: Timetable) -> Iterator[Told]:
    """(guidance, its rule, what departs) for meals and drinks nearer to the procedure than the guidance allows."""
    for kind, intake in (("last-meal", "light-meal"), ("stop-drinking", "clear")):
        for step in timetable.steps:
            if step.kind == kind and minutes_between(step.start, timetable.procedure) < ASA.minutes[intake]:
                before = hours(minutes_between(step.start, timetable.procedure))
                rule = f"{ASA.title} says {hours(ASA.minutes[intake])} at least"
                yield ASA.id, rule, f"“{step.id}” is {before} before; {rule}."
    for step in timetable.steps:
        left = minutes_between(step.start, timetable.procedure)
        if step.kind == "stop-drinking" and left > ESA.minutes["clear"]:
            rule = f"{ESA.title} encourages clear drinks until {hours(ESA.minutes['clear'])} before"
            yield ESA.id, rule, f"“{step.id}” is {hours(left)} before; {rule}."


def food_departures(foods: Sequence[Food]) -> Iterator[Told]:
    """(guidance, its rule, what departs) for foods that the unit counts as clear drinks and others do not."""
    for food in foods:
        if food.clear and food.id in _NOT_CLEAR:
            guidance, rule = _NOT_CLEAR[food.id]
            yield guidance.id, rule, f"“{food.id}” is allowed as a clear drink; {guidance.title}: {rule}."
        if food.clear and food.id in _RED:
            rule = "nothing red or purple: it can be taken for blood"
            yield LABELS, rule, f"“{food.id}” is allowed as a clear drink; labels of the medicines: {rule}."
