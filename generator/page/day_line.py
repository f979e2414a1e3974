"""The day line: one day from midnight to midnight as a ruled line in SVG, a notch for each step, the night hatched.

It runs in the reading direction. Places go by elapsed time, so that on the days on which clocks change every notch
stands where the present moment will be. Words beside it say the same; the phone's script moves the mark for now.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from markupsafe import Markup

from generator.plan.moments import epoch_minutes, start_of_day, wall_minute

WIDTH = 320
_HOURS = (6, 12, 18)
_MORNING, _EVENING = 6 * 60, 21 * 60  # the night in which the page's words name both days: words/clock.py


def day_line(zone: str, day: dt.date, starts: Iterable[int], *, right_to_left: bool) -> Markup:
    """The line of a day; "" where nothing on it begins at an hour.

    Args:
        starts: epoch minutes at which the steps of this day begin.
    """
    since = epoch_minutes(start_of_day(zone, day))
    until = wall_minute(zone, day, 1440)

    def place(minute: int) -> int:
        """Units from the left edge."""
        along = round((minute - since) * WIDTH / (until - since))
        return WIDTH - along if right_to_left else along

    notches = sorted({place(minute) for minute in starts})
    if not notches:
        return Markup("")
    nights = [(since, wall_minute(zone, day, _MORNING)), (wall_minute(zone, day, _EVENING), until)]
    hatched = "".join(f"M{place(first)} 20H{place(last)}" for first, last in nights)
    ruled = f"M0 26H{WIDTH}" + "".join(f"M{at} 26V11" for at in notches)
    hours = "".join(
        f'<text x="{place(wall_minute(zone, day, hour * 60))}" y="43">{hour:02}:00</text>' for hour in _HOURS
    )
    # For the script: the minute at the left edge, and how many lie between the edges, less than 0 where time runs to
    # the left. Every part is a number of ours.
    edge = f"{until} {since - until}" if right_to_left else f"{since} {until - since}"
    return Markup(
        f'<svg class="day-line" viewBox="0 0 {WIDTH} 46" aria-hidden="true" data-day="{edge}">'
        f'<path class="hatch" d="{hatched}"/><path d="{ruled}"/>{hours}<path class="hand"/></svg>'
    )
