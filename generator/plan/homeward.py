"""Homeward: when somebody is ready to go home at the earliest, and until when what holds afterwards lasts.

A moment may be too late and never too early: each is rounded to the later half hour, and lists slip only one way.
"""

from __future__ import annotations

import datetime as dt

from generator.clinic.booking import Booking
from generator.clinic.day import Day
from generator.plan.moments import later, minutes_between
from generator.plan.timetable import Timetable

_STEP = 30  # minutes


def ready_at(timetable: Timetable, booking: Booking, day: Day) -> dt.datetime:
    """About when the patient is ready to go home: the unit's usual visit after arrival, from the latest start known."""
    wait = minutes_between(timetable.procedure, _last_start(timetable, booking))
    return half_hour_from(later(timetable.arrival, max(0, wait) + day.visit_minutes), timetable)


def examined_at(timetable: Timetable, booking: Booking, day: Day) -> dt.datetime:
    """When the examination is over, with the unit's longest usual length."""
    start = max(timetable.procedure, _last_start(timetable, booking))
    return half_hour_from(later(start, day.longest), timetable)


def half_hour_from(moment: dt.datetime, timetable: Timetable) -> dt.datetime:
    """The next half hour on the unit's clocks, or the moment itself if it is one."""
    on_clock = moment.astimezone(timetable.procedure.tzinfo)
    over = (on_clock.minute * 60 + on_clock.second) % (_STEP * 60)
    return later(on_clock, 0) if not over else later(on_clock - dt.timedelta(seconds=over), _STEP)


def waited(since: dt.datetime, hours: int) -> dt.datetime:
    """The moment so many elapsed hours later, also over a change of clocks."""
    return later(since, hours * 60)


def watched_until(procedure: dt.datetime, days: int) -> dt.date:
    """The last day of watching: the 15th and 14 days are the 29th."""
    return procedure.date() + dt.timedelta(days=days)


def _last_start(timetable: Timetable, booking: Booking) -> dt.datetime:
    starts = [timetable.procedure, booking.start, *(other.start for other in booking.others)]
    return max([*starts, booking.latest_start] if booking.latest_start else starts)
