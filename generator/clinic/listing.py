"""Listing: how this unit writes its booking lists: columns, codes, date order, hours, warning words."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from generator.clinic.fields import Fields

DATE_ORDERS = ("day-first", "month-first", "year-first")
COLUMNS = ("ref", "date", "time", "arrival", "procedure", "protocol", "language", "travel", "remarks")
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True, slots=True)
class Listing:
    """How a unit's booking lists are written.

    Attributes:
        date_order: how all-numeric dates are meant; None: nothing is guessed.
        columns: our name of a column -> the unit's heading.
        names: headings of columns with people's names: looked at for damage, never kept.
        procedures: texts (compared without case) that mean a colonoscopy is booked.
        codes: the unit's code for a preparation -> ids of protocols; the one whose slots hold the start is used.
        hints: class of medicine or circumstance -> words in remarks that hint at it.
        since, until: hours in which procedures start.
        weekdays: days of the week (Monday 0) on which lists run.
    """

    date_order: str | None
    columns: dict[str, str]
    names: tuple[str, ...]
    procedures: tuple[str, ...]
    codes: dict[str, tuple[str, ...]]
    hints: dict[str, tuple[str, ...]]
    since: dt.time
    until: dt.time
    weekdays: frozenset[int]


def listing_from(fields: Fields) -> Listing:
    """A Listing from the [list] table of unit.toml."""
    columns = fields.table("columns", required=False)
    named = {name: columns.text(name) for name in COLUMNS if columns.has(name)}
    names = columns.texts("names", [])
    columns.close()
    listing = Listing(
        date_order=fields.choice("date_order", DATE_ORDERS) if fields.has("date_order") else None,
        columns=named,
        names=names,
        procedures=tuple(text.casefold() for text in fields.texts("procedures", ["colonoscopy"])),
        codes=_lists(fields.table("codes", required=False)),
        hints=_lists(fields.table("hints", required=False)),
        since=fields.clock("starts_since", "07:00"),
        until=fields.clock("starts_until", "19:00"),
        weekdays=frozenset(WEEKDAYS.index(day) for day in _days_of(fields)),
    )
    fields.close()
    return listing


def _lists(fields: Fields) -> dict[str, tuple[str, ...]]:
    return {key: fields.texts(key) for key in fields.keys()}


def _days_of(fields: Fields) -> tuple[str, ...]:
    days = fields.texts("weekdays", ["mon", "tue", "wed", "thu", "fri"])
    wrong = [day for day in days if day not in WEEKDAYS]
    if wrong:
        fields.refuse(
            "value-invalid", "weekdays", f"“{wrong[0]}” is not a day.", f"Use: {', '.join(WEEKDAYS)}."
        )
    return tuple(day for day in days if day in WEEKDAYS)
