"""Spans: which days a plan would reach into, from its protocol's rows alone; no timetable is solved here."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from generator.clinic.protocol import Protocol
from generator.clinic.rows import Anchor, Row, WallClock
from generator.clinic.unit import Unit
from generator.finding import Finding, warning
from generator.plan.moments import clocks_change_between, instants_of, later, start_of_day

# What a patient can still do at any moment of its window, so that it is late only when the window has closed.
_ERRANDS = frozenset({"instruction", "collect", "call", "confirm"})


@dataclass(frozen=True, slots=True)
class Reach:
    """The earliest and the latest moment at which a row could start, by its own time alone."""

    earliest: dt.datetime
    latest: dt.datetime


@dataclass(frozen=True, slots=True)
class Points:
    """The fixed moments of one appointment, zone-aware, and the unit's zone."""

    zone: str
    procedure: dt.datetime
    arrival: dt.datetime
    leaving: dt.datetime


def points_for(start: dt.datetime, arrival: dt.datetime | None, travel: int | None, unit: Unit) -> Points:
    """The fixed moments; what the list does not state comes from the unit: its lead, its travel minutes."""
    come = arrival or later(start, -unit.arrival_lead_minutes)
    minutes = travel if travel is not None else unit.travel_minutes
    return Points(unit.zone, start, come, later(come, -minutes))


def plan_findings(protocol: Protocol, points: Points, now: dt.datetime, where: str) -> list[Finding]:
    """Warnings about the days before an appointment that is still to come."""
    reaches = reaches_of(protocol, points)
    findings = []
    if any(_has_passed(row, reaches[row.id], now) for row in protocol.rows if row.id in reaches):
        findings.append(
            warning(
                "short-notice",
                where,
                "The time of the first steps of this preparation has already passed.",
                "Phone the patient, say which steps’ time has passed and what to do about them, then record the "
                "decision.",
                decision=True,
            )
        )
    bounded = [row for row in protocol.rows if row.id in reaches]
    drinks = [row for row in bounded if row.kind == "drink"] or [row for row in bounded if row.medicine]
    doses = [reaches[row.id].earliest for row in drinks]
    if doses and clocks_change_between(points.zone, min(doses), points.leaving):
        findings.append(
            warning(
                "clock-change-in-plan",
                where,
                "The clocks change between the first dose and leaving home.",
                "Tell the patient that the plan’s times already count the change, and not to reckon it again.",
            )
        )
    return findings


def reaches_of(protocol: Protocol, points: Points) -> dict[str, Reach]:
    """For each row whose time its rules bound, by row id, when it could start."""
    known = {
        name: Reach(moment, moment)
        for name, moment in (
            ("procedure", points.procedure),
            ("arrival", points.arrival),
            ("leaving", points.leaving),
        )
    }
    rows: dict[str, Reach] = {}
    lengths: dict[str, int] = {}
    for row in protocol.rows:  # a row counts only from rows above it
        reach = _reach(row, known, lengths, points)
        if reach is not None:
            known[row.id] = rows[row.id] = reach
        lengths[row.id] = row.minutes
    return rows


def _has_passed(row: Row, reach: Reach, now: dt.datetime) -> bool:
    return (reach.latest if row.kind in _ERRANDS else reach.earliest) < now


def _reach(row: Row, known: Mapping[str, Reach], lengths: Mapping[str, int], points: Points) -> Reach | None:
    """The tightest of the row's own bounds; None where nothing with a known time bounds it."""
    sinces: list[dt.datetime] = []
    untils: list[dt.datetime] = []
    if row.anchor is not None:
        sinces += _moments(row.anchor, known, points, lambda reach: reach.earliest)
        untils += _moments(row.anchor, known, points, lambda reach: reach.latest)
    for window in row.windows:
        sinces += _moments(window.since, known, points, lambda reach: reach.earliest)
        untils += _moments(window.until, known, points, lambda reach: reach.latest)
    for gap in row.gaps:
        if (reach := known.get(gap.row)) is None:
            continue
        length = lengths.get(gap.row, 0) if gap.counted_from == "end" else 0
        if gap.at_least is not None:
            sinces.append(later(reach.earliest, length + gap.at_least))
        if gap.at_most is not None:
            untils.append(later(reach.latest, length + gap.at_most))
    if not sinces and not untils:
        return None
    # With one end open the other stands for both: it is the only moment the rules name.
    return Reach(max(sinces) if sinces else min(untils), min(untils) if untils else max(sinces))


def _moments(
    anchor: Anchor | None,
    known: Mapping[str, Reach],
    points: Points,
    end_of: Callable[[Reach], dt.datetime],
) -> list[dt.datetime]:
    """The anchor's moment in a list, or an empty one for an open end or a row without bounds."""
    if anchor is None:
        return []
    if isinstance(anchor, WallClock):
        return [_wall_moment(anchor, points)]
    reach = known.get(anchor.point)
    return [later(end_of(reach), -anchor.minutes)] if reach is not None else []


def _wall_moment(anchor: WallClock, points: Points) -> dt.datetime:
    """The wall time's first moment; one that the clocks skip is counted from the start of its day."""
    day = points.procedure.date() + dt.timedelta(days=anchor.day)
    moments = instants_of(points.zone, day, anchor.at)
    if moments:
        return moments[0]
    return later(start_of_day(points.zone, day), anchor.at.hour * 60 + anchor.at.minute)
