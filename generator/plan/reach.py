"""Reach: how early and how late each row may start by the hard rules alone; no timetable is solved for it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from generator.clinic.protocol import Protocol
from generator.plan.fixed import Fixed
from generator.plan.moments import from_epoch_minutes
from generator.plan.network import NO_BOUND, Collision, TooWide
from generator.plan.rules import NoSuchMoment, rules_for
from generator.plan.soonest import room_of


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
        room = room_of(rules_for(protocol, fixed))
    except (NoSuchMoment, TooWide):
        return {}
    if isinstance(room, Collision):
        return {}
    reaches = {}
    for row in room.rules.stands:
        ends = [end for end in room.window(row) if abs(end) < NO_BOUND // 2]
        if ends:
            first, last = (from_epoch_minutes(end, fixed.zone) for end in (ends[0], ends[-1]))
            reaches[row] = Reach(first, last)
    return reaches
