"""Judges a timetable by the rules of templates/unit/PROTOCOLS.md, from the rows as the file has them.

It shares no line with the software. Left out: sedation, usual times, checks that settle, closed days, steps that are
not rows, and what can still be done at the moment the plan is made, which only a search can tell.
"""

from __future__ import annotations

import datetime as dt
import itertools
import zoneinfo
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

Row = dict[str, Any]
Times = dict[str, dt.datetime]

IN_TURN = ("drink", "extra-fluid", "pause")
BY_STOP = ("drink", "extra-fluid", "tablets", "mix")
TO_DO = ("drink", "extra-fluid", "tablets", "enema", "mix")
BY_LEAVING = ("drink", "extra-fluid", "mix", "enema")
HOUR = dt.timedelta(hours=1)
MINUTE = dt.timedelta(minutes=1)
EVER = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)


class NoSingleMoment(ValueError):
    """A stated wall time that the zone's clocks show never, or twice, on that day."""


@dataclass(frozen=True)
class Fixed:
    """What the booking settles."""

    procedure: dt.datetime
    arrival: dt.datetime
    leaving: dt.datetime
    zone: str

    def times(self) -> Times:
        """The fixed moments in UTC, so that all arithmetic is of elapsed time."""
        named = {"procedure": self.procedure, "arrival": self.arrival, "leaving": self.leaving}
        return {name: moment.astimezone(dt.UTC) for name, moment in named.items()}


def broken_rules(rows: list[Row], starts: Times, fixed: Fixed, now: dt.datetime | None = None) -> list[str]:
    """Every hard rule these starts break, by row and rule; none where they are right.

    `now`: when the plan was made, if late. Rows without a start are not judged, so that a search can stop early;
    yet their hourly maximum holds.
    """
    times = fixed.times() | {row: start.astimezone(dt.UTC) for row, start in starts.items()}
    known = [row for row in rows if row["id"] in times]
    broken = [f"{row['id']}: {rule}" for row in known for rule in _own(row, rows, times, fixed, now)]
    return broken + list(_together(known, times, hourly_maximum(rows))) + list(_mixtures(known, times))


def moment(stated: Row, times: Times, fixed: Fixed) -> dt.datetime:
    """A stated moment in UTC: wall clock, or elapsed hours before another moment."""
    if "at" not in stated:
        return times[stated["before"]] - dt.timedelta(hours=stated["hours"])
    zone = zoneinfo.ZoneInfo(fixed.zone)
    day = fixed.procedure.astimezone(zone).date() + dt.timedelta(days=stated.get("day", 0))
    wall = dt.datetime.combine(day, dt.time.fromisoformat(stated["at"]))
    shown = {wall.replace(tzinfo=zone, fold=fold).astimezone(dt.UTC) for fold in (0, 1)}
    found = [one for one in shown if one.astimezone(zone).replace(tzinfo=None) == wall]
    if len(found) != 1:
        raise NoSingleMoment(f"{wall} in {fixed.zone}")
    return found[0]


def glasses(row: Row, start: dt.datetime) -> list[tuple[dt.datetime, int]]:
    """When each glass begins, and how much it holds; the last of a stated total holds what is left."""
    if row["kind"] not in ("drink", "extra-fluid"):
        return []
    total = row["total_ml"] if "total_ml" in row else row["glasses"] * row["ml"]
    pace = dt.timedelta(minutes=row["minutes"])
    return [
        (start + index * pace, min(row["ml"], total - done))
        for index, done in enumerate(range(0, total, row["ml"]))
    ]


def length(row: Row) -> dt.timedelta:
    """How long a row takes: its glasses, the last one drunk too, or its minutes; a mixture's waiting counts."""
    count = len(glasses(row, EVER)) or 1
    return dt.timedelta(minutes=count * row.get("minutes", 0) + row.get("wait_minutes", 0))


def end(row: Row, times: Times) -> dt.datetime:
    """When a row has ended."""
    return times[row["id"]] + length(row)


def listed(found: Any) -> list[Row]:
    """One table, or a list of them, or none."""
    return found if isinstance(found, list) else [found] if found else []


def spans(row: Row) -> list[tuple[Row | None, Row | None]]:
    """The windows of a row, each from and until."""
    plain = [tuple(row["window"])] if "window" in row else []
    return plain + [(span.get("since"), span.get("until")) for span in row.get("windows", [])]


def gaps(row: Row, rows: list[Row], times: Times) -> Iterator[tuple[dt.datetime, Row]]:
    """Each `after` of a row with the moment it is counted from."""
    above = {one["id"]: one for one in rows}
    for gap in listed(row.get("after")):
        whole = gap["row"] in above and gap.get("counted_from", "end") == "end"
        yield (end(above[gap["row"]], times) if whole else times[gap["row"]]), gap


def has_room(gap: Row) -> bool:
    """Whether a gap leaves a choice, so that without a window it does not mean: as soon as it may."""
    return gap.get("at_most") not in (None, gap.get("at_least"))


def is_free(row: Row) -> bool:
    """Whether there is a choice: a window, or gaps with room. Else the row is at a moment or as soon as it may."""
    after = [] if "at" in row or "before" in row else listed(row.get("after"))
    return bool(spans(row)) or (bool(after) and all(map(has_room, after)))


def drinks_of(mix: Row, rows: list[Row]) -> list[Row]:
    """The drinks that a mixture is for."""
    named = mix.get("for") or [mix.get("before")]
    return [row for row in rows if row["id"] in named and row["kind"] in ("drink", "extra-fluid")]


def soonest(row: Row, rows: list[Row], times: Times, now: dt.datetime | None = None) -> list[dt.datetime]:
    """As soon as the row may: its gaps, the row above it, its mixture and the hourly maximum let it.

    In a plan made late, what there is to do comes not before now (and then on the grid) where that still goes: so
    there may be two moments. A pause whose time has passed has passed.
    """
    above = rows[: rows.index(row)]
    bounds: list[dt.datetime] = [base + HOUR * gap.get("at_least", 0) for base, gap in gaps(row, rows, times)]
    if row["kind"] in IN_TURN:
        bounds += [end(one, times) for one in above if one["kind"] in IN_TURN]
    for mix in rows:  # a mixture that stands `before` this very row moves along with it
        tied = mix.get("before") == row["id"]
        if mix["kind"] == "mix" and row in drinks_of(mix, rows) and not tied and mix["id"] in times:
            bounds.append(end(mix, times))
    firsts = [max(bounds)]
    if now is not None and firsts[0] < now and row["kind"] in TO_DO:
        firsts.append(now + -(now - EVER) % (5 * MINUTE))
    return [_within_the_hour(row, above, times, first, hourly_maximum(rows)) for first in firsts]


def _within_the_hour(
    row: Row, above: list[Row], times: Times, first: dt.datetime, most: float
) -> dt.datetime:
    later = (first + minute * MINUTE for minute in range(61))  # after an hour no glass above counts any more
    return next((t for t in later if not _too_fast([*above, row], times | {row["id"]: t}, most)), first)


def hourly_maximum(rows: list[Row]) -> float:
    """The smallest hourly maximum of any row."""
    return min((row["most_ml_per_hour"] for row in rows if "most_ml_per_hour" in row), default=float("inf"))


def _too_fast(rows: list[Row], times: Times, most: float) -> bool:
    poured = [glass for row in rows for glass in glasses(row, times[row["id"]])]
    return any(sum(ml for other, ml in poured if begun <= other < begun + HOUR) > most for begun, _ in poured)


def _own(row: Row, rows: list[Row], times: Times, fixed: Fixed, now: dt.datetime | None) -> Iterator[str]:
    """The rules a row states for itself."""
    start, after = times[row["id"]], list(gaps(row, rows, times))
    stated = "at" in row or "before" in row
    if stated and start != moment(row, times, fixed):
        yield "not at its moment"
    for since, until in spans(row):
        if since and start < moment(since, times, fixed):
            yield "before its window"
        if until and start > moment(until, times, fixed):
            yield "after its window"
    for base, gap in after:
        if start < base + HOUR * gap.get("at_least", 0):
            yield f"too soon after {gap['row']}"
        if "at_most" in gap and start > base + HOUR * gap["at_most"]:
            yield f"too long after {gap['row']}"
    if after and not stated and not is_free(row) and start not in soonest(row, rows, times, now):
        yield "not as soon as it may"
    wall = start.astimezone(zoneinfo.ZoneInfo(fixed.zone))
    if is_free(row) and (wall.minute % 5 or wall.second or wall.microsecond):
        yield "off the five-minute grid"
    if any(end(row, times) > moment(limit, times, fixed) for limit in listed(row.get("end_by"))):
        yield "not ended in time"


def _together(rows: list[Row], times: Times, most: float) -> Iterator[str]:
    """The rules the software adds between rows: end of drinking, leaving, turns, hourly maximum."""
    for stop in (row for row in rows if row["kind"] == "stop-drinking"):
        for row in rows:
            if row["kind"] in BY_STOP and end(row, times) > times[stop["id"]]:
                yield f"{row['id']}: not ended when drinking stops"
    for row in rows:
        if row.get("at_unit"):
            if times[row["id"]] < times["arrival"]:
                yield f"{row['id']}: before arrival at the unit"
        elif row["kind"] in BY_LEAVING and end(row, times) > times["leaving"]:
            yield f"{row['id']}: not ended when leaving home"
    turns = [row for row in rows if row["kind"] in IN_TURN]
    for one, two in itertools.pairwise(turns):
        if times[two["id"]] < end(one, times):
            yield f"{two['id']}: before {one['id']} has ended"
    if _too_fast(rows, times, most):
        yield "more in an hour than the smallest maximum"


def _mixtures(rows: list[Row], times: Times) -> Iterator[str]:
    """A mixture is ready before each of its drinks, and keeps, from the start of mixing, until the drink's end."""
    for mix in (row for row in rows if row["kind"] == "mix"):
        for drink in drinks_of(mix, rows):
            if times[drink["id"]] < end(mix, times):
                yield f"{mix['id']}: not ready for {drink['id']}"
            if "keeps_hours" in mix and end(drink, times) > times[mix["id"]] + HOUR * mix["keeps_hours"]:
                yield f"{mix['id']}: no longer keeps for {drink['id']}"
