"""Times that the phone writes: the same letters as the build's, whatever the clocks do."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from playwright.sync_api import Page

from generator.page.data import offsets_between
from generator.plan.moments import epoch_minutes, zone_named
from generator.words.clock import date_text, date_time_text, patterns, when_text
from generator.words.speaker import Speaker
from tests.browser.sources import sources
from tests.languages import SHIPPED as TAGS
from tests.sampling import one_in
from tests.test_words import speaker

pytestmark = pytest.mark.browser
WRITTEN = """([plan, minutes]) => minutes.map(minute => {
  const clock = daybefore.clock;
  return [clock.when(minute, plan), clock.date(minute, plan), clock.dateTime(minute, plan)];
})"""
LONDON = zone_named("Europe/London")


def written(page: Page, said: Speaker, moments: list[dt.datetime], zone: str) -> list[list[str]]:
    plan = {"times": patterns(said), "offsets": offsets_between(moments[0], moments[-1], zone)}
    page.evaluate(sources("clock"))
    texts: Any = page.evaluate(WRITTEN, [plan, [epoch_minutes(moment) for moment in moments]])
    return list(texts)


# Europe/London 2026-03-29 01:00 to 02:00 and 2026-10-25 02:00 to 01:00; Australia/Lord_Howe moves by half an hour on
# 2026-10-04; Africa/Casablanca leaves its offset for Ramadan, 2026-02-15 (tzdata 2025b).
CHANGES = [
    ("Europe/London", "2026-03-29"),
    ("Europe/London", "2026-10-25"),
    ("Australia/Lord_Howe", "2026-10-04"),
    ("Africa/Casablanca", "2026-02-15"),
]


@pytest.mark.parametrize(("zone", "day"), CHANGES)
@pytest.mark.parametrize("tag", one_in(3, TAGS))
def test_every_five_minutes_of_a_plan_across_a_clock_change(
    page: Page, tag: str, zone: str, day: str
) -> None:
    said, there = speaker(tag), zone_named(zone)
    first = (dt.datetime.fromisoformat(f"{day}T00:00+00:00") - dt.timedelta(days=4)).astimezone(dt.UTC)
    moments = [(first + dt.timedelta(minutes=5 * step)).astimezone(there) for step in range(7 * 288)]
    assert len({moment.utcoffset() for moment in moments}) == 2
    expected = [
        [when_text(said, moment), date_text(said, moment.date()), date_time_text(said, moment)]
        for moment in moments
    ]
    assert written(page, said, moments, zone) == expected


@pytest.mark.parametrize("tag", one_in(4, TAGS))
def test_every_day_of_four_years(page: Page, tag: str) -> None:
    said = speaker(tag)
    moments = [
        dt.datetime(2027, 1, 1, 12, tzinfo=LONDON) + dt.timedelta(days=day) for day in range(4 * 365 + 1)
    ]
    expected = [date_text(said, moment.date()) for moment in moments]
    assert [texts[1] for texts in written(page, said, moments, "Europe/London")] == expected


def test_what_they_are_in_letters(page: Page) -> None:
    """By hand: 24 and 25 October 2026 are a Saturday and a Sunday, 29 February 2028 is a Tuesday (any calendar)."""
    moments = [
        dt.datetime(2026, 10, 24, 18, 30, tzinfo=LONDON),
        dt.datetime(2026, 10, 24, 23, 55, tzinfo=LONDON),
        dt.datetime(2026, 10, 25, 1, 30, tzinfo=LONDON, fold=1),
        dt.datetime(2028, 2, 29, 6, 0, tzinfo=LONDON),
    ]
    texts = written(page, speaker("en"), moments, "Europe/London")
    bare = [[text.translate({0x2066: None, 0x2069: None}) for text in row] for row in texts]
    assert bare == [
        ["on Saturday, 18:30", "Saturday 24 October", "Saturday 24 October, 18:30"],
        [
            "in the night from Saturday to Sunday, 23:55",
            "Saturday 24 October",
            "Saturday 24 October, 23:55",
        ],
        ["in the night from Saturday to Sunday, 01:30", "Sunday 25 October", "Sunday 25 October, 01:30"],
        ["on Tuesday, 06:00", "Tuesday 29 February", "Tuesday 29 February, 06:00"],
    ]
