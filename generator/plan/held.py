"""Held: what the present moment and what was already done ask of a plan that is made late, or made anew."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace

from generator.clinic.protocol import Protocol
from generator.finding import Finding, warning
from generator.plan.moments import epoch_minutes
from generator.plan.network import ORIGIN, Bound, Closed, Collision, Network, Rule, closed
from generator.plan.solver import AWAKE_KINDS, GRID

Held = tuple[Network, Closed]


def with_begun(
    network: Network, closure: Closed, begun: Mapping[str, dt.datetime]
) -> tuple[Held, list[Finding]]:
    """The network with each row that was already begun at the moment at which it was begun.

    One whose moment the rules do not allow is told, and stays where the rules put it.
    """
    findings = []
    for row, moment in begun.items():
        place = network.places.get(row)
        if place is None or place.leader == ORIGIN:
            continue
        rule = Rule(row, f"was begun at {moment:%H:%M}", "what was already done", exact=True)
        at = epoch_minutes(moment)
        held = _bounded(network, Bound(row, ORIGIN, at, rule), Bound(ORIGIN, row, -at, rule))
        if held is None:
            findings.append(
                warning(
                    "begun-against-rules",
                    row,
                    f"“{row}” was begun at {moment:%H:%M}; the rules of this plan leave no room for that.",
                    "A nurse speaks with the patient and decides what holds.",
                    decision=True,
                )
            )
        else:
            network, closure = held
    return (network, closure), findings


def not_before(
    network: Network, closure: Closed, protocol: Protocol, now: dt.datetime, done: set[str]
) -> Held:
    """The network with nothing planned into the past that can still be done; what cannot stays, and is told later."""
    at = epoch_minutes(now) + (now.second > 0 or now.microsecond > 0)
    for row in protocol.rows:
        place = network.places[row.id]
        if row.kind not in AWAKE_KINDS or row.id in done or place.leader == ORIGIN:
            continue
        if closure.window(place.leader)[0] + place.offset >= at:
            continue
        rule = Rule(
            row.id, f"starts no earlier than {now:%H:%M}, when the plan was made", "this late booking"
        )
        network, closure = _bounded(network, Bound(ORIGIN, row.id, -at, rule)) or (network, closure)
    return network, closure


def _bounded(network: Network, *bounds: Bound) -> Held | None:
    """The network with further bounds, or None where they collide with the others."""
    other = replace(network, bounds=(*network.bounds, *bounds))
    closure = closed(other, GRID)
    return None if isinstance(closure, Collision) else (other, closure)
