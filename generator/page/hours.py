"""The unit's lines as printed: the number and its hours in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

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
_CLOSED = Message(
    "B.hours.holidays", "Closed on public holidays", "Added to the opening hours of a phone line."
)
MESSAGES = (_ALWAYS, _RANGE, _DAY, _CLOSED)


@dataclass(frozen=True, slots=True)
class LineView:
    """A phone line as printed."""

    shown: str
    dial: str
    hours: tuple[str, ...]


def lines_of(unit: Unit, speaker: Speaker) -> Iterator[LineView]:
    """The unit's lines, in the unit's order."""
    for line in unit.call_lines:
        yield LineView(line.shown, line.dial, tuple(_hours_text(line, speaker)))


def _hours_text(line: Line, speaker: Speaker) -> Iterator[str]:
    if any(len(hours.weekdays) == 7 and (hours.since, hours.until) == (0, 1440) for hours in line.hours):
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
