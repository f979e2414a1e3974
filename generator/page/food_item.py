"""A food or drink of ours: its name as a shopper would say it, and other names to find it by."""

from __future__ import annotations

from dataclasses import dataclass

from generator.words.message import Message

_NAME = (
    "A food or drink in the list of what may be eaten. Name what people in your language really buy; "
    "if they have no such food, say so to the clinic. Put “without …” and the like after a comma: "
    "the search on the page looks only at the words before the first comma."
)
_FIND = (
    "Never shown. Other names and spellings that people type to find “{name}”, with commas between. Write those "
    "of your own language and its countries, not a translation; if there are none, repeat the name. "
    "Only names of this very food: the page then shows this food's verdict."
)
_CLEAR = "Clear: see-through; you can read print through it."


@dataclass(frozen=True, slots=True)
class FoodItem:
    """One food or drink; `find` is never shown, and holds names with commas between."""

    id: str
    name: Message
    find: Message


@dataclass(frozen=True, slots=True)
class FoodGroup:
    """Foods that stand together on the page, under a heading."""

    id: str
    heading: Message
    foods: tuple[FoodItem, ...]


def food(food_id: str, name: str, find: str, note: str = "") -> FoodItem:
    """A food; `note` is for the translator of its name."""
    return FoodItem(
        food_id,
        Message(f"B.food.{food_id}", name, _noted(name, _NAME, note)),
        Message(f"B.find.{food_id}", find, _noted(find, _FIND.format(name=name))),
    )


def group(group_id: str, heading: str, note: str, *foods: FoodItem) -> FoodGroup:
    """Foods under a heading."""
    return FoodGroup(group_id, Message(f"C.foods.{group_id}", heading, note), foods)


def _noted(text: str, *notes: str) -> str:
    clear = _CLEAR if "clear" in text.casefold() else ""
    return " ".join(note for note in (*notes, clear) if note)
