"""Held: what the present moment and what was already done ask of a plan that is made late, or made anew."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace

from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row
from generator.finding import Finding, warning
from generator.plan.choice import Choice
from generator.plan.kindness import AWAKE_KINDS
from generator.plan.moment_text import moment_text
from generator.plan.moments import epoch_minutes, in_zone
from generator.plan.network import GRID, ORIGIN, Bound, Rule
from generator.plan.soonest import Room, Rules

_BOOKING = "this late booking"


def with_begun(
    rules: Rules, protocol: Protocol, begun: Mapping[str, dt.datetime], zone: str
) -> tuple[Rules, list[Finding]]:
    """The rules with each row that was begun at the moment at which it was: a fact, whatever its own rules say.

    A rule of its own that this breaks is told and left out; those of later rows count from what really happened.
    """
    findings = [_not_in_plan(row) for row in begun if row not in rules.stands]
    known = {row: moment for row, moment in begun.items() if row in rules.stands}
    stated = rules.stands
    for row, moment in known.items():
        rules = rules.standing(row, epoch_minutes(moment))
    for (
        row,
        moment,
    ) in known.items():  # once all stand: what is broken must not hang on the order they are told in
        broken = [bound for bound in rules.bounds if bound.rule.row == row and _is_broken(bound, rules)]
        rules = replace(rules, bounds=tuple(bound for bound in rules.bounds if bound not in broken))
        missed = [bound.rule.text for bound in broken]
        stood = stated[row]
        if stood is not None and stood[0] == ORIGIN and stood[1] != epoch_minutes(moment):
            missed.insert(0, "it stands at another time")
        if missed:
            findings.append(_against_rules(row, in_zone(moment, zone), missed))
    return rules, [*findings, *_unknown(protocol, begun)]


def _against_rules(row: str, moment: dt.datetime, missed: list[str]) -> Finding:
    return warning(
        "begun-against-rules",
        row,
        f"“{row}” was begun: {moment_text(moment)}; the plan says: {'; '.join(missed)}.",
        "A nurse speaks with the patient and decides whether the rest of the plan holds.",
        decision=True,
    )


def _not_in_plan(row: str) -> Finding:
    return warning(
        "begun-not-in-plan",
        row,
        f"“{row}” was begun, and it is no step of this plan.",
        "Ask the patient what was taken. A nurse decides whether this plan holds on top of it.",
        decision=True,
    )


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
            f"Nothing says whether {', '.join(f'“{row}”' for row in rows)} was taken, and a later step was begun.",
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


def ahead(
    room: Room, protocol: Protocol, now: dt.datetime, begun: Mapping[str, dt.datetime]
) -> tuple[Room, tuple[str, ...]]:
    """The room with nothing planned into the past that can still be done, and the doses that cannot.

    Such a dose stands at the last moment that its rules left: no other time is made up for it.
    """
    done = {row.id for row in doses_before(protocol, begun)} | set(begun)
    waking = [row for row in protocol.rows if row.kind in AWAKE_KINDS and row.id not in done]
    missed = []
    for row in sorted(waking, key=lambda row: not _is_dose(row)):  # the doses first: the rest goes by them
        bounds = _too_early(room, row, now)
        held = room.bounded(*bounds) if bounds else room
        if held is None and _is_dose(row):
            missed.append(row.id)
            last = Rule(row.id, "its time has passed", _BOOKING)
            held = room.bounded(Bound(ORIGIN, row.id, -room.window(row.id)[1], last))
        room = held or room
    return room, tuple(missed)


def hanging(choice: Choice, rules: Rules, missed: tuple[str, ...]) -> list[str]:
    """The rows whose time comes from that of a missed dose: they would count from something that never was."""
    waits = [
        (bound.later, bound.earlier)
        for bound in choice.waits()
        if bound.later in rules.stands and bound.earlier in rules.follows
    ]
    waits += [(stand[0], row) for row, stand in rules.stands.items() if stand is not None]
    found = list(missed)
    for name in found:
        found += [row for on, row in waits if on == name and row not in found]
    return list(dict.fromkeys(found[len(missed) :]))


def _too_early(room: Room, row: Row, now: dt.datetime) -> list[Bound]:
    """Not before now, where a row might be planned there.

    A row that follows comes next on the grid; the start of any other is on it, or stated.
    """
    at = epoch_minutes(now) + (now.second > 0 or now.microsecond > 0)
    if room.window(row.id)[0] >= at:
        return []
    follows = row.id in room.rules.follows
    rule = Rule(row.id, f"starts no earlier than {moment_text(now)}, when the plan was made", _BOOKING)
    return [Bound(ORIGIN, row.id, -at - (-at % GRID if follows else 0), rule, waits=follows)]
