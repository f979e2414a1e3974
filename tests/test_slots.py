"""The slot guide: which starts of a day fit, which cost a piece of the night, and what a longer way does to them.

Published: of patients asked for a split dose 27 % kept to it for 08:00 and 96 % for 14:00 (Radaelli et al., Gut);
with more than an hour's way fewer did, OR 0.30 (PMC5833226). Reluctant to get up: 27 %, more with 4 L (Endosc Int
Open 2018).
"""

from __future__ import annotations

import re
import time
import xml.etree.ElementTree as ElementTree
from pathlib import Path
from typing import Any

import pytest

from generator.errors import BadRequest
from generator.materials.unit_folder import read_unit_folder
from generator.page.slot_picture import Stamp, slot_svg
from generator.plan.slots import slot_guide
from tests.command import DEMO_UNIT, ROOT, run, run_json
from tests.plans import copy_of_demo_unit

STARTER = ROOT / "templates" / "unit"
FOLDER = read_unit_folder(STARTER)
FOUR_LITRES = ("slots", "--unit", STARTER, "--protocol", "peg-els-4l-split")
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def guide() -> Any:
    return run_json(*FOUR_LITRES)


def row(guide: Any, at: str, travel: int) -> Any:
    [found] = [one for one in guide["rows"] if (one["time"], one["travel_minutes"]) == (at, travel)]
    return found


def test_the_form_that_is_promised(guide: Any) -> None:
    assert set(guide) == {"protocol", "zone", "rows"}
    assert (guide["protocol"], guide["zone"]) == ("peg-els-4l-split", "Europe/London")
    assert len(guide["rows"]) == 45 * 4  # every quarter of an hour from 07:30 to 18:30
    for one in guide["rows"]:
        assert one["fits"] in ("yes", "night", "no")
        assert (one["because"] == []) is (one["fits"] == "yes")
        assert (one["first_start"] is None) is (one["fits"] == "no")


def test_eight_needs_a_start_in_the_night_and_fourteen_does_not(guide: Any) -> None:
    """4 L split: the last two litres take two hours and end 2.5 h before: for 08:00 they start by 03:30, for 14:00 by
    09:30; a quarter of an hour earlier they are mixed."""
    early, late = row(guide, "08:00", 0), row(guide, "14:00", 0)
    assert (early["fits"], early["first_start"]) == ("night", "03:15")
    assert early["because"] == ["night-awake", "morning-dose", "mix-morning"]
    assert (late["fits"], late["first_start"], late["because"]) == ("yes", "09:15", [])


def test_more_than_an_hours_way_makes_it_worse(guide: Any) -> None:
    """Leaving at 06:00 for 08:00 leaves half an hour less sleep, or half an hour less quiet than an hour's way does."""
    for at in ("07:30", "08:00", "09:00", "10:00", "14:00"):
        near, far = row(guide, at, 60), row(guide, at, 90)
        assert far["first_start"] <= near["first_start"]
        assert far["quiet_minutes"] <= near["quiet_minutes"]
    assert (row(guide, "08:00", 60)["first_start"], row(guide, "08:00", 90)["first_start"]) == (
        "03:15",
        "02:45",
    )
    fits = {way: {at: row(guide, at, way)["fits"] for at in ("10:15", "10:30", "14:00")} for way in (60, 90)}
    assert fits == {
        60: {"10:15": "yes", "10:30": "yes", "14:00": "yes"},
        90: {"10:15": "night", "10:30": "night", "14:00": "yes"},
    }
    short = [
        sum(
            one["quiet_minutes"] < 60
            for one in guide["rows"]
            if one["fits"] != "no" and one["travel_minutes"] == way
        )
        for way in (0, 30, 60, 90)
    ]
    assert short[:3] == [0, 0, 0]
    assert short[3] > 0
    [three_hours] = {one["fits"] for one in run_json(*FOUR_LITRES, "--travel", "180")["rows"]}
    assert (
        three_hours == "no"
    )  # leaving three and a half hours before: the last litre cannot have ended by then


def test_a_start_that_only_the_night_would_leave_quiet_enough_for_is_marked(guide: Any) -> None:
    """10:15 from 90 minutes away, there half an hour early, means leaving at 08:15. Two litres in two hours from 05:45
    (mixed at 05:30, when the night is over) leave half an hour; to leave the hour that the unit wishes for they start
    at 05:15, the five hours before that ESGE allows, and are mixed at 05:00."""
    found = row(guide, "10:15", 90)
    assert (found["first_start"], found["quiet_minutes"], found["quiet_start"]) == ("05:30", 30, "05:00")
    assert found["because"] == ["quiet-short", "morning-dose"]
    near = row(guide, "10:15", 60)
    assert (near["first_start"], near["quiet_minutes"], near["quiet_start"]) == ("05:30", 60, None)
    # From two hours away the hour cannot be kept at all; the night would leave half of it instead of nothing.
    [far] = [one for one in run_json(*FOUR_LITRES, "--travel", "120")["rows"] if one["time"] == "10:15"]
    assert (far["fits"], far["quiet_minutes"], far["quiet_start"]) == ("night", 0, "05:00")


def test_a_start_that_does_not_fit_names_the_rules_that_collide() -> None:
    found = row(run_json(*FOUR_LITRES, "--travel", "180"), "08:00", 180)
    assert found["because"] == ["rules-collide", "morning-dose"]


def test_a_start_of_another_protocol_is_not_one_of_its_own() -> None:
    guide = run_json("slots", "--unit", DEMO_UNIT, "--protocol", "peg-ascorbate-same-day", "--travel", "0")
    assert row(guide, "08:00", 0)["because"] == ["slot-outside", "peg-ascorbate-same-day"]
    assert row(guide, "14:00", 0)["fits"] == "yes"


def test_an_evening_that_lasts_into_the_night_says_until_when() -> None:
    """18 h before 14:00 is 20:00: the first sachet; five glasses of half an hour from 20:30 last until 23:00."""
    found = row(
        run_json("slots", "--unit", DEMO_UNIT, "--protocol", "picosulfate-split", "--travel", "0"), "14:00", 0
    )
    assert (found["fits"], found["evening_end"], found["first_start"]) == ("night", "23:00", "09:00")


def test_a_first_start_before_midnight_says_so() -> None:
    found = row(
        run_json("slots", "--unit", STARTER, "--protocol", "picosulfate-evening", "--travel", "0"), "08:00", 0
    )
    assert (found["fits"], found["first_start"], found["first_day"]) == ("night", "22:30", -1)


def test_ways_are_told_in_order_each_once() -> None:
    guide = run_json(*FOUR_LITRES, "--travel", "45", "--travel", "10", "--travel", "45")
    assert [one["travel_minutes"] for one in guide["rows"][:3]] == [10, 45, 10]


def test_the_table_has_a_line_for_each_start() -> None:
    told = run(*FOUR_LITRES).output
    assert "08:00   03:15 night" in told
    assert "14:00   09:15 " in told
    nine = next(line for line in told.splitlines() if line.startswith("09:00"))
    assert re.split(r"  +", nine) == ["09:00", *["04:15 night"] * 3, "04:15, 30 min night"]
    assert "Not signed as it stands: not for use." in told


@pytest.mark.parametrize(
    ("now", "said"),
    [
        ("2026-03-16T08:00", "Valid until 2036-01-05."),
        ("2036-01-06T08:00", "The signature ended on 2036-01-05: not for use."),
        ("2026-01-04T08:00", "Not signed as it stands: not for use."),
    ],
)
def test_it_says_until_when_it_holds(now: str, said: str) -> None:
    told = run("slots", "--unit", DEMO_UNIT, "--protocol", "picosulfate-split", "--travel", "0", "--now", now)
    assert said in told.output


def test_a_changed_figure_makes_it_a_guide_of_something_unsigned(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "protocols" / "picosulfate-split.toml"
    path.write_text(path.read_text("utf-8").replace("glasses = 5", "glasses = 6", 1), "utf-8")
    told = run("slots", "--unit", unit, "--protocol", "picosulfate-split", "--travel", "0").output
    assert "Not signed as it stands" in told


def test_a_protocol_that_is_not_there_is_told_with_those_that_are() -> None:
    stopped = run("slots", "--unit", DEMO_UNIT, "--protocol", "none").exception
    assert isinstance(stopped, BadRequest)
    assert "picosulfate-split" in stopped.remedy
    told = run_json("slots", "--unit", DEMO_UNIT, "--protocol", "none")
    assert (told["rows"], told["findings"][0]["kind"]) == ([], "protocol-unknown")


def test_the_picture_has_every_start_and_says_what_it_is_of(tmp_path: Path) -> None:
    picture = tmp_path / "guide.svg"
    outcome = run(
        "slots",
        "--unit",
        DEMO_UNIT,
        "--protocol",
        "picosulfate-split",
        "--svg",
        picture,
        "--now",
        "2026-03-16T08:00",
    )
    assert outcome.exit_code == 0
    root = ElementTree.parse(picture).getroot()
    told = [text.text or "" for text in root.iter(f"{SVG}text")]
    [digest] = [
        line.split(",")[1]
        for line in (DEMO_UNIT / "signoffs.csv").read_text("utf-8").splitlines()
        if "picosulfate-split" in line
    ]
    assert f"Protocol picosulfate-split, version {digest}. Valid until 2036-01-05." in told
    assert {f"{hour:02}:{minute:02}" for hour in range(8, 18) for minute in (0, 15, 30, 45)} <= set(told)
    assert told.count("no") == 15 * 4 + 1  # from 15:00 to 18:30, and the key
    hatched = [path for path in root.iter(f"{SVG}path") if path.get("fill") == "url(#night)"]
    assert len(hatched) == (12 + 5) * 4 + 2 + 1  # until 10:15, 13:45 to 14:45; 10:30, 10:45 from far; the key
    inks = {
        one.get("stroke") or one.get("fill") for one in root.iter() if one.get("stroke") or one.get("fill")
    }
    assert inks <= {"#14493f", "#8d978f", "#1c2422", "#fff", "url(#night)"}


def test_nothing_of_a_title_gets_into_the_picture_as_markup() -> None:
    guide = slot_guide(FOLDER.regimens["peg-els-4l-split"], FOLDER.unit, (0,))
    picture = slot_svg(guide, Stamp("a <b> & “c”", "v", "Valid.", "U & V", "22:30 to 05:30"))
    assert "a <b> & “c”" in [text.text for text in ElementTree.fromstring(picture).iter(f"{SVG}text")]


def test_a_picture_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    stopped = run(*FOUR_LITRES, "--travel", "0", "--svg", tmp_path / "none" / "guide.svg").exception
    assert isinstance(stopped, BadRequest)
    assert "cannot be written" in stopped.problem


def test_a_days_guide_takes_a_second_or_two() -> None:
    """Of processor time, so that other work on the machine does not count."""
    before = time.process_time()
    slot_guide(FOLDER.regimens["peg-els-4l-split"], FOLDER.unit)
    assert time.process_time() - before < 4
