"""Reach: how early and how late each row may start by the hard rules alone; no timetable is solved for it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from generator.clinic.protocol import Protocol
from generator.plan.fixed import Fixed
from generator.plan.moments import from_epoch_minutes
from generator.plan.network import NO_BOUND, ORIGIN, Collision, closed
from generator.plan.rules import NoSuchMoment, network_for
from generator.plan.solver import GRID


@dataclass(frozen=True, slots=True)
class Reach:
    """The earliest and the latest start of a row, zone-aware."""

    earliest: dt.datetime
    latest: dt.datetime


def reaches_for(protocol: Protocol, fixed: Fixed) -> dict[str, Reach]:
    """For each row that its rules bound, by row id, when it may start; empty when the rules cannot be kept.

    Where one end is open the other stands for both: it is the only moment the rules name.
    """
    try:
        network = network_for(protocol, fixed)
    except NoSuchMoment:
        return {}
    closure = closed(network, GRID)
    if isinstance(closure, Collision):
        return {}
    reaches = {}
    for row, place in network.places.items():
        earliest, latest = (0, 0) if place.leader == ORIGIN else closure.window(place.leader)
        ends = [end for end in (earliest, latest) if abs(end) < NO_BOUND // 2]
        if ends:
            first, last = (from_epoch_minutes(end + place.offset, fixed.zone) for end in (ends[0], ends[-1]))
            reaches[row] = Reach(first, last)
    return reaches
