"""Refused: what is said when no timetable can be made: which rules collide and by how much, and what would mend it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from generator.clinic.protocol import Protocol
from generator.finding import Finding, refusal
from generator.plan.moment_text import day_text, moment_text
from generator.plan.moments import in_zone
from generator.plan.network import NO_BOUND, Collision
from generator.plan.rules import NoSuchMoment
from generator.plan.soonest import Room


def collision_finding(collision: Collision, protocol: Protocol) -> Finding:
    """The rules that collide, by how many minutes, and what would mend it."""
    rules = collision.rules
    told = "; ".join(f"“{rule.row}” {rule.text} ({rule.source})" for rule in rules)
    rows = dict.fromkeys(rule.row for rule in rules)
    long = [row.id for row in protocol.rows if row.id in rows and row.glasses and row.minutes > 120]
    split = f"Split the dose “{long[0]}” over two sessions, or loosen" if long else "Loosen"
    kinds = [rule.kind for rule in rules if rule.kind != "rules-collide"]
    return refusal(
        kinds[0] if kinds else "rules-collide",
        ", ".join(rows),
        f"These rules cannot all be kept: {told}.",
        f"{split} one of them by {collision.minutes} minutes, or choose another slot or protocol.",
    )


def missed_finding(missed: tuple[str, ...], hanging: list[str]) -> Finding:
    """A dose whose time has passed, and rows ahead that would count from it: no plan is made on top of it."""
    doses, rows = (", ".join(f"“{name}”" for name in names) for names in (missed, hanging))
    return refusal(
        "dose-missed",
        ", ".join(missed),
        f"The dose {doses} cannot be taken in time any more, and {rows} would count from it.",
        "Phone the patient and ask what was taken, and when. Then plan with what was begun, or choose another "
        "slot, or a protocol for short notice.",
    )


def begun_finding(begun: Mapping[str, dt.datetime], collision: Collision, zone: str) -> Finding:
    """What was begun leaves no room for the rest."""
    done = ", ".join(f"“{row}” {moment_text(in_zone(moment, zone))}" for row, moment in begun.items())
    told = "; ".join(f"“{rule.row}” {rule.text}" for rule in collision.rules)
    return refusal(
        "begun-against-rules",
        ", ".join(begun),
        f"Begun: {done}. From there the rest of the plan is not possible: {told}.",
        "No times are given. A nurse speaks with the patient, and the unit decides what happens now.",
    )


def open_row_findings(room: Room) -> list[Finding]:
    """Rows for which nothing states how early or how late they may start."""
    network, closure = room.ways[0]
    return [
        refusal(
            "window-open",
            leader,
            f"Nothing says how {'early' if earliest < -NO_BOUND // 2 else 'late'} “{leader}” may start.",
            "Give the row a window with two ends.",
        )
        for leader in network.leaders
        for earliest, latest in [closure.window(leader)]
        if earliest < -NO_BOUND // 2 or latest > NO_BOUND // 2
    ]


def too_wide_finding(rows: tuple[str, ...]) -> Finding:
    """Rows whose windows leave more choices than can be compared."""
    return refusal(
        "windows-too-wide",
        ", ".join(rows),
        "The windows of these rows leave too many choices to compare.",
        "Narrow the windows, or say with “after” how the rows follow each other.",
    )


def clock_change_finding(no: NoSuchMoment) -> Finding:
    """A row at a wall-clock time that does not exist, or exists twice, on its day."""
    if no.readings:
        readings = " or ".join(f"{reading:%H:%M%z}" for reading in no.readings)
        problem = f"{no.at:%H:%M} occurs twice on {day_text(no.day)} ({readings})."
    else:
        problem = f"{no.at:%H:%M} does not exist on {day_text(no.day)}: the clocks go forward."
    return refusal(
        "clock-change-at-row",
        no.row,
        problem,
        "Plan this booking with a protocol that states another time, or ask the clinical lead.",
    )
