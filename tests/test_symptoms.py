"""The unit's levels for warning signs: raised or lowered while signed, never below danger to life."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from generator.clinic.symptoms import levels_from
from generator.page.symptoms import EMERGENCY, SIGN_LEVELS, TELL, UNIT, signs_at
from tests.plans import built, copy_of_demo_unit, unit_stating

FILE = "symptoms.toml"


def sign(name: str, level: str) -> dict[str, str]:
    return {"sign": name, "level": level, "source": "a source"}


def test_what_the_unit_does_not_name_stays() -> None:
    levels, findings = levels_from({"sign": [sign("unit.heart", "emergency")]}, SIGN_LEVELS, FILE)
    assert findings == []
    assert [one.id for one in signs_at("emergency", levels)] == [
        *(one.id for one in EMERGENCY),
        "A.call.unit.heart",
    ]
    assert len(signs_at("unit", levels)) == len(UNIT) - 1
    assert signs_at("tell", levels) == TELL
    assert signs_at("unit", {}) == UNIT


@pytest.mark.parametrize(
    ("signs", "kind", "told"),
    [
        ([sign("unit.hart", "tell")], "value-invalid", "unit.heart"),
        ([sign("unit.heart", "wait")], "value-invalid", "emergency"),
        ([sign("emergency.chest", "unit")], "sign-lowered", "danger to life"),
        ([sign("emergency.chest", "tell")], "sign-lowered", "danger to life"),
        ([sign("unit.heart", "tell"), sign("unit.heart", "unit")], "sign-doubled", "Keep one"),
        ([{"sign": "unit.heart", "level": "tell"}], "key-missing", "source"),
    ],
)
def test_faults_are_told_with_the_next_step(signs: list[dict[str, str]], kind: str, told: str) -> None:
    [finding] = levels_from({"sign": signs}, SIGN_LEVELS, FILE)[1]
    assert finding.kind == kind
    assert told in finding.problem + finding.remedy


def lists(page: str) -> dict[str, str]:
    """Heading -> the signs under it, on the plan's page."""
    call = page[page.index('<section id="call"') :]
    return {
        re.sub("<[^>]+>", "", heading).strip(): signs
        for heading, signs in re.findall(r'<h3>(.*?)</h3>\s*<ul class="signs">(.*?)</ul>', call, re.DOTALL)
    }


def test_a_signed_level_is_on_the_page_and_an_unsigned_one_is_not(tmp_path: Path) -> None:
    lowered = '\n[[sign]]\nsign = "unit.headache"\nlevel = "tell"\nsource = "a rule"\n'
    unit = unit_stating(tmp_path / "signed", FILE, lowered)
    page = (built(tmp_path / "a", unit=unit).folder("DEMO-101") / "index.html").read_text("utf-8")
    told = lists(page)
    assert "Bad headache" in told["Carry on, and tell us when you arrive"]
    assert "Your heart races" in next(
        signs for head, signs in told.items() if head.startswith("Ring the emergency")
    )
    unit = copy_of_demo_unit(tmp_path / "unsigned")
    with (unit / FILE).open("a", encoding="utf-8") as added:
        added.write(lowered)
    page = (built(tmp_path / "b", unit=unit).folder("DEMO-101") / "index.html").read_text("utf-8")
    told = lists(page)
    assert "Bad headache" in told["Stop the bowel medicine and ring the unit now"]
    assert "Your heart races" in told["Stop the bowel medicine and ring the unit now"]
