"""Days: a written date becomes a calendar day only when the unit's order, or proof in the list, says how."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence

from generator.clinic.listing import DATE_ORDERS, Listing
from generator.finding import Finding, refusal, warning
from generator.intake.tables import Cell, ListRow

# Positions of year, month and day for each order.
_POSITIONS = {"day-first": (2, 1, 0), "month-first": (2, 0, 1), "year-first": (0, 1, 2)}
_FORMS = {
    "day-first": "DD/MM/YYYY, such as 25/03/2026",
    "month-first": "MM/DD/YYYY, such as 03/25/2026",
    "year-first": "YYYY-MM-DD, such as 2026-03-25",
}
_NUMERIC = re.compile(r"([0-9]{1,4}) ?([/.-]) ?([0-9]{1,2}) ?\2 ?([0-9]{1,4})")
_COMPACT = re.compile(r"((?:19|20|21)[0-9]{2})([0-9]{2})([0-9]{2})")
_BARE_NUMBER = re.compile(r"[0-9]+([.,][0-9]+)?")
_YEARS = range(1900, 2200)


def day_from(cell: Cell, order: str | None) -> tuple[dt.date | None, list[Finding]]:
    """The calendar day a cell states and what must be known about it; no day when it must not be guessed.

    Args:
        order: one of DATE_ORDERS; None when the unit states none and the list needs none.
    """
    remedy = f"Type the day as {_FORMS[order or 'year-first']}."
    if cell.empty:
        return None, [refusal("date-missing", cell.where, "The row has no date.", remedy)]
    if cell.text.startswith("="):
        return None, [formula_finding(cell, remedy)]
    if compact := _COMPACT.fullmatch(cell.text):
        return _compact_day(cell, compact, remedy)
    dates = dates_by_order(cell.text)
    if "year-first" in dates and len(dates) == 1:  # four digits of year come first: one reading everywhere
        order = "year-first"
    day = dates.get(order) if order else _only(dates)
    if day is None:
        return None, _not_a_day(cell, dates, order, remedy)
    if "day-first" in dates and "year-first" in dates:
        return day, [
            warning(
                "two-digit-year",
                cell.where,
                f"{cell.quoted} has a year of two digits and was read as {day.isoformat()}.",
                "Check the day; have the list exported with years of four digits.",
            )
        ]
    return day, []


def dates_by_order(text: str) -> dict[str, dt.date | None]:
    """For each order in which the text could be meant, its day, or None where there is no such day."""
    found = _NUMERIC.fullmatch(text)
    if found is None:
        return {}
    parts = (found[1], found[3], found[4])
    first, last = len(parts[0]), len(parts[2])
    if first == 4 and last <= 2:
        orders: tuple[str, ...] = ("year-first",)
    elif first <= 2 and last == 4:
        orders = ("day-first", "month-first")
    elif first <= 2 and last == 2:
        orders = DATE_ORDERS
    else:
        return {}
    return {order: _date(*(parts[position] for position in _POSITIONS[order])) for order in orders}


def date_order_for(
    rows: Sequence[ListRow],
    needed: Sequence[ListRow],
    listing: Listing,
    file: str,
) -> tuple[str | None, Finding | None]:
    """The order of the list's dates: the unit's, or the one that a date proves; or why the file is refused.

    A date proves an order when its year has four digits and only one reading is a day. One order for the
    whole list, never a majority. `rows` may prove, `needed` are those whose dates will be used.
    """
    if listing.date_order is not None:
        return listing.date_order, None
    proofs: dict[str, list[ListRow]] = {}
    for row in rows:
        dates = dates_by_order(row.cells["date"].text)
        possible = [order for order, day in dates.items() if day]
        if len(dates) == 2 and len(possible) == 1:
            proofs.setdefault(possible[0], []).append(row)
    if len(proofs) == 1:
        return next(iter(proofs)), None
    if proofs:
        return None, _contradiction(proofs, listing, file)
    open_rows = [row for row in needed if len(_readings(dates_by_order(row.cells["date"].text))) > 1]
    return None, _undecidable(open_rows, listing, file) if open_rows else None


def formula_finding(cell: Cell, remedy: str) -> Finding:
    """The refusal of a cell that holds a formula in place of its result; it is never worked out."""
    return refusal(
        "formula-text",
        cell.where,
        f"{cell.quoted} is a spreadsheet formula; it is text here and is not worked out.",
        remedy,
    )


def _date(year: str, month: str, day: str) -> dt.date | None:
    full = int(year) + (2000 if len(year) <= 2 else 0)
    try:
        return dt.date(full, int(month), int(day)) if full in _YEARS else None
    except ValueError:
        return None


def _only(dates: dict[str, dt.date | None]) -> dt.date | None:
    days = _readings(dates)
    return days.pop() if len(days) == 1 else None


def _readings(dates: dict[str, dt.date | None]) -> set[dt.date]:
    return {day for day in dates.values() if day is not None}


def _compact_day(cell: Cell, found: re.Match[str], remedy: str) -> tuple[dt.date | None, list[Finding]]:
    day = _date(found[1], found[2], found[3])
    if day is None:
        return None, _not_a_day(cell, {}, None, remedy)
    return day, [
        warning(
            "date-compact",
            cell.where,
            f"{cell.quoted} is a date without separators and was read as {day.isoformat()}.",
            f"Check the day. {remedy}",
        )
    ]


def _not_a_day(cell: Cell, dates: dict[str, dt.date | None], order: str | None, remedy: str) -> list[Finding]:
    if _BARE_NUMBER.fullmatch(cell.text):
        problem = f"{cell.quoted} is a bare number, perhaps what a spreadsheet keeps in place of a date."
    elif set(cell.text) == {"#"}:
        problem = "The column was too narrow when the list was saved: only number signs are left of the date."
    elif dates:
        problem = f"{cell.quoted} is no day of the calendar" + (f" when read {order}." if order else ".")
    else:
        problem = f"{cell.quoted} is not understood as a date."
    findings = [refusal("date-invalid", cell.where, problem, remedy)]
    others = {other: day for other, day in dates.items() if day and other != order}
    if order and others:
        readings = ", ".join(f"{other} it would be {day.isoformat()}" for other, day in others.items())
        findings.append(
            refusal(
                "date-order-contradiction",
                cell.where,
                f"The unit’s lists are {order}, and this date is not; {readings}, which is not guessed.",
                "Look the appointment up and type its day in the unit’s order.",
            )
        )
    return findings


def _undecidable(rows: Sequence[ListRow], listing: Listing, file: str) -> Finding:
    dates = dates_by_order(rows[0].cells["date"].text)
    readings = " or ".join(f"{day.isoformat()} ({order})" for order, day in dates.items() if day)
    lines = ", ".join(str(row.line) for row in rows)
    return refusal(
        "date-order-undecidable",
        f"{file} {listing.columns['date']}",
        f"Nothing says whether day or month comes first in these dates ({len(rows)} rows, lines {lines}). "
        f"{_quoted(rows[0])} in line {rows[0].line} could be {readings}.",
        'State date_order = "day-first" or "month-first" under [list] in unit.toml, as the lists have it.',
    )


def _contradiction(proofs: dict[str, list[ListRow]], listing: Listing, file: str) -> Finding:
    told = "; ".join(
        f"{_quoted(rows[0])} can only be {order} (lines {', '.join(str(row.line) for row in rows)})"
        for order, rows in proofs.items()
    )
    return refusal(
        "date-order-undecidable",
        f"{file} {listing.columns['date']}",
        f"The dates in this list follow different orders: {told}.",
        'State date_order = "day-first" or "month-first" under [list] in unit.toml; rows that differ are '
        "then refused one by one.",
    )


def _quoted(row: ListRow) -> str:
    return row.cells["date"].quoted
