"""The unit's lines as printed: the number and its hours in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from generator.clinic.unit import Line, OpenHours, Unit
from generator.words.clock import weekday_text
from generator.words.message import Message
from generator.words.speaker import Speaker

_ALWAYS = Message("B.hours.always", "Day and night", "Opening hours of a phone line.")
_RANGE = Message(
    "B.hours.range",
    "{weekday} to {last_weekday}, from {time} to {until}",
    "Opening hours of a phone line, several days in a row.",
)
_DAY = Message(
    "B.hours.day", "{weekday}, from {time} to {until}", "Opening hours of a phone line on one day."
)
_WAY = "Below a phone line of the clinic: how else it is reached, by those who are deaf or cannot speak."
_CLOSED = Message(
    "B.hours.holidays", "Closed on public holidays", "Added to the opening hours of a phone line."
)
_TEXT = Message("A.line.text", "Cannot talk on the phone? Send a text message to {phone}.", f"{_WAY}")
_RELAY = Message(
    "A.line.relay",
    "Text relay: {phone}",
    f"{_WAY} Text relay: a service in which an operator reads aloud what is typed.",
)
_EMAIL = Message(
    "A.line.email", "Or write to {email}. An answer may take hours.", f"{_WAY} {{email}}: an e-mail address."
)
MESSAGES = (_ALWAYS, _RANGE, _DAY, _CLOSED, _TEXT, _RELAY, _EMAIL)


@dataclass(frozen=True, slots=True)
class LineView:
    """A phone line as printed; `ways`: how else it is reached, by those who cannot hear or speak on the phone."""

    shown: str
    dial: str
    hours: tuple[str, ...]
    ways: tuple[Markup, ...]


def bar_index(unit: Unit) -> int:
    """Which line stands in the bar where nobody knows the hour: one that always answers, else the unit's first."""
    always = (index for index, line in enumerate(unit.call_lines) if line.on_closed_days and _is_always(line))
    return next(always, 0)


def _is_always(line: Line) -> bool:
    return any(len(hours.weekdays) == 7 and (hours.since, hours.until) == (0, 1440) for hours in line.hours)


def lines_of(unit: Unit, speaker: Speaker) -> Iterator[LineView]:
    """The unit's lines, in the unit's order."""
    for line in unit.call_lines:
        yield LineView(line.shown, line.dial, tuple(_hours_text(line, speaker)), tuple(_ways(line, speaker)))


def _ways(line: Line, speaker: Speaker) -> Iterator[Markup]:
    if line.text:
        yield speaker.markup(_TEXT, phone=line.text)
    if line.relay:
        yield speaker.markup(_RELAY, phone=line.relay)
    if line.email:
        yield speaker.markup(_EMAIL, email=line.email)


def _hours_text(line: Line, speaker: Speaker) -> Iterator[str]:
    if _is_always(line):
        yield speaker.plain(_ALWAYS)
    else:
        for hours in line.hours:
            yield _stretch(hours, speaker)
    if not line.on_closed_days:
        yield speaker.plain(_CLOSED)


def _stretch(hours: OpenHours, speaker: Speaker) -> str:
    days = sorted(hours.weekdays)
    times = {"time": _clock(hours.since), "until": _clock(hours.until)}
    if len(days) == 1:
        return speaker.plain(_DAY, weekday=weekday_text(speaker, days[0]), **times)
    return speaker.plain(
        _RANGE, weekday=weekday_text(speaker, days[0]), last_weekday=weekday_text(speaker, days[-1]), **times
    )


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02}:{minutes % 60:02}"
