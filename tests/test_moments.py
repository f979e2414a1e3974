"""Elapsed and wall time around clock changes; values checked by hand against the zones' published changes of 2026."""

from __future__ import annotations

import datetime as dt
from importlib.metadata import version

import pytest

from generator.plan.moments import instants_of, later, start_of_day


def moment(zone: str, day: str, clock: str) -> dt.datetime:
    [found] = instants_of(zone, dt.date.fromisoformat(day), dt.time.fromisoformat(clock))
    return found


@pytest.mark.parametrize(
    ("zone", "day", "clock", "six_hours_before"),
    [
        ("Europe/London", "2026-03-29", "07:00", "2026-03-29T00:00:00+00:00"),
        ("Europe/London", "2026-10-25", "07:00", "2026-10-25T01:00:00+00:00"),
        ("America/New_York", "2026-03-08", "08:00", "2026-03-08T01:00:00-05:00"),
        ("Asia/Kathmandu", "2026-06-15", "14:00", "2026-06-15T08:00:00+05:45"),
    ],
)
def test_elapsed_hours_are_counted_in_utc(zone: str, day: str, clock: str, six_hours_before: str) -> None:
    assert later(moment(zone, day, clock), -360).isoformat() == six_hours_before


def test_seven_hours_before_in_madrid_crosses_the_change() -> None:
    """29 March 2026, 02:00 becomes 03:00: 08:00 summer time less 6 h is 01:00 winter time."""
    assert (
        later(moment("Europe/Madrid", "2026-03-29", "08:00"), -360).isoformat() == "2026-03-29T01:00:00+01:00"
    )


def test_a_time_that_the_clocks_skip_does_not_exist() -> None:
    assert instants_of("Europe/Berlin", dt.date(2026, 3, 29), dt.time(2, 30)) == ()


def test_a_time_that_occurs_twice_is_two_moments() -> None:
    two = instants_of("Europe/Berlin", dt.date(2026, 10, 25), dt.time(2, 30))
    assert [found.isoformat() for found in two] == ["2026-10-25T02:30:00+02:00", "2026-10-25T02:30:00+01:00"]


def test_a_day_without_a_midnight_begins_when_it_begins() -> None:
    """Cairo, 24 April 2026: clocks go from 00:00 to 01:00."""
    assert start_of_day("Africa/Cairo", dt.date(2026, 4, 24)).isoformat() == "2026-04-24T01:00:00+03:00"


def test_the_pinned_zone_data_decides() -> None:
    """Vancouver keeps summer time from November 2026 (tzdata 2026); older system data says -08:00."""
    assert moment("America/Vancouver", "2026-12-01", "08:00").isoformat() == "2026-12-01T08:00:00-07:00"
    assert version("tzdata") == "2026.6"
