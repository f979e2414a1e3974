"""What the page says of food and drink: our list of foods, each a message, under the unit's verdicts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from generator.clinic.food import Food
from generator.page import foods_drunk, foods_eaten
from generator.plan.timetable import Step
from generator.words.message import Message

GROUPS = (*foods_drunk.GROUPS, *foods_eaten.GROUPS)
FOODS = {item.id: item for one in GROUPS for item in one.foods}
FOOD_IDS = frozenset(FOODS)

_WHEN = "{when}: a date and a time, such as “Tuesday 24 March, 13:30”."
UNTIL_STOP = Message("B.verdict.until-stop", "Yes, until {when}.", f"Verdict on a clear drink. {_WHEN}")
UNTIL_CLEAR = Message(
    "B.verdict.until-clear", "Until {when}: yes. After that: no.", f"Verdict on a food low in fibre. {_WHEN}"
)
UNTIL_MEAL = Message(
    "B.verdict.until-meal",
    "Until your last meal, {when}: yes. After it: no.",
    f"Verdict on a food low in fibre. {_WHEN}",
)
NEVER = Message("B.verdict.never", "No, from {when}.", f"Verdict on a food that is not allowed. {_WHEN}")

_WHY = "After the verdict on a food that is not allowed, or not to the end: the reason. It: the food."
REASONS = {
    name: Message(f"B.why.{name}", english, _WHY)
    for name, english in {
        "fibre": "It is high in fibre, and some of that stays in the bowel.",
        "seeds": "Seeds and hard bits stay in the bowel.",
        "skin": "Skins, peel and husks stay in the bowel.",
        "pulp": "It has pulp or bits of fruit in it.",
        "milk": "Milk makes it cloudy: you cannot see through it.",
        "cloudy": "You cannot see through it.",
        "colour": "Its colour can be taken for blood.",
        "dark": "It is dark, and some units allow pale drinks only.",
        "fat": "It is high in fat.",
        "alcohol": "Alcohol takes water from the body.",
        "solid": "It is solid food.",
        "differ": "Your unit says no; another may say yes.",
    }.items()
}

LISTED_DIETS = ("low-fibre", "full-liquids")  # the phases that the list of foods has verdicts for
MESSAGES = (
    *(one.heading for one in GROUPS),
    *(message for item in FOODS.values() for message in (item.name, item.find)),
    *REASONS.values(),
    *(UNTIL_STOP, UNTIL_CLEAR, UNTIL_MEAL, NEVER),
)


def verdicts(foods: Sequence[Food], steps: Sequence[Step]) -> Iterator[tuple[Food, Message, dt.datetime]]:
    """What is said of each food, and the moment it names; nothing where the plan has not the phases for it."""
    starts: dict[str, dt.datetime] = {}
    for step in steps:
        starts.setdefault(step.diet or step.kind, step.start)
    listed = [starts[diet] for diet in LISTED_DIETS if diet in starts]
    if not listed or not {"clear-fluids", "stop-drinking"} <= starts.keys():
        return
    first, clear = min(listed), starts["clear-fluids"]
    solid_until = starts.get("full-liquids", clear)
    meal = starts.get("last-meal")
    for food in foods:
        if food.clear:
            yield food, UNTIL_STOP, starts["stop-drinking"]
        elif food.full_liquids:
            yield food, UNTIL_CLEAR, clear
        elif food.low_fibre and meal is not None and first < meal <= solid_until:
            yield food, UNTIL_MEAL, meal
        elif food.low_fibre and first < solid_until:
            yield food, UNTIL_CLEAR, solid_until
        else:
            yield food, NEVER, first
