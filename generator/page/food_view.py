"""The unit's foods as the page shows them: in groups, each with its verdict and the names to find it by."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache, partial

from markupsafe import Markup

from generator.page.foods import FOODS, GROUPS, REASONS, verdicts
from generator.page.plan import Plan
from generator.words.clock import date_time_text
from generator.words.speaker import Speaker

_COMMAS = re.compile("[,،，、]")
_BETWEEN_WORDS = re.compile(r"[\s()/.–-]+")  # not \W: in many scripts a word holds marks that are no letters


@dataclass(frozen=True, slots=True)
class FoodView:
    """A food, the verdict on it as a sentence, the reason or "", and other names to find it by."""

    name: Markup
    verdict: Markup
    why: Markup
    find: str


@dataclass(frozen=True, slots=True)
class FoodGroupView:
    """Foods under one heading."""

    id: str
    heading: Markup
    foods: tuple[FoodView, ...]


@lru_cache(maxsize=4096)  # the same for every plan in a language
def telling(name: str, finders: str) -> tuple[str, ...]:
    """The other names that find a food by a word which neither its own name nor a longer one of them has already.

    A phone looks for all typed words within one name, so that a name within another finds nothing more.
    """
    own, others = _words(name.split(",")[0]), [one.strip() for one in _COMMAS.split(finders)]
    found: list[str] = []
    for one in sorted(dict.fromkeys(others), key=lambda one: -len(_words(one))):
        if one and not any(_words(one) <= known for known in (own, *map(_words, found))):
            found.append(one)
    return tuple(one for one in others if one in found)


def _words(text: str) -> frozenset[str]:
    return frozenset(_BETWEEN_WORDS.split(text.casefold())) - {""}


def food_groups(plan: Plan, speaker: Speaker) -> Iterator[FoodGroupView]:
    """The unit's foods in our groups, in the order of its file; a group without any is not there."""
    said: dict[str, FoodView] = {}
    when = cache(partial(date_time_text, speaker))  # a few moments, said of many foods
    for food, message, moment in verdicts(plan.advice.foods, plan.timetable.steps):
        item = FOODS[food.id]
        said[food.id] = FoodView(
            name=speaker.markup(item.name),
            verdict=speaker.markup(message, when=when(moment)),
            why=speaker.markup(REASONS[food.why]) if food.why else Markup(),
            find=", ".join(telling(speaker.plain(item.name), speaker.plain(item.find))),
        )
    for group in GROUPS:
        ids = {item.id for item in group.foods}
        foods = tuple(view for food_id, view in said.items() if food_id in ids)
        if foods:
            yield FoodGroupView(group.id, speaker.markup(group.heading), foods)
