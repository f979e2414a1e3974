"""Timetables a second and core: `python -m tests.bench.timetable`.

Cold: every booking differs from the others. List: a large unit's bookings of a year, equal cases solved once.
"""

from __future__ import annotations

import datetime as dt
import itertools
import random
import statistics
import time
from collections.abc import Callable

from generator.clinic.booking import Booking
from generator.materials.unit_folder import UnitFolder, read_unit_folder
from generator.plan.cases import Cases
from generator.plan.moments import instants_of
from generator.plan.planning import timetable_for
from tests.command import DEMO_UNIT

ROUNDS = 5
YEAR = 20_000  # a unit of six rooms, thirteen examinations a room and day
WAYS = (10, 15, 20, 30, 45, 60, 90)
KNOWN_WAY = 0.2  # lists seldom state how far a patient lives


def different(folder: UnitFolder) -> list[Booking]:
    """500 different bookings over four weeks: both kinds of list, short and long ways, clock change included."""
    made = []
    days = [dt.date(2026, 3, 9) + dt.timedelta(days=day) for day in range(28)]
    minutes = range(7 * 60 + 30, 18 * 60, 15)
    for day, minute, (name, protocol) in itertools.product(days, minutes, folder.regimens.items()):
        at = dt.time(minute // 60, minute % 60)
        if protocol.slots.hold(at) and (day.day + minute // 15) % 4 == 0:
            start = instants_of(folder.unit.zone, day, at)[0]
            made.append(Booking("r", start, name, ("en",), travel_minutes=10 + (day.day * 7) % 80))
    return made[:500]


def year(folder: UnitFolder) -> list[Booking]:
    """A year's bookings on half hours, most with an unknown way, both clock changes included."""
    draw = random.Random(7)
    days = [dt.date(2026, 1, 5) + dt.timedelta(days=day) for day in range(360)]
    working = [day for day in days if day.weekday() < 5]
    slots = [dt.time(minute // 60, minute % 60) for minute in range(7 * 60 + 30, 18 * 60, 30)]
    made = []
    for _ in range(YEAR):
        at = draw.choice(slots)
        fitting = [name for name, protocol in folder.regimens.items() if protocol.slots.hold(at)]
        start = instants_of(folder.unit.zone, draw.choice(working), at)[0]
        way = draw.choice(WAYS) if draw.random() < KNOWN_WAY else None
        made.append(Booking("r", start, draw.choice(fitting), ("en",), travel_minutes=way))
    return sorted(made, key=lambda booking: booking.start)


def rates(work: list[Booking], solve: Callable[[], Callable[[Booking], object]]) -> list[float]:
    """Bookings per second of processor time, round by round; each round begins with nothing known."""
    found = []
    for _ in range(ROUNDS):
        plan = solve()
        began = time.process_time()
        for booking in work:
            plan(booking)
        found.append(len(work) / (time.process_time() - began))
    return found


def main() -> None:
    """Prints the median of five rounds in processor time."""
    folder = read_unit_folder(DEMO_UNIT)
    now = instants_of(folder.unit.zone, dt.date(2025, 12, 1), dt.time(9))[0]

    def cold() -> Callable[[Booking], object]:
        return lambda booking: timetable_for(
            booking, folder.regimens[booking.protocol], folder.unit, now, folder.stated
        )

    def listed() -> Callable[[Booking], object]:
        cases = Cases(folder.unit, folder.regimens, folder.stated)
        return lambda booking: cases.timetable(booking, now)

    for name, work, solve in (("cold", different(folder), cold), ("a year's list", year(folder), listed)):
        found = rates(work, solve)
        print(
            f"{name}: {len(work)} bookings; {statistics.median(found):.0f} a second and core (min {min(found):.0f})"
        )


if __name__ == "__main__":
    main()
