"""Turns a protocol's rows and a booking's fixed moments into hard rules: where rows stand, and bounds between them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from generator.clinic.protocol import Protocol
from generator.clinic.rows import HOME_KINDS, SESSION_KINDS, Anchor, Before, Row, WallClock
from generator.plan.fixed import Fixed
from generator.plan.hourly import hour_bounds
from generator.plan.moments import epoch_minutes, instants_of
from generator.plan.network import ORIGIN, Bound, Rule
from generator.plan.soonest import Rules, Stand
from generator.plan.spoken import hours, spoken

LEAVING_SOURCE = "common practice, no source"
ORDER_SOURCE = "one drink after the other, in the order of the protocol's rows"
_BY_MOUTH = (*SESSION_KINDS, "tablets", "mix")
_IN_TURN = (*SESSION_KINDS, "pause")  # one after the other, in the order of the rows
MIX_SOURCE = "common practice, no source: mixed before it is drunk"
Rows = Mapping[str, Row]


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
    bounds = tuple([stated.on(fixed) for stated in _stated_by(protocol)])
    stands = {row.id: _stand_of(row, fixed) for row in protocol.rows}
    return Rules(stands, bounds, _followers(protocol))


class _Stated(NamedTuple):
    """A bound before it is known when the booking is: `anchor` is the moment that its ORIGIN stands for."""

    bound: Bound
    anchor: Anchor | None = None

    def on(self, fixed: Fixed) -> Bound:
        """The bound of one booking."""
        if self.anchor is None:
            return self.bound
        later, earlier, most, rule, *kind = self.bound
        _, moment = resolved(rule.row, self.anchor, fixed)
        return Bound(later, earlier, most + (moment if earlier == ORIGIN else -moment), rule, *kind)


@lru_cache(maxsize=128)  # the protocols of a unit, as its patients' factors change them
def _followers(protocol: Protocol) -> tuple[str, ...]:
    return tuple(row.id for row in protocol.rows if follows_at_once(row))


@lru_cache(maxsize=128)
def _stated_by(protocol: Protocol) -> tuple[_Stated, ...]:
    """What a protocol states for every booking."""
    rows = {row.id: row for row in protocol.rows}
    stated: list[_Stated] = []
    for row in protocol.rows:
        stated += _window_bounds(row, rows)
        stated += _gap_bounds(row, rows)
        stated += _deadline_bounds(row, rows)
        stated += _mixture_bounds(row, rows)
    return (*stated, *_cut_offs(rows), *(_Stated(bound) for bound in hour_bounds(protocol.rows)))


def _no_earlier(anchor: Anchor, rows: Rows, rule: Rule, waits: bool = False) -> _Stated:
    """The rule's row starts at the anchor or later."""
    if isinstance(anchor, Before) and anchor.point in rows:
        return _Stated(Bound(anchor.point, rule.row, anchor.minutes, rule, waits=waits))
    return _Stated(Bound(ORIGIN, rule.row, 0, rule, waits=waits), anchor)


def _no_later(anchor: Anchor, rows: Rows, rule: Rule, deadline: bool = False, waits: bool = False) -> _Stated:
    """The rule's row starts at the anchor or earlier; a deadline: it has ended by then."""
    length = rows[rule.row].minutes if deadline else 0
    if isinstance(anchor, Before) and anchor.point in rows:
        return _Stated(Bound(rule.row, anchor.point, -anchor.minutes - length, rule, deadline, waits))
    return _Stated(Bound(rule.row, ORIGIN, -length, rule, deadline, waits), anchor)


def resolved(row: str, anchor: Anchor, fixed: Fixed) -> tuple[str, int]:
    """A row's anchor as (ORIGIN, epoch minutes) or (row id, minutes after that row's start).

    Raises:
        NoSuchMoment: if the clocks change at that wall-clock time.
    """
    if isinstance(anchor, WallClock):
        day = fixed.day + dt.timedelta(days=anchor.day)
        found = instants_of(fixed.zone, day, anchor.at)
        if len(found) != 1:
            raise NoSuchMoment(row, day, anchor.at, found)
        return ORIGIN, epoch_minutes(found[0])
    point = fixed.point(anchor.point)
    return (anchor.point, -anchor.minutes) if point is None else (ORIGIN, point - anchor.minutes)


def follows_at_once(row: Row) -> bool:
    """Whether a row starts as soon as it may: "at least" alone, and nothing else would choose its time."""
    if row.anchor is not None or row.windows:
        return False
    return any(gap.at_least is not None and gap.at_most in (None, gap.at_least) for gap in row.gaps)


def _stand_of(row: Row, fixed: Fixed) -> Stand | None:
    return resolved(row.id, row.anchor, fixed) if row.anchor is not None else None


def _window_bounds(row: Row, rows: Rows) -> Iterator[_Stated]:
    for window in row.windows:
        if window.since is not None:
            rule = Rule(row.id, f"starts no earlier than {spoken(window.since)}", window.source)
            yield _no_earlier(window.since, rows, rule)
        if window.until is not None:
            rule = Rule(row.id, f"starts no later than {spoken(window.until)}", window.source)
            yield _no_later(window.until, rows, rule)


def _gap_bounds(row: Row, rows: Rows) -> Iterator[_Stated]:
    for gap in row.gaps:
        other = rows.get(gap.row)
        counted = f"the {gap.counted_from} of “{gap.row}”" if other else f"“{gap.row}”"
        since = other.minutes if other and gap.counted_from == "end" else 0
        if gap.at_least is not None:
            rule = Rule(row.id, f"starts at least {hours(gap.at_least)} after {counted}", gap.source)
            yield _no_earlier(Before(gap.row, -since - gap.at_least), rows, rule, waits=True)
        if gap.at_most is not None:
            rule = Rule(row.id, f"starts at most {hours(gap.at_most)} after {counted}", gap.source)
            yield _no_later(Before(gap.row, -since - gap.at_most), rows, rule)


def _deadline_bounds(row: Row, rows: Rows) -> Iterator[_Stated]:
    for deadline in row.deadlines:
        rule = Rule(row.id, f"has ended by {spoken(deadline.anchor)}", deadline.source)
        yield _no_later(deadline.anchor, rows, rule, deadline=True)


def _mixture_bounds(row: Row, rows: Rows) -> Iterator[_Stated]:
    """A mixture is ready, and has stood as long as it must, before the drink; the drink ends while it still keeps."""
    for name in drinks_of(row, rows):
        stood = f"and has stood {row.wait_minutes} min " if row.wait_minutes else ""
        rule = Rule(row.id, f"is mixed {stood}before “{name}”", row.source if stood else MIX_SOURCE)
        yield _no_later(Before(name, row.minutes), rows, rule, waits=True)
        if row.keeps_minutes is not None:
            rule = Rule(
                row.id, f"keeps {hours(row.keeps_minutes)}, and “{name}” has ended by then", row.source
            )
            yield _no_earlier(Before(name, row.keeps_minutes - rows[name].minutes), rows, rule)


def drinks_of(row: Row, rows: Rows) -> tuple[str, ...]:
    """The drinks that a mix row is for: those it names, or the one that it stands before."""
    if row.kind != "mix" or row.serves:
        return row.serves
    name = row.anchor.point if isinstance(row.anchor, Before) else ""
    return (name,) if name in rows and rows[name].glasses else ()


def _cut_offs(rows: Rows) -> Iterator[_Stated]:
    """The engine's own rules: nothing by mouth outlasts "nothing more", nothing is left for the road, one at a time."""
    stops = [row for row in rows.values() if row.kind == "stop-drinking"]
    before: Row | None = None
    for row in rows.values():
        for stop in stops if row.kind in _BY_MOUTH else ():
            rule = Rule(row.id, f"has ended by “{stop.id}”", stop.source)
            yield _no_later(Before(stop.id, 0), rows, rule, deadline=True)
        if row.at_unit:
            rule = Rule(row.id, "starts after arrival at the unit", row.source)
            yield _no_earlier(Before("arrival", 0), rows, rule)
        elif row.kind in HOME_KINDS:
            rule = Rule(row.id, "has ended by leaving home", LEAVING_SOURCE)
            yield _no_later(Before("leaving", row.minutes), rows, rule)
        if row.kind in _IN_TURN:
            if before is not None:
                rule = Rule(row.id, f"starts when “{before.id}” has ended", ORDER_SOURCE)
                yield _no_earlier(Before(before.id, -before.minutes), rows, rule, waits=True)
            before = row
