"""Readings: a written time of day or travel time becomes a value, and every liberty taken is told."""

from __future__ import annotations

import datetime as dt
import math
import re

from generator.finding import Finding, note, refusal, warning
from generator.intake.days import formula_finding
from generator.intake.tables import Cell

TYPE_A_TIME = "Type the time with hours and minutes, such as 09:30 or 14:15."
_PLAIN = re.compile(r"[0-9]{2}:[0-9]{2}")
_TAIL = r"(?: ?(?P<half>[ap])\.?m\.?| ?(?:uhr|hours|hrs|h|o[’']clock))?"
_CLOCKS = (
    re.compile(r"(?P<hour>[0-9]{1,2})[:.h](?P<minute>[0-9]{2})(?::(?P<second>[0-9]{2}))?" + _TAIL),
    re.compile(r"(?P<hour>[0-9]{1,2})(?P<minute>[0-9]{2})" + _TAIL),
    # An hour alone is a time only with a word that says so.
    re.compile(r"(?P<hour>[0-9]{1,2})(?=[^0-9])" + _TAIL),
)
_WORD = re.compile(r"[^\W\d_]{2}")
_BETWEEN = re.compile(r"[0-9][0-9:.]* ?[-–—] ?[0-9][0-9:.]*")
_FRACTION = re.compile(r"0?[.,][0-9]+|[0-9]+[.,][0-9]{3,}")

_HOURS = r"(?:h|hrs?|hours?|std|stdn?|stunden?|heures?|horas?|ore|uur|timmar|timer)"
_MINUTES = r"(?:m|mins?|minutes?|minuten|minutos?|minuti|minuter|min)"
_TRAVELS = (
    re.compile(
        rf"(?P<hours>[0-9]{{1,2}}) ?{_HOURS}\.? ?(?:and |und )?"
        rf"(?P<minutes>[0-9]{{1,2}}) ?(?:{_MINUTES})?(?!\w)"
    ),
    re.compile(rf"(?P<hours>[0-9]{{1,2}}(?:[.,][0-9]{{1,4}})?) ?{_HOURS}(?!\w)"),
    re.compile(rf"(?P<minutes>[0-9]{{1,4}}) ?(?:{_MINUTES}(?!\w)|['′])"),
)
_NUMBER = re.compile(r"[0-9]{1,4}(?:[.,][0-9]{1,4})?")
_HEADED_HOURS = re.compile(rf"(?<!\w){_HOURS}(?!\w)")
_HEADED_MINUTES = re.compile(rf"(?<!\w){_MINUTES}(?!\w)")
_LONGEST_TRAVEL = 720  # minutes; the most that a unit's file may state
_PERHAPS_HOURS = 5  # a bare number below this may well be hours


def time_from(cell: Cell) -> tuple[dt.time | None, list[Finding]]:
    """The time of day a cell states, and what must be known about it; an empty cell gives neither."""
    if cell.empty:
        return None, []
    if cell.text.startswith("="):
        return None, [formula_finding(cell, TYPE_A_TIME)]
    text = cell.text.casefold()
    found = next((match for pattern in _CLOCKS if (match := pattern.fullmatch(text))), None)
    if found is None:
        return None, [_no_clock(cell)]
    named = found.groupdict()
    hour, minute = _hour(int(named["hour"]), named["half"]), int(named.get("minute") or 0)
    second = int(named.get("second") or 0)
    if hour is None or hour > 23 or minute > 59 or second > 59:
        return None, [_no_such_time(cell, midnight=hour == 24 and minute == 0)]
    at = dt.time(hour, minute)
    if second:
        return at, [
            note(
                "rounded-to-minute",
                cell.where,
                f"{cell.quoted} has seconds; it was read as {at:%H:%M}.",
                "Check the time.",
            )
        ]
    if not _PLAIN.fullmatch(cell.text):
        return at, [
            note(
                "time-normalised",
                cell.where,
                f"{cell.quoted} was read as {at:%H:%M}.",
                "Nothing needs doing if that is the time meant.",
            )
        ]
    return at, []


def _hour(hour: int, half: str | None) -> int | None:
    """The hour of 24; None where the half of the day contradicts it."""
    if half is None:
        return hour
    if 1 <= hour <= 12:
        return hour % 12 + (12 if half == "p" else 0)
    return hour if half == "p" and 13 <= hour <= 23 else None


def _no_clock(cell: Cell) -> Finding:
    if _WORD.search(cell.text) or _BETWEEN.fullmatch(cell.text) or cell.text.casefold() in ("a.m.", "p.m."):
        return refusal(
            "time-band-only",
            cell.where,
            f"{cell.quoted} says about when, not at what time.",
            f"Find out the exact time. {TYPE_A_TIME}",
        )
    if set(cell.text) == {"#"}:
        return refusal(
            "time-invalid",
            cell.where,
            "The column was too narrow when the list was saved: only number signs are left.",
            "Widen the column, save the list again and read it, or type the time.",
        )
    if _FRACTION.fullmatch(cell.text):
        return refusal(
            "time-invalid",
            cell.where,
            f"{cell.quoted} is a fraction, perhaps what a spreadsheet keeps in place of a time.",
            TYPE_A_TIME,
        )
    return refusal("time-invalid", cell.where, f"{cell.quoted} is not understood as a time.", TYPE_A_TIME)


def _no_such_time(cell: Cell, *, midnight: bool) -> Finding:
    remedy = "If midnight is meant, type 00:00 and the day that begins then." if midnight else TYPE_A_TIME
    return refusal("time-invalid", cell.where, f"{cell.quoted} is not a time of the day.", remedy)


def travel_from(cell: Cell) -> tuple[int | None, list[Finding]]:
    """Minutes of travel, rounded up, and a warning when the text states none; an empty cell gives neither."""
    if cell.empty:
        return None, []
    text = cell.text.casefold()
    minutes = _bare_minutes(text, cell.heading.casefold())
    if minutes is None:
        minutes = _named_minutes(text)
    if minutes is not None and 0 < minutes <= _LONGEST_TRAVEL:
        return minutes, []
    return None, [
        warning(
            "travel-unclear",
            cell.where,
            f"{cell.quoted} does not say how long the way takes.",
            "Type the minutes as a number, such as 45; until then the unit’s usual travel time is used.",
        )
    ]


def _bare_minutes(text: str, heading: str) -> int | None:
    """Minutes of a number that stands alone; hours if the heading says so; None where it could be either."""
    if not _NUMBER.fullmatch(text):
        return None
    if _HEADED_HOURS.search(heading):
        return _minutes_of_hours(text)
    if not text.isdecimal() or (int(text) < _PERHAPS_HOURS and not _HEADED_MINUTES.search(heading)):
        return None
    return int(text)


def _named_minutes(text: str) -> int | None:
    """Minutes where the text holds exactly one duration and no other figure; a pick-up hour is none."""
    for pattern in _TRAVELS:
        found = pattern.search(text)
        if found is None:
            continue
        rest = text[: found.start()] + text[found.end() :]
        if any(letter.isdigit() for letter in rest):
            return None
        named = found.groupdict()
        return _minutes_of_hours(named.get("hours") or "0") + int(named.get("minutes") or 0)
    return None


def _minutes_of_hours(text: str) -> int:
    # Rounded before it is rounded up: 1.1 hours are 66 minutes, not 67.
    return math.ceil(round(float(text.replace(",", ".")) * 60, 6))
