"""Turns a protocol's rows and a booking's fixed moments into hard rules: where rows stand, and bounds between them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from generator.clinic.protocol import Protocol
from generator.clinic.rows import SESSION_KINDS, Anchor, Before, Gap, Row, WallClock
from generator.plan.fixed import Fixed
from generator.plan.hourly import hour_bounds
from generator.plan.moments import epoch_minutes, instants_of
from generator.plan.network import ORIGIN, Bound, Rule
from generator.plan.soonest import Rules, Stand
from generator.plan.spoken import hours, spoken

LEAVING_SOURCE = "common practice, no source"
ORDER_SOURCE = "one drink after the other, in the order of the protocol's rows"
_BY_MOUTH = (*SESSION_KINDS, "tablets", "mix")
_AT_HOME = (*SESSION_KINDS, "mix", "enema")
_IN_TURN = (*SESSION_KINDS, "pause")  # one after the other, in the order of the rows
MIX_SOURCE = "common practice, no source: mixed before it is drunk"


class NoSuchMoment(Exception):
    """A wall-clock anchor falls on a time that does not exist, or exists twice, on that day."""

    def __init__(self, row: str, day: dt.date, at: dt.time, readings: tuple[dt.datetime, ...]) -> None:
        super().__init__(row)
        self.row, self.day, self.at, self.readings = row, day, at, readings


def rules_for(protocol: Protocol, fixed: Fixed) -> Rules:
    """The hard rules of one booking.

    Raises:
        NoSuchMoment: if the clocks change at a wall-clock time that the protocol states.
    """
    rows = {row.id: row for row in protocol.rows}
    bounds: list[Bound] = []
    for row in protocol.rows:
        bounds += _window_bounds(row, fixed)
        bounds += _gap_bounds(row, rows, fixed)
        bounds += _deadline_bounds(row, fixed)
        bounds += _mixture_bounds(row, rows)
    bounds += [*_cut_offs(protocol, fixed), *hour_bounds(protocol.rows)]
    stands = {row.id: _stand_of(row, fixed) for row in protocol.rows}
    follows = tuple(row.id for row in protocol.rows if follows_at_once(row))
    return Rules(stands, tuple(bounds), follows)


def resolved(row: Row, anchor: Anchor, fixed: Fixed) -> tuple[str, int]:
    """An anchor as (ORIGIN, epoch minutes) or (row id, minutes after that row's start).

    Raises:
        NoSuchMoment: if the clocks change at that wall-clock time.
    """
    if isinstance(anchor, WallClock):
        day = fixed.day + dt.timedelta(days=anchor.day)
        found = instants_of(fixed.zone, day, anchor.at)
        if len(found) != 1:
            raise NoSuchMoment(row.id, day, anchor.at, found)
        return ORIGIN, epoch_minutes(found[0])
    point = fixed.point(anchor.point)
    return (anchor.point, -anchor.minutes) if point is None else (ORIGIN, point - anchor.minutes)


def follows_at_once(row: Row) -> bool:
    """Whether a row starts as soon as it may: "at least" alone, and nothing else would choose its time."""
    if row.anchor is not None or row.windows:
        return False
    return any(gap.at_least is not None and gap.at_most in (None, gap.at_least) for gap in row.gaps)


def _stand_of(row: Row, fixed: Fixed) -> Stand | None:
    return resolved(row, row.anchor, fixed) if row.anchor is not None else None


def _gap_origin(gap: Gap, rows: dict[str, Row], fixed: Fixed) -> tuple[str, int]:
    """What a gap is counted from: (ORIGIN, epoch minutes) or (row id, minutes after its start)."""
    point = fixed.point(gap.row)
    if point is not None:
        return ORIGIN, point
    return gap.row, rows[gap.row].minutes if gap.counted_from == "end" else 0


def _window_bounds(row: Row, fixed: Fixed) -> Iterator[Bound]:
    for window in row.windows:
        if window.since is not None:
            name, minutes = resolved(row, window.since, fixed)
            rule = Rule(row.id, f"starts no earlier than {spoken(window.since)}", window.source)
            yield Bound(name, row.id, -minutes, rule)
        if window.until is not None:
            name, minutes = resolved(row, window.until, fixed)
            rule = Rule(row.id, f"starts no later than {spoken(window.until)}", window.source)
            yield Bound(row.id, name, minutes, rule)


def _gap_bounds(row: Row, rows: dict[str, Row], fixed: Fixed) -> Iterator[Bound]:
    for gap in row.gaps:
        name, since = _gap_origin(gap, rows, fixed)
        counted = f"the {gap.counted_from} of “{gap.row}”" if name != ORIGIN else f"“{gap.row}”"
        if gap.at_least is not None:
            rule = Rule(row.id, f"starts at least {hours(gap.at_least)} after {counted}", gap.source)
            yield Bound(name, row.id, -(since + gap.at_least), rule, waits=True)
        if gap.at_most is not None:
            rule = Rule(row.id, f"starts at most {hours(gap.at_most)} after {counted}", gap.source)
            yield Bound(row.id, name, since + gap.at_most, rule)


def _deadline_bounds(row: Row, fixed: Fixed) -> Iterator[Bound]:
    for deadline in row.deadlines:
        name, minutes = resolved(row, deadline.anchor, fixed)
        rule = Rule(row.id, f"has ended by {spoken(deadline.anchor)}", deadline.source)
        yield Bound(row.id, name, minutes - row.minutes, rule, deadline=True)


def _mixture_bounds(row: Row, rows: dict[str, Row]) -> Iterator[Bound]:
    """A mixture is ready, and has stood as long as it must, before the drink; the drink ends while it still keeps."""
    for name in drinks_of(row, rows):
        stood = f"and has stood {row.wait_minutes} min " if row.wait_minutes else ""
        rule = Rule(row.id, f"is mixed {stood}before “{name}”", row.source if stood else MIX_SOURCE)
        yield Bound(row.id, name, -row.minutes, rule, waits=True)
        if row.keeps_minutes is not None:
            rule = Rule(
                row.id, f"keeps {hours(row.keeps_minutes)}, and “{name}” has ended by then", row.source
            )
            yield Bound(name, row.id, row.keeps_minutes - rows[name].minutes, rule)


def drinks_of(row: Row, rows: dict[str, Row]) -> tuple[str, ...]:
    """The drinks that a mix row is for: those it names, or the one that it stands before."""
    if row.kind != "mix" or row.serves:
        return row.serves
    name = row.anchor.point if isinstance(row.anchor, Before) else ""
    return (name,) if name in rows and rows[name].glasses else ()


def _cut_offs(protocol: Protocol, fixed: Fixed) -> Iterator[Bound]:
    """The engine's own rules: nothing by mouth outlasts "nothing more", nothing is left for the road, one at a time."""
    stops = [row for row in protocol.rows if row.kind == "stop-drinking"]
    before: Row | None = None
    for row in protocol.rows:
        for stop in stops if row.kind in _BY_MOUTH else ():
            rule = Rule(row.id, f"has ended by “{stop.id}”", stop.source)
            yield Bound(row.id, stop.id, -row.minutes, rule, deadline=True)
        if row.kind in _AT_HOME:
            rule = Rule(row.id, "has ended by leaving home", LEAVING_SOURCE)
            yield Bound(row.id, ORIGIN, fixed.leaving - row.minutes, rule)
        if row.kind in _IN_TURN:
            if before is not None:
                rule = Rule(row.id, f"starts when “{before.id}” has ended", ORDER_SOURCE)
                yield Bound(before.id, row.id, -before.minutes, rule, waits=True)
            before = row
