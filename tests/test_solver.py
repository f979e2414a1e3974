"""The solver against brute force: it refuses exactly when nothing fits, and what it picks is the kindest."""

from __future__ import annotations

import datetime as dt
import itertools
import zoneinfo
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from generator.clinic.booking import Booking
from generator.clinic.unit import Unit
from generator.finding import Verdict
from generator.plan.moments import instants_of, start_of_day
from generator.plan.planning import timetable_for
from tests.nouns import protocol_of, unit_in

QUIET, TRAVEL, LEAD = 60, 25, 30
NIGHT = (22 * 60 + 30, 5 * 60 + 30)
Rule = dict[str, Any]


def in_zone(zone: str) -> Unit:
    return unit_in(zone, arrival_lead_minutes=LEAD, travel_minutes=TRAVEL, quiet_minutes=QUIET)


def before(hours: float) -> Rule:
    return {"before": "procedure", "hours": hours}


def drink(name: str, early: float, late: float, glasses: int, minutes: int, end_by: float) -> Rule:
    return {
        "id": name, "kind": "drink", "glasses": glasses, "ml": 250, "minutes": minutes, "source": "s",
        "window": [before(early), before(late)], "end_by": before(end_by),
    }  # fmt: skip


# Latest start and width of the window in quarters of an hour, glasses, minutes a glass, end by in quarters.
sessions = st.tuples(
    st.integers(4, 64),
    st.integers(0, 16),
    st.integers(1, 4),
    st.sampled_from([10, 15, 20]),
    st.integers(0, 8),
)


gaps = st.one_of(st.none(), st.tuples(st.integers(0, 12), st.integers(0, 24)))
clocks = st.sampled_from([dt.time(8, 0), dt.time(9, 20), dt.time(13, 35)])
ZONES = sorted(zoneinfo.available_timezones() - {"localtime"})


def days_of_change(zone: str) -> list[dt.date]:
    """The days of 2026 to 2030 on which the zone's clocks change, and one on which they do not."""
    days = [dt.date(2026, 1, 1) + dt.timedelta(days=day) for day in range(5 * 365)]
    moments = [start_of_day(zone, day) for day in days]
    changes = [
        day
        for day, moment, following in zip(days, moments, moments[1:], strict=False)
        if moment.utcoffset() != following.utcoffset()
    ]
    return [*changes, dt.date(2027, 6, 15)]


@settings(max_examples=60)
@given(
    first=sessions,
    second=sessions,
    gap=gaps,
    zone=st.sampled_from(["Europe/London", "Asia/Kathmandu", "America/St_Johns", "Australia/Lord_Howe"]),
    day=st.sampled_from(
        [dt.date(2026, 3, 29), dt.date(2026, 6, 15), dt.date(2026, 10, 25), dt.date(2026, 4, 5)]
    ),
    at=clocks,
)
def test_the_choice_is_brute_forces(
    first: Any, second: Any, gap: tuple[int, int] | None, zone: str, day: dt.date, at: dt.time
) -> None:
    compare(first, second, gap, zone, day, at)


@pytest.mark.long
@settings(max_examples=1500)
@given(data=st.data(), first=sessions, second=sessions, gap=gaps, zone=st.sampled_from(ZONES), at=clocks)
def test_the_choice_is_brute_forces_in_every_zone(
    data: Any, first: Any, second: Any, gap: tuple[int, int] | None, zone: str, at: dt.time
) -> None:
    compare(first, second, gap, zone, data.draw(st.sampled_from(days_of_change(zone))), at)


def compare(
    first: Any, second: Any, gap: tuple[int, int] | None, zone: str, day: dt.date, at: dt.time
) -> None:
    """Plans two drinks, and holds the plan against every pair of starts on the grid."""
    one, two = (
        drink(name, (late + width) / 4, late / 4, glasses, minutes, end / 4)
        for name, (late, width, glasses, minutes, end) in (("one", first), ("two", second))
    )
    if gap is not None:
        least, room = gap[0] / 4, gap[1] / 4
        two["after"] = {"row": "one", "at_least": least, "at_most": least + room, "counted_from": "start"}
    moments = instants_of(zone, day, at)
    assume(moments)
    procedure = moments[0]
    planned = timetable_for(Booking("r", procedure, "p", ("en",)), protocol_of(one, two), in_zone(zone), None)
    best = brute_force(one, two, procedure)
    if best is None:
        assert planned.verdict is Verdict.REFUSED
        return
    chosen = tuple(planned.step(name).start for name in ("one", "two"))
    assert kept(one, two, chosen, procedure)
    assert kindness(one, two, chosen, procedure) == best


def length(row: Rule) -> dt.timedelta:
    return dt.timedelta(minutes=row["glasses"] * row["minutes"])


def ahead(procedure: dt.datetime, hours: float) -> dt.datetime:
    """That many elapsed hours before the procedure."""
    return (procedure.astimezone(dt.UTC) - dt.timedelta(hours=hours)).astimezone(procedure.tzinfo)


def kept(one: Rule, two: Rule, starts: tuple[dt.datetime, ...], procedure: dt.datetime) -> bool:
    """Every hard rule, judged in UTC from the rows as they stand."""
    utc = [start.astimezone(dt.UTC) for start in starts]
    leaving = ahead(procedure, (TRAVEL + LEAD) / 60).astimezone(dt.UTC)
    for row, start in zip((one, two), utc, strict=True):
        early, late = (ahead(procedure, end["hours"]).astimezone(dt.UTC) for end in row["window"])
        if not early <= start <= late:
            return False
        if start + length(row) > min(leaving, ahead(procedure, row["end_by"]["hours"]).astimezone(dt.UTC)):
            return False
    if utc[1] < utc[0] + length(one):  # one drink after the other, in the order of the rows
        return False
    if "after" in two:
        hours = (utc[1] - utc[0]).total_seconds() / 3600
        return bool(two["after"]["at_least"] <= hours <= two["after"]["at_most"])
    return True


Costs = tuple[int, int, int, int]


def costs(row: Rule, start: dt.datetime, procedure: dt.datetime) -> Costs:
    """Minutes awake at night, shortfall of quiet, off the half hour, off the quarter: minute by minute on the wall."""
    night = 0
    for minute in range(row["glasses"] * row["minutes"]):
        wall = ahead(start, -minute / 60)
        of_day = wall.hour * 60 + wall.minute
        night += of_day >= NIGHT[0] or of_day < NIGHT[1]
    leaving = ahead(procedure, (TRAVEL + LEAD) / 60).astimezone(dt.UTC)
    rest = int((leaving - start.astimezone(dt.UTC) - length(row)).total_seconds() // 60)
    return night, max(0, QUIET - rest), start.minute not in (0, 30), start.minute not in (0, 15, 30, 45)


def together(one: Costs, two: Costs, starts: tuple[dt.datetime, ...]) -> tuple[int, ...]:
    """The measures of both sessions, in the order in which they count; the last one late, the first one early."""
    first, last = (int(start.timestamp()) for start in starts)
    return one[0] + two[0], max(one[1], two[1]), one[2] + two[2], one[3] + two[3], -last, first


def kindness(
    one: Rule, two: Rule, starts: tuple[dt.datetime, ...], procedure: dt.datetime
) -> tuple[int, ...]:
    """The measures of a pair of starts."""
    return together(costs(one, starts[0], procedure), costs(two, starts[1], procedure), starts)


def brute_force(one: Rule, two: Rule, procedure: dt.datetime) -> tuple[int, ...] | None:
    """The best measures over every pair of starts on the five-minute grid, or None."""
    priced = [
        [(start, costs(row, start, procedure)) for start in grid_of(row, procedure)] for row in (one, two)
    ]
    return min(
        (
            together(price, other, (start, later))
            for (start, price), (later, other) in itertools.product(*priced)
            if kept(one, two, (start, later), procedure)
        ),
        default=None,
    )


def grid_of(row: Rule, procedure: dt.datetime) -> list[dt.datetime]:
    """Every start in the row's window at which the wall clock shows a multiple of five minutes."""
    early, late = (end["hours"] for end in row["window"])
    minutes = [ahead(procedure, early - minute / 60) for minute in range(int((early - late) * 60) + 1)]
    return [start for start in minutes if start.minute % 5 == 0]
