"""By when a session must have ended, and what the page carries of it: from the protocol's rules, the way, the quiet."""

from __future__ import annotations

import datetime as dt
import json
import re
import tomllib
from typing import Any

import pytest

from generator.clinic.booking import Booking
from generator.clinic.factor import factors_from
from generator.plan.planning import timetable_for
from generator.plan.suited import Stated
from tests.command import DEMO_UNIT
from tests.nouns import protocol_of, unit_in
from tests.plans import Built, built

# DEMO-101: 18 March 2026, 09:30; be there 09:00, leave 08:40 (twenty minutes' way). Doses of 4 × 250 mL in 15 minutes
# each, from 18:00 and from 05:30, each mixed a quarter of an hour before and kept two hours; half a litre of
# clear drinks after each.


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> Built:
    return built(tmp_path_factory.mktemp("plans"))


def page(plans: Built) -> str:
    return (plans.folder("DEMO-101") / "index.html").read_text("utf-8")


def hour(minutes: int) -> str:
    return (
        f"{minutes // 60 % 24:02}:{minutes % 60:02}"  # UTC, which is London's time in March before the 29th
    )


def test_the_limits_of_each_session(plans: Built) -> None:
    """Morning: nothing after 07:30 (2 h before), so the drinks, half an hour at their fastest, begin by 07:00; the
    quiet hour before 08:40 begins at 07:40. Evening: the morning's dose begins at 05:30."""
    found = re.search(r'id="plan">(.*?)</script>', page(plans), re.DOTALL)
    assert found is not None
    block: dict[str, Any] = json.loads(found[1])
    limits = {
        step["id"]: (hour(step["pace"]["by"]), hour(step["pace"]["quiet"]), step["pace"]["keeps"])
        for step in block["steps"]
        if "pace" in step
    }
    assert limits == {
        "evening-dose": ("05:00", "07:10", 105),
        "evening-drinks": ("05:30", "07:40", 0),
        "morning-dose": ("07:00", "07:10", 105),
        "morning-drinks": ("07:30", "07:40", 0),
    }
    assert (block["most"], block["steady"]) == (1000, False)


def test_without_scripts_the_steps_say_pace_and_end(plans: Built) -> None:
    """The evening's mixture keeps until 19:45; the morning's until 07:15, but the dose must end by 07:00."""
    blocks = re.findall(r'<div class="lines pace">(.*?)</div>', page(plans), re.DOTALL)
    evening, morning = (re.sub(r"<[^>]*>|[\u2066-\u2069]", "", block) for block in blocks)
    assert evening.startswith("Pour 250\u00a0mL of water from the measuring jug into your glass.")
    assert "It has to be finished by 19:45." in evening
    assert "Go no faster than one glass every 15 minutes." in morning
    assert "It has to be finished by 07:00. Is that too fast for you? Call the unit now." in morning.replace(
        ".I", ". I"
    )
    assert not morning.startswith("Pour")


@pytest.mark.parametrize(
    ("name", "steady"), [("frail", True), ("fluid-limit", True), ("constipation", False)]
)
def test_a_factor_of_the_unit_keeps_the_pace(name: str, steady: bool) -> None:
    table = tomllib.loads((DEMO_UNIT / "factors.toml").read_text("utf-8"))
    protocols = ("peg-ascorbate-split", "peg-ascorbate-same-day", "picosulfate-split")
    factors, findings = factors_from(table, protocols, "factors.toml")
    assert not findings
    dose = {"id": "d", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15, "at": "05:00", "day": 0}
    start = dt.datetime.fromisoformat("2026-06-15T10:00+01:00")
    booking = Booking("r", start, "p", ("en",), travel_minutes=0, factors=(name,))
    unit, protocol = unit_in(), protocol_of(dose)
    made = timetable_for(booking, protocol, unit, None, Stated(factors))
    assert made.steady is steady
    assert made.shifted(dt.timedelta(days=1)).steady is steady
