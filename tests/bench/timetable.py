"""Timetables a second and core, cold: `python -m tests.bench.timetable`. Every booking differs from the others."""

from __future__ import annotations

import datetime as dt
import itertools
import statistics
import time

from generator.clinic.booking import Booking
from generator.materials.unit_folder import read_unit_folder
from generator.plan.moments import instants_of
from generator.plan.planning import timetable_for
from tests.command import DEMO_UNIT

ROUNDS = 5


def bookings() -> list[Booking]:
    """600 different bookings over four weeks: both kinds of list, short and long ways, clock change included."""
    folder = read_unit_folder(DEMO_UNIT)
    made = []
    days = [dt.date(2026, 3, 9) + dt.timedelta(days=day) for day in range(28)]
    minutes = range(7 * 60 + 30, 18 * 60, 15)
    for day, minute, (name, protocol) in itertools.product(days, minutes, folder.regimens.items()):
        at = dt.time(minute // 60, minute % 60)
        if protocol.slots.hold(at) and (day.day + minute // 15) % 4 == 0:
            start = instants_of(folder.unit.zone, day, at)[0]
            made.append(Booking("r", start, name, ("en",), travel_minutes=10 + (day.day * 7) % 80))
    return made[:600]


def main() -> None:
    """Prints the median of five rounds in processor time."""
    folder, work = read_unit_folder(DEMO_UNIT), bookings()
    rates = []
    for _ in range(ROUNDS):
        began = time.process_time()
        for booking in work:
            timetable_for(booking, folder.regimens[booking.protocol], folder.unit, None)
        rates.append(len(work) / (time.process_time() - began))
    print(f"{len(work)} timetables; {statistics.median(rates):.0f} a second and core (min {min(rates):.0f})")


if __name__ == "__main__":
    main()
