"""Message: one sentence with an id, its English, and a note for the translator.

The first letter of the id is its class: a wrong A can hurt, a wrong B spoils the preparation, C is the rest.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

SOURCE_TAG = "en"  # the language in which messages are written
ID = re.compile(r"[ABC](\.[a-z0-9]+(-[a-z0-9]+)*){2,}")
PLACEHOLDER = re.compile(r"\{([a-z_0-9]+)\}")

# The closed vocabulary of placeholders, each with what it stands for and a sample for the translator.
PLACEHOLDERS = {
    "time": ("a time of day", "18:30"),
    "time12": ("a time of day on a 12-hour clock, digits only", "6:30"),
    "spoken": ("a time as people say it, one of the A.clock messages", "6:30 in the evening"),
    "since": ("a time of day from which something holds", "15:00"),
    "until": ("a time of day at which something ends", "17:00"),
    "arrival": ("the time to be at the clinic", "09:00"),
    "date": ("weekday, day and month", "Tuesday 24 March"),
    "day_month": ("day and month", "24 March"),
    "when": ("day and time together", "on Tuesday, 18:30"),
    "last_day": ("the last day on which a medicine is taken: weekday, day and month", "Sunday 7 June"),
    "first_day_without": ("the first day without a medicine: weekday, day and month", "Monday 8 June"),
    "again": ("the day from which a medicine is taken again", "Tuesday 16 June"),
    "day": ("a day phrase, one of the A.day messages", "on Tuesday"),
    "weekday": ("a weekday by itself", "Monday"),
    "last_weekday": ("the last weekday of a stretch of days", "Friday"),
    "phone": ("a phone number", "01632 960 145"),
    "emergency": ("the emergency number", "01632 960 999"),
    "unit": ("the clinic's name, not translated", "Marl Bay Endoscopy Unit"),
    "place": ("where the clinic is, not translated", "second floor"),
    "volume": ("an amount of liquid with its unit", "250 mL"),
    "total": ("a larger amount of liquid with its unit", "1000 mL"),
    "n": ("a number", "4"),
    "of": ("the number in all", "4"),
    "rest": ("the number that is left", "9,995"),
    "hours": ("a number of hours", "2"),
    "minutes": ("a number of minutes", "15"),
    "most": ("a larger number of minutes", "30"),
    "temperature": ("a body temperature", "38 °C"),
    "month": ("a month and its year", "December 2025"),
    "days": ("a number of days", "14"),
    "product": ("the name on the medicine's box, not translated", "PEG-Ascorbate Demo 2 L"),
    "code": ("the plan code, three digits", "417"),
    "language": ("the name of a language", "Spanish"),
    "email": ("an e-mail address", "nurses@unit.example"),
    "medicine": ("the name of a kind of medicine, one of the B.class messages", "blood thinner"),
}
# Numbers, times and phone numbers keep their own order inside right-to-left text.
LEFT_TO_RIGHT = frozenset(
    {
        "time",
        "time12",
        "since",
        "until",
        "arrival",
        "phone",
        "email",
        "emergency",
        "volume",
        "total",
        "n",
        "of",
        "rest",
        "hours",
        "minutes",
        "most",
        "temperature",
        "days",
        "code",
    }
)

# A number to ring, and an amount with its unit, stay on one line: half of one is another one.
UNBROKEN = frozenset({"phone", "emergency", "volume", "total"})

# Proper names come in whatever script the unit writes; their own first letter decides their direction.
NAMES = frozenset({"unit", "place", "product"})


@dataclass(frozen=True, slots=True)
class Message:
    """One message.

    Attributes:
        id: class, place and name, such as `A.call.emergency.chest-pain`.
        english: the text; for a counted message, the form for one.
        note: where it is shown and what its placeholders are; for the translator.
        other: for a counted message, the English form for other numbers.

    Raises:
        ValueError: if the id, a placeholder or the note is not as the rules say.
    """

    id: str
    english: str
    note: str
    other: str | None = None

    def __post_init__(self) -> None:
        if not ID.fullmatch(self.id):
            raise ValueError(f"message id {self.id}: class letter, then small words joined by dots")
        if not self.note.strip() or not self.english.strip():
            raise ValueError(f"message {self.id}: a note and an English text are needed")
        unknown = placeholders_in(self.english) - set(PLACEHOLDERS)
        if unknown:
            raise ValueError(f"message {self.id}: unknown placeholder {sorted(unknown)[0]}")

    @property
    def forms(self) -> tuple[str, ...]:
        """The English forms: one, or two for a counted message."""
        return (self.english,) if self.other is None else (self.english, self.other)

    @property
    def is_of_unit(self) -> bool:
        """Whether it is a sentence of the unit's own, translated in the unit's folder."""
        return self.id.split(".")[1] == "unit"

    @property
    def risk(self) -> str:
        """The class: A, B or C."""
        return self.id[0]


def is_only_searched(message_id: str) -> bool:
    """Whether the words are never shown: other names of a food, which each language has as many of as it has."""
    return message_id.startswith("B.find.") or message_id == "B.look.small"


def placeholders_in(text: str) -> set[str]:
    """The names of the placeholders in a text."""
    return set(PLACEHOLDER.findall(text))
