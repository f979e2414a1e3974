"""Schedules that units hand out, each with the moment of every row and how it stands to two published rules.

Read off public leaflets of the trade (no name kept); elapsed hours for rows counted from procedure or arrival,
wall clock for the others. A case marked partial does not show every dose, so the published rules do not apply.
Rules: ESGE 2019 (Endoscopy 2019;51:775-794), US Multi-Society Task Force 2025 (Am J Gastroenterol 2025;120:738-764).
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Any

import pytest

from generator.plan.timetable import Timetable
from tests.nouns import plan, protocol_of, unit_in


@dataclass(frozen=True)
class Case:
    """A schedule: rows are (kind, when, minutes of drinking or 0 where not said, expected start)."""

    id: str
    zone: str
    procedure: str
    arrive: str | None
    travel: int
    esge: bool | None
    usmstf: bool | None
    rows: tuple[tuple[str, str, int, str], ...]


CASES = (
    Case(
        "A08",
        "Europe/London",
        "2026-04-16T14:00+01:00",
        None,
        0,
        False,
        False,
        (
            ("last-meal", "day -1 at 08:00", 0, "2026-04-15T08:00+01:00"),
            ("drink", "day -1 at 10:00", 0, "2026-04-15T10:00+01:00"),
            ("drink", "day -1 at 15:30", 0, "2026-04-15T15:30+01:00"),
            ("stop-drinking", "6 h before procedure", 0, "2026-04-16T08:00+01:00"),
        ),
    ),
    Case(
        "A10",
        "America/New_York",
        "2026-04-16T10:30-04:00",
        "2026-04-16T09:30-04:00",
        0,
        True,
        True,
        (
            ("instruction", "day -5 at 00:00", 0, "2026-04-11T00:00-04:00"),
            ("clear-fluids", "day -1 at 09:00", 0, "2026-04-15T09:00-04:00"),
            ("mix", "day -1 at 14:00", 0, "2026-04-15T14:00-04:00"),
            ("drink", "day -1 at 18:00", 120, "2026-04-15T18:00-04:00"),
            ("drink", "5 h before procedure", 0, "2026-04-16T05:30-04:00"),
            ("stop-drinking", "2 h before procedure", 0, "2026-04-16T08:30-04:00"),
        ),
    ),
    Case(
        "A12",
        "America/New_York",
        "2026-04-16T15:00-04:00",
        None,
        0,
        False,
        False,
        (
            ("drink", "day -1 at 12:00", 0, "2026-04-15T12:00-04:00"),
            ("drink", "day -1 at 16:00", 0, "2026-04-15T16:00-04:00"),
            ("tablets", "day -1 at 18:00", 0, "2026-04-15T18:00-04:00"),
            ("stop-drinking", "day 0 at 00:00", 0, "2026-04-16T00:00-04:00"),
        ),
    ),
    Case(
        "A14",
        "America/New_York",
        "2026-04-13T08:00-04:00",
        None,
        0,
        False,
        False,
        (
            ("clear-fluids", "day -2 at 07:00", 0, "2026-04-11T07:00-04:00"),
            ("tablets", "day -1 at 15:00", 0, "2026-04-12T15:00-04:00"),
            ("drink", "day -1 at 18:00", 120, "2026-04-12T18:00-04:00"),
            ("tablets", "day -1 at 20:00", 0, "2026-04-12T20:00-04:00"),
            ("stop-drinking", "day 0 at 00:00", 0, "2026-04-13T00:00-04:00"),
        ),
    ),
    Case(
        "A18",
        "America/Denver",
        "2026-04-16T11:00-06:00",
        None,
        0,
        False,
        True,
        (
            ("drink", "day -1 at 19:00", 60, "2026-04-15T19:00-06:00"),
            ("drink", "day 0 at 05:30", 60, "2026-04-16T05:30-06:00"),
        ),
    ),
    Case(
        "A20",
        "America/New_York",
        "2026-04-16T07:30-04:00",
        None,
        0,
        None,
        None,
        (
            ("clear-fluids", "30 h before procedure", 0, "2026-04-15T01:30-04:00"),
            ("drink", "day -1 at 18:00", 60, "2026-04-15T18:00-04:00"),
            ("stop-drinking", "4 h before procedure", 0, "2026-04-16T03:30-04:00"),
        ),
    ),
    Case(
        "A22",
        "America/Toronto",
        "2026-04-16T14:00-04:00",
        "2026-04-16T13:30-04:00",
        0,
        False,
        False,
        (
            ("drink", "day -1 at 10:00", 0, "2026-04-15T10:00-04:00"),
            ("drink", "day -1 at 18:00", 0, "2026-04-15T18:00-04:00"),
            ("stop-drinking", "6 h before arrival", 0, "2026-04-16T07:30-04:00"),
        ),
    ),
    Case(
        "A28",
        "Australia/Sydney",
        "2026-04-16T13:00+10:00",
        "2026-04-16T12:00+10:00",
        0,
        False,
        False,
        (
            ("last-meal", "day -1 at 13:00", 0, "2026-04-15T13:00+10:00"),
            ("drink", "day -1 at 18:00", 0, "2026-04-15T18:00+10:00"),
            ("drink", "day -1 at 20:00", 0, "2026-04-15T20:00+10:00"),
            ("drink", "day 0 at 06:00", 0, "2026-04-16T06:00+10:00"),
            ("stop-drinking", "day 0 at 07:00", 0, "2026-04-16T07:00+10:00"),
        ),
    ),
    Case(
        "A50-13",
        "Europe/Rome",
        "2026-04-16T13:00+02:00",
        None,
        0,
        False,
        True,
        (
            ("drink", "day -1 at 17:00", 180, "2026-04-15T17:00+02:00"),
            ("drink", "day 0 at 07:00", 180, "2026-04-16T07:00+02:00"),
        ),
    ),
    Case(
        "A50-15",
        "Europe/Rome",
        "2026-04-16T15:00+02:00",
        None,
        0,
        False,
        False,
        (
            ("drink", "day -1 at 17:00", 180, "2026-04-15T17:00+02:00"),
            ("drink", "day 0 at 07:00", 180, "2026-04-16T07:00+02:00"),
        ),
    ),
    Case(
        "A58",
        "Europe/Moscow",
        "2026-04-16T10:00+03:00",
        None,
        0,
        True,
        True,
        (
            ("drink", "day -1 at 19:00", 120, "2026-04-15T19:00+03:00"),
            ("drink", "5 h before procedure", 120, "2026-04-16T05:00+03:00"),
        ),
    ),
    Case(
        "A60-L56",
        "Asia/Tokyo",
        "2026-04-16T10:00+09:00",
        "2026-04-16T09:00+09:00",
        0,
        True,
        True,
        (
            ("last-meal", "day -1 at 19:00", 0, "2026-04-15T19:00+09:00"),
            ("drink", "day -1 at 21:00", 60, "2026-04-15T21:00+09:00"),
            ("drink", "day 0 at 06:00", 60, "2026-04-16T06:00+09:00"),
        ),
    ),
    Case(
        "A62",
        "Asia/Kolkata",
        "2026-04-16T11:00+05:30",
        None,
        0,
        True,
        True,
        (
            ("drink", "day -1 at 21:00", 60, "2026-04-15T21:00+05:30"),
            ("drink", "day 0 at 06:00", 60, "2026-04-16T06:00+05:30"),
        ),
    ),
    Case(
        "E1",
        "Europe/London",
        "2026-04-16T07:30+01:00",
        "2026-04-16T07:00+01:00",
        90,
        True,
        True,
        (
            ("drink", "day -1 at 18:00", 90, "2026-04-15T18:00+01:00"),
            ("drink", "5 h before procedure", 90, "2026-04-16T02:30+01:00"),
            ("stop-drinking", "2 h before procedure", 0, "2026-04-16T05:30+01:00"),
        ),
    ),
)


def row(number: int, kind: str, when: str, minutes: int) -> dict[str, Any]:
    table: dict[str, Any] = {"id": f"row-{number}", "kind": kind, "source": "a unit's leaflet"}
    if found := re.fullmatch(r"day (-?\d+) at (\d\d:\d\d)", when):
        table |= {"day": int(found[1]), "at": found[2]}
    elif found := re.fullmatch(r"([\d.]+) h before (\w+)", when):
        table |= {"before": found[2], "hours": float(found[1])}
    if kind == "drink":
        glasses = 6 if minutes else 1
        table |= {"glasses": glasses, "ml": 250, "minutes": minutes // 6 or 1}
    return table | ({"tablets": 2} if kind == "tablets" else {})


def planned(case: Case) -> Timetable:
    rows = [row(number, *given[:3]) for number, given in enumerate(case.rows)]
    arrival = dt.datetime.fromisoformat(case.arrive) if case.arrive else None
    protocol = protocol_of(*rows, partial=case.esge is None)
    return plan(protocol, case.procedure, unit_in(case.zone), arrival=arrival, travel_minutes=case.travel)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_every_row_stands_where_the_leaflet_puts_it(case: Case) -> None:
    timetable = planned(case)
    for number, (_, _, _, start) in enumerate(case.rows):
        assert timetable.step(f"row-{number}").start.isoformat(timespec="minutes") == start
    assert {yardstick.id: yardstick.met for yardstick in timetable.yardsticks} == {
        "esge-2019": case.esge,
        "usmstf-2025": case.usmstf,
    }


def test_leaving_home_is_counted_from_arrival() -> None:
    """E1: be there at 07:00, 90 minutes' way: leave at 05:30, 90 minutes after the last glass at 04:00."""
    timetable = planned(next(case for case in CASES if case.id == "E1"))
    assert timetable.leaving.isoformat(timespec="minutes") == "2026-04-16T05:30+01:00"
    last = timetable.step("row-1")
    assert last.end is not None
    assert last.end.isoformat(timespec="minutes") == "2026-04-16T04:00+01:00"
