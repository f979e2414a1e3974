"""The files a unit starts from: the two folders agree, and their plans keep what a clinical reader asked for."""

from __future__ import annotations

import datetime as dt
import tomllib

import pytest

from generator.finding import Verdict
from generator.materials.unit_folder import read_unit_folder
from generator.plan.cases import Cases
from generator.plan.hourly import fullest_hour, sessions_of
from generator.plan.moments import minutes_between
from generator.plan.timetable import Timetable
from tests.command import DEMO_UNIT, ROOT
from tests.nouns import day_booking

STARTER = ROOT / "templates" / "unit"
FOLDER = read_unit_folder(DEMO_UNIT)
CASES = Cases(FOLDER.unit, FOLDER.regimens, FOLDER.stated)
SLOTS = [
    (protocol, start, travel)
    for protocol, starts in {
        "peg-ascorbate-split": ("07:30", "09:00", "10:15", "12:55"),
        "peg-ascorbate-same-day": ("13:00", "14:00", "16:10", "18:25"),
        "picosulfate-split": ("07:30", "09:00", "11:40", "14:55"),
    }.items()
    for start in starts
    for travel in (0, 30, 90)
]


def planned(protocol: str, start: str, travel: int) -> Timetable:
    timetable = CASES.timetable(day_booking(protocol, start, travel), None)
    assert timetable.verdict is not Verdict.REFUSED
    return timetable


@pytest.mark.parametrize(
    "file",
    [
        "factors.toml",
        "instructions.toml",
        "day.toml",
        "aftercare.toml",
        *(f"protocols/{name}.toml" for name in FOLDER.protocols),
    ],
)
def test_the_starter_files_are_those_of_the_demonstration(file: str) -> None:
    one, two = (tomllib.loads((folder / file).read_text("utf-8")) for folder in (DEMO_UNIT, STARTER))
    own = dict.fromkeys(("product", "directions", "results", "lifting", "flying"), "")
    for factor in two.get("factor", []):  # the starter files have more protocols to name
        for key in {"forbid", "only_with"} & set(factor):
            factor[key] = [name for name in factor[key] if name in FOLDER.protocols]
    assert {**one, **own} == {**two, **own}


@pytest.mark.parametrize(("protocol", "start", "travel"), SLOTS)
def test_who_has_had_no_movement_can_call_before_the_next_dose(
    protocol: str, start: str, travel: int
) -> None:
    """Half an hour to call (common practice, no source), and no earlier than 2 h after the first dose began:
    leaflets accept 2 to 6 h."""
    timetable = planned(protocol, start, travel)
    first, second = (step for step in timetable.steps if step.kind == "drink")
    check = timetable.step("no-movement")
    assert minutes_between(first.start, check.start) >= 120
    assert minutes_between(check.start, second.start) >= 30


@pytest.mark.parametrize(("protocol", "start", "travel"), SLOTS)
def test_a_look_leaves_half_an_hour_and_is_taken_at_home(protocol: str, start: str, travel: int) -> None:
    timetable = planned(protocol, start, travel)
    look, stop = timetable.step("look"), timetable.step("nothing-more")
    assert minutes_between(look.start, stop.start) >= 30
    assert look.start <= timetable.leaving
    *_, last = (step for step in timetable.steps if step.kind == "extra-fluid")
    assert last.end is not None
    assert 0 <= minutes_between(last.end, look.start) <= 30


@pytest.mark.parametrize(
    ("protocol", "start", "travel"), [slot for slot in SLOTS if slot[0] == "picosulfate-split"]
)
def test_water_with_picosulfate_stays_below_the_published_case(
    protocol: str, start: str, travel: int
) -> None:
    """About 4.5 L in 8 hours ended in a coma (case report, ESA-SRB 2023): 562 mL an hour."""
    timetable = planned(protocol, start, travel)
    assert fullest_hour(sessions_of(FOLDER.regimens[protocol], timetable.steps))[0] <= 500
    clear = timetable.step("clear-drinks").amounts
    assert (clear["most_ml"], clear["most_ml_per_hour"]) == (4000, 500)


@pytest.mark.parametrize("protocol", FOLDER.protocols)
def test_the_days_of_watching_are_counted_from_the_examination(protocol: str) -> None:
    """Bleeding is counted for 14 days (Paszat et al. 2021): from Monday 15 June to Monday 29 June 2026."""
    start = next(start for name, start, _ in SLOTS if name == protocol)
    timetable = planned(protocol, start, 0)
    watch = timetable.step("watch")
    assert minutes_between(timetable.procedure, watch.start) == 30  # an examination takes about half an hour
    assert watch.amounts["days"] == 14
    assert f"{watch.start + dt.timedelta(days=14):%d %B}" == "29 June"
