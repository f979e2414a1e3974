"""The line of a day: places by elapsed time, worked out by hand; the days of the clock change are those of the European
rule (Directive 2000/84/EC, last Sunday of March and October, 01:00 UTC)."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from generator.page.day_line import day_line

LONDON = "Europe/London"
# 320 units for the whole day. 24 hours: 06:00 is a quarter. 29 March has 23 hours, and 06:00 comes 5 hours after
# midnight: 320 * 300 / 1380 = 69.6. 25 October has 25, and 06:00 comes after 7: 320 * 420 / 1500 = 89.6.
DAYS = [
    ("2026-03-17T00:00+00:00", 1440, [80, 160, 240], "M0 20H80M280 20H320"),
    ("2026-03-29T00:00+00:00", 1380, [70, 153, 237], "M0 20H70M278 20H320"),
    ("2026-10-25T00:00+01:00", 1500, [90, 166, 243], "M0 20H90M282 20H320"),
]


def minute(text: str) -> int:
    """Epoch minutes of a moment written with its offset."""
    return int(dt.datetime.fromisoformat(text).timestamp()) // 60


def notches(line: str) -> list[int]:
    """Where the steps' notches stand."""
    return [int(place) for place in re.findall(r"M(\d+) 26V11", line)]


@pytest.mark.parametrize(("midnight", "minutes", "hours", "night"), DAYS)
def test_hours_and_night_stand_where_they_come(
    midnight: str, minutes: int, hours: list[int], night: str
) -> None:
    day = dt.date.fromisoformat(midnight[:10])
    line = day_line(LONDON, day, [minute(midnight) + 600], right_to_left=False)
    assert [(int(x), hour) for x, hour in re.findall(r'<text x="(\d+)" y="43">([\d:]+)</text>', line)] == [
        (hours[0], "06:00"),
        (hours[1], "12:00"),
        (hours[2], "18:00"),
    ]
    assert f'<path class="hatch" d="{night}"/>' in line
    assert f'data-day="{minute(midnight)} {minutes}"' in line


@pytest.mark.parametrize(
    ("moments", "places"),
    [
        (["2026-03-17T18:00+00:00", "2026-03-17T07:00+00:00"], [93, 240]),  # 320 * 420 / 1440 = 93.3
        (["2026-03-29T00:45+00:00", "2026-03-29T02:15+01:00"], [10, 17]),  # 45 and 75 minutes after midnight
        (["2026-10-25T01:30+01:00", "2026-10-25T01:30+00:00"], [19, 32]),  # 90 and 150: the same hour, twice
        (["2026-03-17T18:00+00:00", "2026-03-17T18:02+00:00"], [240]),  # one notch where two would touch
    ],
)
def test_a_step_is_a_notch_at_its_elapsed_time(moments: list[str], places: list[int]) -> None:
    day = dt.date.fromisoformat(moments[0][:10])
    assert notches(day_line(LONDON, day, map(minute, moments), right_to_left=False)) == places


def test_from_right_to_left_it_is_its_mirror_image() -> None:
    line = day_line(LONDON, dt.date(2026, 3, 17), [minute("2026-03-17T07:00+00:00")], right_to_left=True)
    assert notches(line) == [227]  # 320 - 93
    assert re.findall(r'<text x="(\d+)"', line) == ["240", "160", "80"]
    assert 'd="M320 20H240M40 20H0"' in line


def test_a_day_without_an_hour_has_no_line() -> None:
    assert day_line(LONDON, dt.date(2026, 3, 17), [], right_to_left=False) == ""


def test_it_weighs_little_and_draws_nothing_for_a_voice() -> None:
    """3 KB are the most that a drawing of ours may weigh; here every quarter of an hour has a step."""
    midnight = minute("2026-03-17T00:00+00:00")
    line = day_line(LONDON, dt.date(2026, 3, 17), range(midnight, midnight + 1440, 15), right_to_left=False)
    assert len(notches(line)) == 96
    assert len(line.encode()) <= 3 * 1024
    assert 'aria-hidden="true"' in line
