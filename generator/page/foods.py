"""Our foods and drinks, each a message; the unit gives the verdicts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from generator.clinic.food import Food
from generator.plan.timetable import Step
from generator.words.message import Message

_NOTE = (
    "A food or drink in the list of what may be eaten. Name what people in your language really buy; "
    "if they have no such food, say so to the clinic."
)


def _food(food_id: str, english: str, note: str = "") -> Message:
    return Message(f"B.food.{food_id}", english, f"{_NOTE} {note}".strip())


_FOODS = (
    _food("water", "Water"),
    _food("clear-broth", "Clear broth, without noodles or bits"),
    _food("black-tea", "Tea without milk"),
    _food("black-coffee", "Coffee without milk"),
    _food("apple-juice", "Clear apple juice, without pulp"),
    _food(
        "yellow-jelly",
        "Yellow or green jelly",
        "The sweet dessert that sets cold, gelatine dessert; not jam.",
    ),
    _food("red-drinks", "Red or purple drinks and jelly"),
    _food("milk", "Milk"),
    _food("white-bread", "White bread"),
    _food("white-rice", "White rice"),
    _food("white-pasta", "White pasta"),
    _food("peeled-potato", "Potato without skin"),
    _food("egg", "Eggs"),
    _food("chicken", "Chicken or turkey"),
    _food("white-fish", "White fish"),
    _food("plain-yoghurt", "Plain yoghurt, without fruit or nuts"),
    _food("wholemeal-bread", "Wholemeal or seeded bread"),
    _food("beans-lentils", "Beans, peas and lentils"),
    _food("nuts-seeds", "Nuts and seeds"),
    _food("raw-vegetables", "Salad and raw vegetables"),
    _food("fruit-with-seeds", "Fruit with skin or seeds"),
    _food("alcohol", "Alcohol"),
)
FOOD_WORDS = {message.id.removeprefix("B.food."): message for message in _FOODS}
FOOD_IDS = frozenset(FOOD_WORDS)

_WHEN = "{when}: a date and a time, such as “Tuesday 24 March, 13:30”."
UNTIL_STOP = Message("B.verdict.until-stop", "Yes, until {when}.", f"Verdict on a clear drink. {_WHEN}")
UNTIL_CLEAR = Message(
    "B.verdict.until-clear", "Until {when}: yes. After that: no.", f"Verdict on a food low in fibre. {_WHEN}"
)
NEVER = Message("B.verdict.never", "No, from {when}.", f"Verdict on a food that is not allowed. {_WHEN}")
LISTED_DIETS = ("low-fibre", "full-liquids")  # the phases that the list of foods has verdicts for
MESSAGES = (*_FOODS, UNTIL_STOP, UNTIL_CLEAR, NEVER)


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
    for food in foods:
        if food.clear:
            yield food, UNTIL_STOP, starts["stop-drinking"]
        elif food.full_liquids:
            yield food, UNTIL_CLEAR, clear
        elif food.low_fibre and first < solid_until:
            yield food, UNTIL_CLEAR, solid_until
        else:
            yield food, NEVER, first
