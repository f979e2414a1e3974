"""What is the thing to do at each moment, by hand; a plan has one at a time."""

from __future__ import annotations

from typing import Any

import pytest

from generator.finding import Verdict
from generator.plan.cues import cues_for
from generator.plan.moments import from_epoch_minutes
from generator.plan.timetable import Timetable
from tests.nouns import plan, protocol_of, unit_in

ROWS: tuple[dict[str, Any], ...] = (
    {"id": "clear", "kind": "clear-fluids", "at": "13:00", "day": -1, "until": "stop"},
    {
        "id": "dose",
        "kind": "drink",
        "glasses": 4,
        "ml": 250,
        "minutes": 15,
        "before": "procedure",
        "hours": 5,
    },
    {"id": "look", "kind": "check", "before": "procedure", "hours": 2},
    {"id": "stop", "kind": "stop-drinking", "before": "procedure", "hours": 2},
)


def told(timetable: Timetable) -> list[tuple[str, str | None]]:
    """The cues on the day itself, as wall clock and step."""
    cues = [(from_epoch_minutes(cue.at, timetable.zone), cue.step) for cue in cues_for(timetable)]
    return [(f"{at:%H:%M}", step) for at, step in cues if at.day == 15]


def test_nothing_more_is_the_thing_to_do_from_its_hour_until_leaving() -> None:
    """T=14:00, be there at 13:30, 30 minutes' way: leave at 13:00; the look at the same hour does not hide the stop."""
    timetable = plan(
        protocol_of(*ROWS), "2026-06-15T14:00+01:00", unit_in(arrival_lead_minutes=30), travel_minutes=30
    )
    assert told(timetable) == [
        ("09:00", "dose"), ("10:00", "clear"), ("12:00", "stop"), ("13:00", "leave"), ("13:30", "arrive"),
        ("14:00", "procedure"), ("20:00", None),
    ]  # fmt: skip


@pytest.mark.parametrize(("hours", "until"), [(0, "14:00"), (-0.5, "14:30"), (-3, "17:00")])
def test_the_days_of_watching_take_over_when_one_is_home_again(hours: float, until: str) -> None:
    """They are counted from the examination at 14:00; three hours later (common practice, no source) they are shown."""
    watch = {"id": "watch", "kind": "watch", "before": "procedure", "hours": hours, "days": 14}
    timetable = plan(protocol_of(*ROWS, watch), "2026-06-15T14:00+01:00")
    assert told(timetable)[-2:] == [("14:00", "procedure"), ("17:00", "watch")]
    last = cues_for(timetable)[-1]
    assert (f"{from_epoch_minutes(last.at, timetable.zone):%d %B %H:%M}", last.step) == (
        f"29 June {until}",
        None,
    )


def test_leaving_at_the_hour_of_nothing_more_is_shown_at_once() -> None:
    """90 minutes' way: leaving at 12:00, the same hour. Leaving cannot wait; its card repeats “nothing more”."""
    timetable = plan(
        protocol_of(*ROWS), "2026-06-15T14:00+01:00", unit_in(arrival_lead_minutes=30), travel_minutes=90
    )
    assert ("12:00", "leave") in told(timetable)


def test_nothing_more_on_the_road_is_shown_on_the_road() -> None:
    """Three hours' way: leave at 10:30, nothing more from 12:00, be there at 13:30."""
    timetable = plan(
        protocol_of(*ROWS), "2026-06-15T14:00+01:00", unit_in(arrival_lead_minutes=30), travel_minutes=180
    )
    assert told(timetable)[2:5] == [("10:30", "leave"), ("12:00", "stop"), ("13:30", "arrive")]


def test_before_its_hour_an_errand_is_the_thing_to_do() -> None:
    collect = {"id": "collect", "kind": "collect", "at": "18:00", "day": -2}
    timetable = plan(protocol_of(collect, *ROWS), "2026-06-15T14:00+01:00")
    cues = cues_for(timetable)
    assert (cues[0].at, cues[0].step) == (0, "collect")
    assert f"{from_epoch_minutes(cues[1].at, 'Europe/London'):%d %H:%M}" == "14 13:00"


def test_nothing_by_mouth_outlasts_nothing_more() -> None:
    """Tablets with water an hour before the procedure, while nothing may be taken from two hours before: refused."""
    tablets = {"id": "tablets", "kind": "tablets", "tablets": 12, "before": "procedure", "hours": 1}
    assert plan(protocol_of(tablets, ROWS[3]), "2026-06-15T14:00+01:00").verdict is Verdict.REFUSED


def test_drinks_on_the_road_are_refused() -> None:
    """The last glasses would end at 11:00; with three hours' way one leaves at 10:30."""
    more = {
        "id": "more", "kind": "extra-fluid", "glasses": 4, "ml": 250, "minutes": 15,
        "after": {"row": "dose", "at_least": 0},
    }  # fmt: skip
    timetable = plan(
        protocol_of(ROWS[1], more),
        "2026-06-15T14:00+01:00",
        unit_in(arrival_lead_minutes=30),
        travel_minutes=180,
    )
    assert timetable.verdict is Verdict.REFUSED


def session(name: str, at: str, **more: Any) -> dict[str, Any]:
    return {
        "id": name, "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15, "at": at, "day": -1,
        "most_ml_per_hour": 1000, **more,
    }  # fmt: skip


def test_sessions_that_overlap_are_refused() -> None:
    rows = (session("one", "18:00"), session("two", "18:30"))
    assert plan(protocol_of(*rows), "2026-06-15T14:00+01:00").verdict is Verdict.REFUSED


def test_the_hourly_maximum_counts_all_drinks_together() -> None:
    """Four glasses of 250 mL in 40 minutes, then four more: 1,500 mL in the first hour, where 1,000 is the most."""
    rows = (session("one", "18:00", minutes=10, most_ml_per_hour=1500), session("two", "18:40"))
    timetable = plan(protocol_of(*rows), "2026-06-15T14:00+01:00")
    [finding] = timetable.findings
    assert finding.kind == "hourly-maximum"
    assert "1500 mL in one hour" in finding.problem
    assert timetable.steps == ()


def test_windows_too_wide_to_compare_are_refused_and_named() -> None:
    """Six sessions, each free over two days: nobody should wait for minutes, and nothing is chosen unseen."""
    wide = [{"at": "06:00", "day": -2}, {"at": "22:00", "day": -1}]
    rows = (
        {"id": f"s{n}", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 17, "window": wide}
        for n in range(6)
    )
    timetable = plan(protocol_of(*rows), "2026-06-15T14:00+01:00")
    assert [finding.kind for finding in timetable.findings] == ["windows-too-wide"]
    assert timetable.steps == ()
