"""A change of the software that moves what was signed: found, named, and no new plan is made before it is signed anew.

Trade: “a later version of the software that yields another time for any of them makes the protocol unsigned and says
which”. The change is played by a kept sample that says what an earlier version had planned.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tests.command import DEMO_LIST, DEMO_NOW, run, run_json
from tests.plans import copy_of_demo_unit

SPLIT = "protocols/peg-ascorbate-split.toml"
SIGN = ("--role", "lead", "--review-by", "2036-01-05", "--now", DEMO_NOW)


def kept_of(unit: Path) -> Path:
    [kept] = (unit / "signed").glob("peg-ascorbate-split-*.json")
    return kept


def planned_otherwise(unit: Path) -> None:
    """As if the version that was signed had put the last dose of the first sample a quarter of an hour later."""
    kept = kept_of(unit)
    seen = json.loads(kept.read_text("utf-8"))
    steps = next(iter(seen["samples"].values()))
    [dose] = [step for step in steps if step[0] == "morning-dose"]
    dose[1:3] = ["2027-06-16T03:45+01:00", "2027-06-16T04:45+01:00"]
    [first] = [step for step in steps if step[0] == "collect"]
    first[1] = "2027-06-14T17:00+01:00"
    kept.write_text(json.dumps(seen), "utf-8")


def checked(unit: Path) -> Any:
    return run_json("protocol", "check", SPLIT, "--unit", unit)["files"][0]["findings"]


def test_it_names_protocol_sample_step_both_times_and_what_to_do(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    assert checked(unit) == []
    planned_otherwise(unit)
    [finding] = checked(unit)
    assert (finding["kind"], finding["severity"], finding["where"]) == ("samples-differ", "refuse", SPLIT)
    assert "A start at 07:30 with 0 minutes' way: " in finding["problem"]
    assert "“collect” is 18:00 2 days before instead of 17:00 2 days before" in finding["problem"]
    assert "“morning-dose” is 03:30 to 04:30 instead of 03:45 to 04:45" in finding["problem"]
    assert f"daybefore protocol sign {SPLIT}" in finding["remedy"]


def test_no_new_plan_is_made_of_it_until_it_is_signed_anew(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    planned_otherwise(unit)
    place = ("--unit", unit, "--out", tmp_path / "out", "--now", DEMO_NOW)

    def refused() -> set[str]:
        rows = run_json("build", DEMO_LIST, *place)["files"][0]["rows"]
        return {row["protocol"] for row in rows for one in row["findings"] if one["kind"] == "samples-differ"}

    assert refused() == {"peg-ascorbate-split"}  # and no other protocol
    assert run("protocol", "sign", SPLIT, "--unit", unit, *SIGN).exit_code == 0
    assert refused() == set()
    planned_otherwise(unit)
    assert refused() == set()  # what was given stays up


def test_another_night_of_the_unit_is_no_change_of_the_software(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "unit.toml"
    text = path.read_text("utf-8")
    assert "arrival_lead_minutes = 30" in text
    path.write_text(text.replace("arrival_lead_minutes = 30", "arrival_lead_minutes = 60"), "utf-8")
    [finding] = checked(unit)
    assert (finding["kind"], finding["severity"]) == ("samples-moved", "warn")
    assert "another arrival_lead_minutes" in finding["problem"]
    place = ("--unit", unit, "--out", tmp_path / "out", "--now", DEMO_NOW)
    rows = run_json("build", DEMO_LIST, *place)["files"][0]["rows"]
    assert not {one["kind"] for row in rows for one in row["findings"]} & {"samples-differ", "samples-moved"}


def test_samples_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    for damaged in ("", "[]", '{"unit": {}, "samples": {}}', '{"unit": {"zone": "Europe/London"}}'):
        kept_of(unit).write_text(damaged, "utf-8")
        assert [one["kind"] for one in checked(unit)] == ["samples-unreadable"], damaged


def test_a_signature_that_was_copied_without_its_samples_is_told(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    kept_of(unit).unlink()
    assert [(one["kind"], one["severity"]) for one in checked(unit)] == [("samples-missing", "note")]
