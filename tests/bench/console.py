"""How long the console's day view and search take: `python -m tests.bench.console [BOOKINGS]`.

5,000 bookings over half a year of working days, forty a day, recorded as a build records them, without their pages,
which no day view reads; ten more wait to be cleared. The median of twenty requests. Promised: under 200 ms.
"""

from __future__ import annotations

import datetime as dt
import statistics
import sys
import tempfile
import time
from pathlib import Path

from generator.clinic.booking import Booking
from generator.desk import Desk, read
from generator.desk.preparing import prepare
from generator.desk.rendering import timetable_of
from generator.records import PlanRecord
from generator.records.inputs import Inputs, Publication
from tests.desks import Desks, desks
from tests.lives import HEADING

TIMES = (
    "08:30",
    "09:00",
    "09:30",
    "10:00",
    "10:30",
    "11:00",
    "11:30",
    "12:00",
    "13:30",
    "14:00",
    "14:30",
    "15:00",
)
LANGUAGES = ("en", "es", "ar")
A_DAY, WAITING, LIMIT, TRIES = 40, 10, 200.0, 20  # bookings, bookings, milliseconds, requests


def rows_of(count: int, first: dt.date) -> list[str]:
    """So many rows of a list, forty a working day from the first day on."""
    rows: list[str] = []
    day = first
    while len(rows) < count:
        if day.weekday() < 5:
            for number in range(min(A_DAY, count - len(rows))):
                code = "PEGASC2" if number % 3 else "PICOMG"
                start = TIMES[number % (len(TIMES) if code == "PEGASC2" else 6)]
                language = LANGUAGES[number % len(LANGUAGES)]
                travel = 15 + number % 5 * 10
                rows.append(f"B-{len(rows):05},{day:%d/%m/%Y},{start},,COLON,{code},{language},{travel},\n")
        day += dt.timedelta(days=1)
    return rows


def fill(found: Desks, count: int) -> None:
    """Records so many plans, forty at a time, and ten that wait."""
    desk = found.office.desk()
    rows = rows_of(count + WAITING, found.clock.now.date() + dt.timedelta(days=1))
    for begin in range(0, count, A_DAY):
        text = HEADING + "".join(rows[begin : min(begin + A_DAY, count)])
        bookings = [row.booking for row in read(desk.folder, text.encode(), "list.csv", desk.now).rows]
        assert all(bookings)
        many = [_recorded(desk, booking) for booking in bookings if booking]
        assert all(desk.records.publishing(many, desk.now))
        desk.records.published([(record, what.content) for record, what in many])
    last = HEADING + "".join(rows[count:])
    for row in read(desk.folder, last.encode(), "list.csv", desk.now).rows:
        assert row.booking and not prepare(desk, row.booking, "clerk", new=True).findings


def _recorded(desk: Desk, booking: Booking) -> tuple[PlanRecord, Publication]:
    inputs = Inputs(booking)
    inputs = inputs.with_given(timetable_of(desk, inputs, desk.now))
    return desk.records.open(booking.ref, booking.start, desk.now), Publication("f", "c", "p", inputs)


def medians_of(found: Desks, path: str) -> tuple[float, float]:
    """Milliseconds by the clock, and of the processor, of the middle one of twenty requests; one more warms up."""
    nurse = found.browser("nurse")
    nurse.get(path)
    clock, processor = [], []
    for _ in range(TRIES):
        began, worked = time.perf_counter(), time.process_time()
        assert nurse.get(path).status_code in (200, 302)
        clock.append((time.perf_counter() - began) * 1000)
        processor.append((time.process_time() - worked) * 1000)
    return statistics.median(clock), statistics.median(processor)


def main() -> None:
    """Prints the medians; exit 1 where one is over the limit."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    with tempfile.TemporaryDirectory() as data, desks(Path(data)) as found:
        fill(found, count)
        records = found.office.records.every()
        middle = records[len(records) // 2]
        day = dt.datetime.fromisoformat(middle.start).date()
        asked = {
            "today, with queue and tonight": "/",
            "another day": f"/days/{day}",
            "search by call number": f"/find?q={middle.identity.call_number}",
            "search by reference": f"/find?q={middle.ref}",
            "search that finds many": "/find?q=B-0",
            "search that finds nothing": "/find?q=nobody",
        }
        slow = False
        print(f"{len(records)} bookings")
        for name, path in asked.items():
            median, processor = medians_of(found, path)
            slow = slow or median > LIMIT
            print(f"{median:8.1f} ms ({processor:6.1f} ms of work)  {name}")
    sys.exit(1 if slow else 0)


if __name__ == "__main__":
    main()
