"""How a language writes days and times; every moment comes in on the unit's clocks, nothing is converted here.

Limits of the parts of the day are our own and fixed, since CLDR's disagree between languages:
night 0-5, morning 5-12, afternoon 12-17, evening 17-20, late 20-24. Nights for day phrases: 21:00 to 06:00.
"""

from __future__ import annotations

import datetime as dt

from babel.dates import format_skeleton, get_day_names

from generator.words.message import Message
from generator.words.speaker import Speaker

_PHRASE_NOTE = "A time as people say it. {time12}: hour and minutes on a 12-hour clock, digits only."
NIGHT = Message("A.clock.night", "{time12} at night", f"{_PHRASE_NOTE} Used from 0:00 to 4:59.")
MORNING = Message("A.clock.morning", "{time12} in the morning", f"{_PHRASE_NOTE} Used from 5:00 to 11:59.")
MIDDAY = Message(
    "A.clock.midday", "{time12} in the middle of the day", f"{_PHRASE_NOTE} Used for 12:00 only."
)
AFTERNOON = Message(
    "A.clock.afternoon", "{time12} in the afternoon", f"{_PHRASE_NOTE} Used from 12:01 to 16:59."
)
EVENING = Message("A.clock.evening", "{time12} in the evening", f"{_PHRASE_NOTE} Used from 17:00 to 19:59.")
LATE = Message("A.clock.late", "{time12} in the evening", f"{_PHRASE_NOTE} Used from 20:00 to 23:59.")
BOTH = Message(
    "A.clock.both",
    "{time} ({spoken})",
    "A time on the 24-hour clock and as people say it, in one. Usually only the order or the "
    "brackets change.",
)
DATE = Message(
    "A.clock.date",
    "{weekday} {day_month}",
    "Weekday, then day and month. Add a comma if your language wants one.",
)
WHEN = Message(
    "A.clock.when", "{day}, {time}", "A day phrase and a time in one, for example “on Tuesday, 18:30”."
)

DATE_TIME = Message(
    "A.clock.date-time",
    "{date}, {time}",
    "A date with weekday and a time in one, for example "
    "“Tuesday 24 March, 18:30”. It may follow “until” or “from”.",
)
ALL_DAY = Message(
    "A.clock.from-day", "From this day", "In place of an hour: it holds from the day named above."
)
ON_THIS_DAY = Message(
    "A.clock.on-this-day",
    "On this day",
    "In place of an hour: it is done on the day named above, at any hour.",
)
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_SHORT = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ON_DAY = tuple(
    Message(f"A.day.on-{short}", f"on {name}", "A day phrase: something happens on this weekday.")
    for short, name in zip(_SHORT, _DAYS, strict=True)
)
IN_NIGHT = tuple(
    Message(
        f"A.day.night-{short}",
        f"in the night from {name} to {_DAYS[(index + 1) % 7]}",
        "A day phrase for 21:00 to 6:00: name both days, so that nobody is a day late.",
    )
    for index, (short, name) in enumerate(zip(_SHORT, _DAYS, strict=True))
)
MESSAGES = (
    NIGHT,
    MORNING,
    MIDDAY,
    AFTERNOON,
    EVENING,
    LATE,
    BOTH,
    DATE,
    WHEN,
    DATE_TIME,
    ALL_DAY,
    ON_THIS_DAY,
    *ON_DAY,
    *IN_NIGHT,
)


def time_text(speaker: Speaker, moment: dt.datetime, style: str) -> str:
    """The time of day: "18:30", "6:30 in the evening", or both, as `style` is "24", "12" or "both"."""
    plain = f"{moment:%H:%M}"
    if style == "24":
        return speaker.isolated(plain)
    spoken = speaker.plain(_part(moment), time12=f"{(moment.hour + 11) % 12 + 1}:{moment:%M}")
    return spoken if style == "12" else speaker.plain(BOTH, time=plain, spoken=spoken)


def _part(moment: dt.datetime) -> Message:
    if (moment.hour, moment.minute) == (12, 0):
        return MIDDAY
    if moment.hour < 5:
        return NIGHT
    if moment.hour < 12:
        return MORNING
    if moment.hour < 17:
        return AFTERNOON
    return EVENING if moment.hour < 20 else LATE


def day_phrase(speaker: Speaker, moment: dt.datetime) -> str:
    """ "on Tuesday", or from 21:00 to 06:00 "in the night from Tuesday to Wednesday"."""
    if moment.hour >= 21:
        return speaker.plain(IN_NIGHT[moment.weekday()])
    if moment.hour < 6:
        return speaker.plain(IN_NIGHT[(moment.weekday() - 1) % 7])
    return speaker.plain(ON_DAY[moment.weekday()])


def is_night(moment: dt.datetime) -> bool:
    """Whether both days must be named: 21:00 to 05:59."""
    return moment.hour >= 21 or moment.hour < 6


def when_text(speaker: Speaker, moment: dt.datetime) -> str:
    """Day phrase and 24-hour time in one: "on Tuesday, 18:30"."""
    return speaker.plain(WHEN, day=day_phrase(speaker, moment), time=f"{moment:%H:%M}")


def date_text(speaker: Speaker, day: dt.date) -> str:
    """Weekday, day and month, in the language's own order; Gregorian always."""
    return speaker.plain(
        DATE,
        weekday=weekday_text(speaker, day.weekday()),
        day_month=format_skeleton("MMMMd", day, locale=speaker.wording.locale),
    )


def date_time_text(speaker: Speaker, moment: dt.datetime) -> str:
    """Date and 24-hour time in one, to follow "until" or "from"."""
    return speaker.plain(DATE_TIME, date=date_text(speaker, moment.date()), time=f"{moment:%H:%M}")


def patterns(speaker: Speaker) -> dict[str, str | list[str]]:
    """How this language writes days and times, for the phone to fill in; Monday and January stand first.

    `when_text`, `date_text` and `date_time_text` with {day}, {weekday}, {day_month}, {date} and {time} left open;
    `months` are days of the month with {day} left open. Values keep their isolates.
    """
    time = "00:00"  # stands in for a time, whose direction goes by its letters
    locale = speaker.wording.locale
    return {
        "onDay": [speaker.plain(message) for message in ON_DAY],
        "inNight": [speaker.plain(message) for message in IN_NIGHT],
        "weekdays": [weekday_text(speaker, weekday) for weekday in range(7)],
        # The 22nd: no month's own number could be taken for it.
        "months": [
            format_skeleton("MMMMd", dt.date(2026, month, 22), locale=locale).replace("22", "{day}")
            for month in range(1, 13)
        ],
        "when": speaker.plain(WHEN, day="{day}", time=time).replace(time, "{time}"),
        "date": speaker.plain(DATE, weekday="{weekday}", day_month="{day_month}"),
        "dateTime": speaker.plain(DATE_TIME, date="{date}", time=time).replace(time, "{time}"),
    }


def weekday_text(speaker: Speaker, weekday: int) -> str:
    """The weekday's name standing by itself; Monday is 0."""
    names = get_day_names("wide", context="stand-alone", locale=speaker.wording.locale)
    return str(names[weekday])
