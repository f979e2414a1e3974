"""Unit: who runs the clinic, how to reach it, and what it assumes when a booking is silent."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.clinic.listing import WEEKDAYS, Listing, listing_from
from generator.clinic.rows import RESERVED_IDS
from generator.finding import Finding

PURPOSES = ("preparation", "illness", "interpreter", "appointment")
ANY_LANGUAGE = "*"  # in `languages`: every language that there is
CLOCK_STYLES = ("24", "both")
_OPEN = re.compile(r"(\w{3})(?:-(\w{3}))? (\d\d):(\d\d)-(\d\d):(\d\d)")


@dataclass(frozen=True, slots=True)
class OpenHours:
    """One stretch of hours on some weekdays: minutes after local midnight, `until` up to 1440."""

    weekdays: frozenset[int]
    since: int
    until: int


@dataclass(frozen=True, slots=True)
class Line:
    """A telephone line: how it is printed, how it is dialled, when it answers, and what for.

    Attributes:
        text, relay, email: how else it is reached, by those who are deaf or cannot speak; "" where it is not.
    """

    id: str
    shown: str
    dial: str
    hours: tuple[OpenHours, ...]
    on_closed_days: bool
    purposes: tuple[str, ...]
    text: str = ""
    relay: str = ""
    email: str = ""


@dataclass(frozen=True, slots=True)
class Emergency:
    """The emergency number; in a demonstration it is invented and never a link."""

    shown: str
    dial: str


@dataclass(frozen=True, slots=True)
class Night:
    """The unit's night as wall clock; the solver keeps steps out of it where rules allow."""

    since: dt.time
    until: dt.time


@dataclass(frozen=True, slots=True)
class Assessed:
    """The unit's word that everyone on its lists was assessed, by which role, until when."""

    role: str
    until: dt.date


@dataclass(frozen=True, slots=True)
class ReviewPeriod:
    """How long a review of words holds, in months: from when on it is told, and from when on it counts no more."""

    warn_months: int
    refuse_months: int


DEFAULT_PERIOD = ReviewPeriod(24, 36)  # common practice, no source


@dataclass(frozen=True, slots=True)
class VisitProcedure:
    """Another procedure that the unit does in the same visit: nothing by mouth so many minutes before its start."""

    id: str
    fasting_minutes: int
    source: str


@dataclass(frozen=True, slots=True)
class Unit:
    """Who runs the clinic. All durations in minutes; `zone` is an IANA name.

    Attributes:
        sender: its name in text messages, which others may see: one that names no examination, if it has one.
    """

    name: str
    sender: str
    place: str
    zone: str
    demonstration: bool
    base_url: str | None
    lines: tuple[Line, ...]
    emergency: Emergency
    arrival_lead_minutes: int
    travel_minutes: int
    languages: tuple[str, ...]
    clock: str
    closed_days: frozenset[dt.date]
    working_days: frozenset[int]
    night: Night
    quiet_minutes: int
    aftercare_days: int
    assessed: Assessed | None
    review_period: ReviewPeriod
    visit_procedures: tuple[VisitProcedure, ...]
    listing: Listing

    def works_on(self, day: dt.date) -> bool:
        """Whether office and pharmacies are open on that day."""
        return day.weekday() in self.working_days and day not in self.closed_days

    def is_open_on(self, day: dt.date) -> bool:
        """Whether the unit is there on that day: it works, or runs lists, and is not closed."""
        return self.works_on(day) or (day.weekday() in self.listing.weekdays and day not in self.closed_days)

    @property
    def call_lines(self) -> tuple[Line, ...]:
        """The lines for patients who prepare or feel ill: the only ones that stand on their pages."""
        return tuple(line for line in self.lines if {"preparation", "illness"} & set(line.purposes))


def unit_from(table: Mapping[str, Any], file: str) -> tuple[Unit, list[Finding]]:
    """A Unit from a parsed unit.toml, and every finding; with a refusal the Unit must not be used."""
    findings: list[Finding] = []
    fields = Fields(table, file, findings)
    night = fields.table("night", required=False)
    unit = Unit(
        name=fields.text("name"),
        sender=fields.optional_text("sender") or fields.text("name"),
        place=fields.text("place"),
        zone=fields.text("zone"),
        demonstration=fields.flag("demonstration", False),
        base_url=fields.optional_text("base_url"),
        lines=tuple(_line_from(line) for line in fields.tables("line")),
        emergency=_emergency_from(fields.table("emergency")),
        arrival_lead_minutes=fields.whole("arrival_lead_minutes", most=480),
        travel_minutes=fields.whole("travel_minutes", most=720),
        languages=fields.texts("languages"),
        clock=fields.choice("clock", CLOCK_STYLES, "24"),
        closed_days=frozenset(fields.days("closed_days")),
        working_days=frozenset(WEEKDAYS.index(day) for day in _working_days(fields)),
        night=Night(night.clock("since", "22:30"), night.clock("until", "05:30")),
        quiet_minutes=fields.whole("quiet_minutes", 60, most=480),
        aftercare_days=fields.whole("aftercare_days", 30, least=14, most=60),
        assessed=_assessed_from(fields),
        review_period=_review_period_from(fields.table("reviews", required=False)),
        visit_procedures=tuple(_visit_procedure_from(entry) for entry in fields.tables("visit_procedure")),
        listing=listing_from(fields.table("list", required=False)),
    )
    night.close()
    _check_unit(fields, unit)
    fields.close()
    return unit, findings


def _check_unit(fields: Fields, unit: Unit) -> None:
    """What every unit must have."""
    if not unit.lines:
        fields.refuse("key-missing", "line", "The unit has no telephone line.", "Add at least one [[line]].")
    if unit.lines and not unit.call_lines:
        fields.refuse(
            "value-invalid",
            "line",
            "No line is for patients who prepare or feel ill.",
            'Give one of them for = ["preparation", "illness"].',
        )
    if not unit.languages or unit.languages[0] == ANY_LANGUAGE:
        problem = "No language is named first: it is the staff's own."
        fields.refuse("value-invalid", "languages", problem, 'Write languages = ["en"], or ["en", "*"].')


def _line_from(fields: Fields) -> Line:
    line = Line(
        id=fields.identifier("id"),
        shown=fields.text("shown"),
        dial=_dial(fields),
        hours=tuple(_hours_from(fields, text) for text in fields.texts("open")),
        on_closed_days=fields.flag("on_closed_days", False),
        purposes=fields.texts("for", ["preparation", "illness"]),
        text=fields.optional_text("text") or "",
        relay=fields.optional_text("relay") or "",
        email=fields.optional_text("email") or "",
    )
    for purpose in line.purposes:
        if purpose not in PURPOSES:
            fields.refuse(
                "value-invalid",
                "for",
                f"“{purpose}” is not known for “for”.",
                f"Use one of: {', '.join(PURPOSES)}.",
            )
    fields.close()
    return line


def _dial(fields: Fields) -> str:
    number = fields.text("dial")
    if number and not re.fullmatch(r"\+?[0-9]{3,15}", number):
        fields.refuse(
            "value-invalid",
            "dial",
            "The number to dial has something other than digits.",
            'Write it as digits with the country, such as "+441632960123".',
        )
    return number


def _emergency_from(fields: Fields) -> Emergency:
    emergency = Emergency(shown=fields.text("shown"), dial=_dial(fields))
    fields.close()
    return emergency


def _working_days(fields: Fields) -> tuple[str, ...]:
    """Monday to Friday unless the unit says otherwise."""
    days = fields.choices("working_days", WEEKDAYS) or WEEKDAYS[:5]
    return tuple(day for day in days if day in WEEKDAYS)


def _visit_procedure_from(fields: Fields) -> VisitProcedure:
    other = VisitProcedure(
        fields.identifier("id"),
        fields.minutes_of_hours("nothing_by_mouth_hours", least=0),
        fields.text("source"),
    )
    if other.id in RESERVED_IDS:
        problem = f"“{other.id}” is what every plan calls something of its own."
        fields.refuse("value-invalid", "id", problem, "Give the procedure another id.")
    fields.close()
    return other


def _assessed_from(fields: Fields) -> Assessed | None:
    if not fields.has("assessed"):
        return None
    table = fields.table("assessed")
    role, until = table.text("role"), table.day("until")
    table.close()
    return Assessed(role, until) if until else None


def _review_period_from(fields: Fields) -> ReviewPeriod:
    period = ReviewPeriod(
        fields.whole("warn_months", DEFAULT_PERIOD.warn_months, least=1, most=60),
        fields.whole("refuse_months", DEFAULT_PERIOD.refuse_months, least=1, most=60),
    )
    if period.refuse_months < period.warn_months:
        problem = "Reviews would end before anybody is told."
        fields.refuse("value-invalid", "refuse_months", problem, "Make it at least as much as warn_months.")
    fields.close()
    return period


def _hours_from(fields: Fields, text: str) -> OpenHours:
    found = _OPEN.fullmatch(text)
    days = _weekdays(found[1], found[2] or found[1]) if found else frozenset()
    since, until = (
        (int(found[3]) * 60 + int(found[4]), int(found[5]) * 60 + int(found[6])) if found else (0, 0)
    )
    if not found or not days or not 0 <= since < until <= 1440:
        fields.refuse(
            "value-invalid",
            "open",
            "Opening hours are not understood.",
            'Write them as "mon-fri 08:00-17:00" or "sat 09:00-12:00"; all day is 00:00-24:00.',
        )
    return OpenHours(days, since, until)


def _weekdays(first: str, last: str) -> frozenset[int]:
    if first not in WEEKDAYS or last not in WEEKDAYS:
        return frozenset()
    start, end = WEEKDAYS.index(first), WEEKDAYS.index(last)
    return frozenset(range(start, end + 1)) if start <= end else frozenset()
