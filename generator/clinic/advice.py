"""Advice: what the unit says to patients beside its protocol, each part from a file of its own.

A part counts only while its file carries a living signature; without one the page says "call", or leaves it out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from generator.clinic.aftercare import Aftercare
from generator.clinic.answer import Answer
from generator.clinic.day import Day
from generator.clinic.figures import Figures
from generator.clinic.food import Food


@dataclass(frozen=True, slots=True)
class Advice:
    """All parts; an empty one says nothing.

    Attributes:
        foods: food.toml, the verdict on each food and drink.
        answers: answers.toml, what the unit answers to questions that touch medicine, vomiting or bleeding.
        day: day.toml, the day of the examination.
        figures: figures.toml, how often what happens.
        aftercare: aftercare.toml, what holds afterwards.
        levels: symptoms.toml, the signs that the unit puts at another level than the page does by itself.
    """

    foods: tuple[Food, ...] = ()
    answers: tuple[Answer, ...] = ()
    day: Day | None = None
    figures: Figures | None = None
    aftercare: Aftercare | None = None
    levels: Mapping[str, str] = field(default_factory=dict)
