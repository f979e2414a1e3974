"""The hourly maximum counts every drink: the medicine and what is drunk besides, session after session.

Between two sessions it is a gap that can be worked out beforehand; three or more within one hour are only
known when all have their times.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import combinations

from generator.clinic.protocol import Protocol
from generator.clinic.rows import SESSION_KINDS, Glasses, Row
from generator.finding import Finding, refusal
from generator.plan.moments import epoch_minutes
from generator.plan.network import Bound, Rule
from generator.plan.spoken import hours
from generator.plan.timetable import Step

HOUR = 60
KIND = "hourly-maximum"
_REMEDY = "Give the glasses more time or the sessions a pause, or mend most_ml_per_hour."
Session = tuple[int, Glasses, str]  # start in minutes, glasses, row id


def most_of(rows: Sequence[Row]) -> tuple[int, str] | None:
    """The smallest hourly maximum that a row states, in millilitres, and what states it."""
    stated = [
        (row.glasses.most_ml_per_hour, row.source)
        for row in rows
        if row.glasses is not None and row.glasses.most_ml_per_hour is not None
    ]
    stated += [
        (row.phase.most_ml_per_hour, row.source)
        for row in rows
        if row.phase is not None and row.phase.most_ml_per_hour is not None
    ]
    return min(stated, default=None)


def hour_bounds(rows: Sequence[Row]) -> Iterator[Bound]:
    """For each two sessions, how long after the first the second may start for the hour to hold both."""
    found = most_of(rows)
    if found is None:
        return
    most, source = found
    sessions = [row for row in rows if row.glasses is not None]
    for (index, one), (other, two) in combinations(enumerate(sessions), 2):
        assert one.glasses is not None, "only sessions are compared"
        assert two.glasses is not None, "only sessions are compared"
        gap = _least_gap(one.glasses, two.glasses, most)
        # What lies between them takes its own time: the order of the rows already asks for that.
        if gap > sum(between.minutes for between in sessions[index:other]):
            at_once = [(0, one.glasses, one.id), (one.minutes, two.glasses, two.id)]
            told = (
                f"starts at least {hours(gap)} after the start of “{one.id}”: right after it they would be "
                f"{fullest_hour(at_once)[0]} mL in one hour, and {most} mL are allowed"
            )
            yield Bound(one.id, two.id, -gap, Rule(two.id, told, source, kind=KIND), waits=True)


@lru_cache(maxsize=1024)
def _least_gap(one: Glasses, two: Glasses, most: int) -> int:
    """The least minutes from start to start at which no hour that begins with a glass of `one` holds too much."""
    gap = 0
    for first in range(one.count):
        hour_ends = first * one.minutes + HOUR
        room = most - sum(_ml(one, at) for at in range(first, one.count) if at * one.minutes < hour_ends)
        for glass in range(two.count):
            room -= _ml(two, glass)
            if room < 0:
                gap = max(gap, hour_ends - glass * two.minutes)
                break
    return gap


def soonest_within_the_hour(
    above: Sequence[Session], glasses: Glasses, earliest: int, most: int
) -> int | None:
    """The first start, from `earliest` on, at which no hour holds more than `most` mL; None within an hour: none."""
    starts = range(earliest, earliest + HOUR + 1)
    return next((start for start in starts if fullest_hour([*above, (start, glasses, "")])[0] <= most), None)


def hour_distances(one: Glasses, two: Glasses) -> set[int]:
    """Minutes from start to start at which a glass of `two` is just outside the hour that one of `one` begins."""
    return {
        first * one.minutes + HOUR - second * two.minutes
        for first in range(one.count)
        for second in range(two.count)
    }


def may_crowd(rows: Sequence[Row]) -> bool:
    """Whether one hour could hold three sessions or more, which the gaps between two do not judge."""
    sessions = [row for row in rows if row.glasses is not None]
    return most_of(rows) is not None and any(between.minutes < HOUR for between in sessions[1:-1])


def hour_rule(rows: Sequence[Row]) -> Rule:
    """The hourly maximum of all drinks, as a rule of the last of them."""
    most, source = most_of(rows) or (0, "")
    last = [row.id for row in rows if row.glasses is not None][-1]
    return Rule(
        last, f"and the drinks before it come to no more than {most} mL in one hour", source, kind=KIND
    )


def crowded_finding(rows: Sequence[Row]) -> Finding:
    """Every choice of times puts too much into one hour."""
    found = most_of(rows)
    sessions = [row.id for row in rows if row.glasses is not None]
    return refusal(
        KIND,
        ", ".join(sessions),
        f"Whatever times are chosen, the drinks together are more than {found[0] if found else 0} mL in one hour.",
        _REMEDY,
    )


def fullest_hour(sessions: Sequence[Session]) -> tuple[int, tuple[str, ...]]:
    """The most millilitres that begin within sixty minutes, and the rows they belong to."""
    glasses = [
        (start + glass * one.minutes, _ml(one, glass), name)
        for start, one, name in sessions
        for glass in range(one.count)
    ]
    glasses.sort()
    fullest = total = last = 0
    within: list[tuple[int, int, str]] = []
    for first, (begin, ml, _) in enumerate(glasses):
        while last < len(glasses) and glasses[last][0] < begin + HOUR:
            total += glasses[last][1]
            last += 1
        if total > fullest:
            fullest, within = total, glasses[first:last]
        total -= ml
    return fullest, tuple(dict.fromkeys(name for _, _, name in within))


def sessions_of(protocol: Protocol, steps: Sequence[Step]) -> list[Session]:
    """The drinking sessions of a plan."""
    glasses = {row.id: row.glasses for row in protocol.rows if row.glasses is not None}
    return [
        (epoch_minutes(step.start), glasses[step.id], step.id) for step in steps if step.kind in SESSION_KINDS
    ]


def hourly_findings(protocol: Protocol, steps: Sequence[Step]) -> list[Finding]:
    """A refusal when the glasses of any sixty minutes are more than the smallest maximum a row states."""
    found = most_of(protocol.rows)
    if found is None:
        return []
    total, names = fullest_hour(sessions_of(protocol, steps))
    if total <= found[0]:
        return []
    told = ", ".join(f"“{name}”" for name in names)
    return [
        refusal(
            KIND,
            ", ".join(names),
            f"{told} together are {total} mL in one hour; the protocol allows {found[0]} mL.",
            _REMEDY,
        )
    ]


def _ml(glasses: Glasses, number: int) -> int:
    return glasses.last_ml if number == glasses.count - 1 else glasses.ml
