"""Fasting guidance of anaesthesia as data, to find departures. It never makes a row for a patient."""

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
    "milk": (ASA, "milk is not a clear drink: 6 h before"),
    "plain-yoghurt": (ASA, "yoghurt is not a clear drink: 6 h before"),
    "alcohol": (ASA, "alcohol is not a clear drink"),
}
LABELS = "labels"


def fasting_departures(timetable: Timetable) -> Iterator[tuple[str, str, str]]:
    """(guidance, its rule, what departs) for meals and drinks nearer to the procedure than the guidance allows."""
    for kind, intake in (("last-meal", "light-meal"), ("stop-drinking", "clear")):
        for step in timetable.steps:
            if step.kind == kind and minutes_between(step.start, timetable.procedure) < ASA.minutes[intake]:
                before = hours(minutes_between(step.start, timetable.procedure))
                rule = f"{ASA.title} says {hours(ASA.minutes[intake])} at least"
                yield ASA.id, rule, f"“{step.id}” is {before} before; {rule}."


def food_departures(foods: Sequence[Food]) -> Iterator[tuple[str, str, str]]:
    """(guidance, its rule, what departs) for foods that the unit counts as clear drinks and others do not."""
    for food in foods:
        if food.clear and food.id in _NOT_CLEAR:
            guidance, rule = _NOT_CLEAR[food.id]
            yield guidance.id, rule, f"“{food.id}” is allowed as a clear drink; {guidance.title}: {rule}."
        if food.clear and food.id == "red-drinks":
            rule = "nothing red or purple: it can be taken for blood"
            yield LABELS, rule, f"“{food.id}” is allowed as a clear drink; labels of the medicines: {rule}."
