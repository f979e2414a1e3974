"""Finished sentences with sample values: what a reviewer judges is what a patient would read, never `{time}`."""

from __future__ import annotations

import datetime as dt

from babel.dates import format_skeleton

from generator.words.clock import date_text, day_phrase, time_text, weekday_text, when_text
from generator.words.message import PLACEHOLDERS, Message
from generator.words.speaker import Speaker
from generator.words.wording import Wording

# Numbers that between them take every form that CLDR knows, in any language.
COUNTED = (0, 1, 2, 5, 11, 100)
_MOMENT = dt.datetime(2026, 3, 24, 18, 30, tzinfo=dt.UTC)  # a Tuesday
_DAYS = {
    "date": dt.date(2026, 3, 24),
    "last_day": dt.date(2026, 6, 7),
    "first_day_without": dt.date(2026, 6, 8),
    "again": dt.date(2026, 6, 16),
}
_MEDICINE = Message("A.class.iron", "iron tablets", "A sample.")


def sample_values(wording: Wording) -> dict[str, str]:
    """A value for each placeholder, in this language where it is made of words."""
    speaker = Speaker(wording)
    return {
        **{name: sample for name, (_, sample) in PLACEHOLDERS.items()},
        **{name: date_text(speaker, day) for name, day in _DAYS.items()},
        "day_month": format_skeleton("MMMMd", _MOMENT.date(), locale=wording.locale),
        "spoken": time_text(speaker, _MOMENT, "12"),
        "day": day_phrase(speaker, _MOMENT),
        "when": when_text(speaker, _MOMENT),
        "weekday": weekday_text(speaker, 0),
        "last_weekday": weekday_text(speaker, 4),
        "medicine": speaker.plain(_MEDICINE),
    }


def finished(message: Message, speaker: Speaker, values: dict[str, str]) -> tuple[tuple[str, str], ...]:
    """The sentence as a patient would read it: ("", text), or for a counted message (number, text) for each sample."""
    if message.other is None:
        return (("", speaker.plain(message, **values)),)
    return tuple((str(number), speaker.plain(message, **{**values, "n": str(number)})) for number in COUNTED)
