"""Held: what the present moment and what was already done ask of a plan that is made late, or made anew."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import replace

from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row
from generator.finding import Finding, warning
from generator.plan.moments import epoch_minutes, in_zone
from generator.plan.network import GRID, ORIGIN, Bound, Collision, Rule
from generator.plan.solver import AWAKE_KINDS
from generator.plan.soonest import Room, Rules, room_of
from generator.plan.spoken import day_and_clock

MISSED = "dose-missed"
_BOOKING = "this late booking"


def with_begun(
    rules: Rules, protocol: Protocol, begun: Mapping[str, dt.datetime], zone: str
) -> tuple[Rules, list[Finding]]:
    """The rules with each row that was begun at the moment at which it was: a fact, whatever its own rules say.

    A rule of its own that this breaks is told and left out; those of later rows count from what really happened.
    """
    findings = []
    for row, moment in begun.items():
        told = f"“{row}” was begun on {day_and_clock(in_zone(moment, zone))}"
        stood = rules.stands[row]
        at = epoch_minutes(moment)
        rules = rules.standing(row, at)
        broken = [bound for bound in rules.bounds if bound.rule.row == row and _is_broken(bound, rules)]
        rules = replace(rules, bounds=tuple(bound for bound in rules.bounds if bound not in broken))
        missed = [bound.rule.text for bound in broken]
        if stood is not None and stood[0] == ORIGIN and stood[1] != at:
            missed.insert(0, "it stands at another time")
        if missed:
            findings.append(
                warning(
                    "begun-against-rules",
                    row,
                    f"{told}; the plan says: {'; '.join(missed)}.",
                    "A nurse speaks with the patient and decides whether the rest of the plan holds.",
                    decision=True,
                )
            )
    return rules, [*findings, *_unknown(protocol, begun)]


def _is_broken(bound: Bound, rules: Rules) -> bool:
    """Whether a bound between two moments that are settled is not kept. A deadline still holds: the rest can wait."""
    ends = [(ORIGIN, 0) if name == ORIGIN else rules.stands[name] for name in (bound.later, bound.earlier)]
    settled = [end[1] for end in ends if end is not None and end[0] == ORIGIN]
    return len(settled) == len(ends) and not bound.deadline and settled[0] - settled[1] > bound.most


def _unknown(protocol: Protocol, begun: Mapping[str, dt.datetime]) -> list[Finding]:
    """Doses before one that was begun, of which nobody says whether they were."""
    rows = [row.id for row in doses_before(protocol, begun) if row.id not in begun]
    if not rows:
        return []
    return [
        warning(
            "begun-unknown",
            ", ".join(rows),
            f"Nothing says whether {', '.join(f'“{row}”' for row in rows)} was taken, and a later dose was begun.",
            "Ask the patient, and state when it was begun.",
            decision=True,
        )
    ]


def doses_before(protocol: Protocol, begun: Mapping[str, dt.datetime]) -> list[Row]:
    """The doses up to the last one that was begun, in the order of the file."""
    last = max((index for index, row in enumerate(protocol.rows) if row.id in begun), default=-1)
    return [row for row in protocol.rows[: last + 1] if _is_dose(row)]


def _is_dose(row: Row) -> bool:
    return row.medicine and row.kind in AWAKE_KINDS


def doses_ahead(
    room: Room, protocol: Protocol, now: dt.datetime, begun: Mapping[str, dt.datetime]
) -> Room | Collision:
    """The room with no dose in the past: one that cannot be taken any more leaves no plan, and a person decides."""
    done = {row.id for row in doses_before(protocol, begun)} | set(begun)
    doses = [row for row in protocol.rows if _is_dose(row) and row.id not in done]
    bounds = _too_early(room, doses, now)
    return room_of(room.rules.bounded(*bounds)) if bounds else room


def rest_ahead(room: Room, protocol: Protocol, now: dt.datetime, begun: Mapping[str, dt.datetime]) -> Room:
    """The room with nothing else planned into the past that can still be done; what cannot stays, and is told later."""
    for row in protocol.rows:
        if row.kind in AWAKE_KINDS and not _is_dose(row) and row.id not in begun:
            bounds = _too_early(room, [row], now)
            room = (room.bounded(*bounds) if bounds else None) or room
    return room


def _too_early(room: Room, rows: Iterable[Row], now: dt.datetime) -> list[Bound]:
    """For each row that might be planned before now: not before now.

    A row that follows comes next on the grid; the start of any other is on it, or stated.
    """
    at = epoch_minutes(now) + (now.second > 0 or now.microsecond > 0)
    bounds = []
    for row in rows:
        if room.window(row.id)[0] < at:
            follows = row.id in room.rules.follows
            text = f"starts no earlier than {day_and_clock(now)}, when the plan was made"
            rule = Rule(row.id, text, _BOOKING, kind=MISSED)
            bounds.append(Bound(ORIGIN, row.id, -at - (-at % GRID if follows else 0), rule, waits=follows))
    return bounds
