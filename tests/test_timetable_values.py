"""Timing values worked out by hand from published rules, as `daybefore timetable --json` gives them.

Rules: R-US, US Multi-Society Task Force 2025 (Am J Gastroenterol 2025;120:738-764): the last dose starts 4 to 6 h
before and ends at least 2 h before. R-EU, ESGE 2019 (Endoscopy 2019;51:775-794): it starts within 5 h and ends at
least 2 h before. T is the procedure's start. The rules stand as protocols in examples/units/rules.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.command import EXAMPLES, run_json

UNIT = EXAMPLES / "units" / "rules"
DAY = "2026-06-15"  # a Monday in London's summer time


def timetable(protocol: str, at: str = "14:00") -> Any:
    return run_json("timetable", "--unit", UNIT, "--protocol", protocol, "--procedure", f"{DAY}T{at}")


def step(document: Any, step_id: str) -> Any:
    return next(step for step in document["steps"] if step["id"] == step_id)


def on_day(clock: str, day: str = DAY) -> str:
    return f"{day}T{clock}+01:00"


def test_r_us_leaves_08_to_10_for_a_procedure_at_14() -> None:
    window = step(timetable("r-us"), "last")["window"]
    assert window == {"start": [on_day("08:00"), on_day("10:00")], "end_by": on_day("12:00")}


def test_r_eu_starts_no_earlier_than_09_and_ends_by_12() -> None:
    window = step(timetable("r-eu"), "last")["window"]
    assert window["start"][0] == on_day("09:00")
    assert window["end_by"] == on_day("12:00")
    assert window["start"][1] == on_day("11:00")  # one litre in one hour must end by 12:00


def test_both_rules_leave_09_to_10() -> None:
    assert step(timetable("r-both"), "last")["window"]["start"] == [on_day("09:00"), on_day("10:00")]


def test_last_clear_liquid_is_two_hours_before() -> None:
    """ASA 2017 and 2023, ESA 2011: clear liquids until 2 h before."""
    stop = step(timetable("r-us"), "stop")
    assert stop["start"] == on_day("12:00")
    assert stop["window"]["start"] == [on_day("12:00"), on_day("12:00")]


@pytest.mark.parametrize(
    ("protocol", "glasses", "last_ml", "last_glass_after", "end"),
    [
        ("four-litres-uk", 16, 250, 225, "18:00"),  # UK SmPC pace: 4 h, the last glass at 3 h 45
        ("four-litres-us", 17, 160, 160, "16:50"),  # US label: 2 h 50, the last glass 160 mL at 2 h 40
        ("four-litres-fast", 16, 250, 150, "16:40"),  # arithmetic: 2 h 40
        ("two-litres", 8, 250, 105, "16:00"),  # arithmetic: 2 h
        ("one-litre", 4, 250, 45, "15:00"),  # label of PEG with ascorbate: 1 h, last glass at 0:45
        ("litre-and-half", 6, 250, 50, "15:00"),  # Shi et al., BMC Gastroenterol 2023: 1 h
    ],
)
def test_pace_gives_glasses_and_end(
    protocol: str, glasses: int, last_ml: int, last_glass_after: int, end: str
) -> None:
    dose = step(timetable(protocol), "dose")
    assert dose["start"] == on_day("14:00", "2026-06-14")
    assert dose["end"] == on_day(end, "2026-06-14")
    amounts = dose["amounts"]
    assert (amounts["glasses"], amounts["last_ml"], amounts["last_glass_after"]) == (
        glasses,
        last_ml,
        last_glass_after,
    )


def test_four_litres_do_not_fit_the_eu_window_and_a_split_is_named() -> None:
    document = timetable("whole-in-eu-window")
    assert document["verdict"] == "refused"
    assert document["steps"] == []
    [finding] = [finding for finding in document["findings"] if finding["severity"] == "refuse"]
    assert finding["kind"] == "rules-collide"
    assert "split" in finding["remedy"].casefold()
    assert "60 minutes" in finding["remedy"]  # 4 h of drinking, 3 h of room


def test_two_litres_from_five_hours_end_three_hours_before() -> None:
    last = step(timetable("two-litres-at-5h"), "last")
    assert (last["start"], last["end"]) == (on_day("09:00"), on_day("11:00"))


def test_the_border_belongs_to_the_window() -> None:
    """Latest start T-4h, two litres in two hours: ends at T-2h exactly, and that is kept."""
    last = step(timetable("two-litres-at-4h"), "last")
    assert (last["start"], last["end"]) == (on_day("10:00"), on_day("12:00"))


def test_half_a_litre_more_is_refused() -> None:
    document = timetable("too-much-at-4h")
    assert document["verdict"] == "refused"
    assert "30 minutes" in document["findings"][-1]["remedy"]


@pytest.mark.parametrize(
    ("protocol", "at", "start"),
    [
        ("r-us", "08:00", ["02:00", "04:00"]),
        ("r-us", "07:30", ["01:30", "03:30"]),
        ("r-us", "11:30", ["05:30", "07:30"]),
        ("r-eu", "08:00", ["03:00", "05:00"]),
    ],
)
def test_early_windows(protocol: str, at: str, start: list[str]) -> None:
    assert step(timetable(protocol, at), "last")["window"]["start"] == [on_day(clock) for clock in start]


def test_a_window_may_lie_on_the_evening_before() -> None:
    window = step(timetable("r-us", "00:30"), "last")["window"]
    eve = "2026-06-14"
    assert window == {"start": [on_day("18:30", eve), on_day("20:30", eve)], "end_by": on_day("22:30", eve)}
