"""A unit's signatures and clearances: begun, kept with what was seen, announced before they end."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest

from generator.clinic.signoff import SignOff, ending_findings
from generator.errors import BadRequest
from tests.command import DEMO_LIST, DEMO_NOW, run, run_json
from tests.plans import copy_of_demo_unit

SPLIT = "protocols/peg-ascorbate-split.toml"


def test_a_new_unit_is_the_starter_files_unsigned(tmp_path: Path) -> None:
    folder = tmp_path / "unit"
    told = run("unit", "new", folder)
    assert told.exit_code == 0
    assert (folder / "unit.toml").is_file()
    assert (folder / "PROTOCOLS.md").is_file()
    assert not (folder / "signoffs.csv").exists()
    again = run("unit", "new", folder)
    assert isinstance(again.exception, BadRequest)
    assert "nothing was copied" in again.exception.problem


@pytest.mark.parametrize(
    ("days", "told"),
    [(61, []), (60, ["signature-ends:60"]), (30, ["signature-ends:30"]), (8, ["signature-ends:30"]),
     (7, ["signature-ends:7"]), (0, ["signature-ends:7"]), (-1, [])],
)  # fmt: skip
def test_the_end_of_a_signature_is_announced(days: int, told: list[str]) -> None:
    """60, 30 and 7 days before; the day after it is a refusal of its own."""
    today = dt.date(2026, 11, 1)
    line = SignOff("p.toml", "d1", "lead", dt.date(2026, 1, 5), today + dt.timedelta(days=days))
    assert [finding.kind for finding in ending_findings("p.toml", "d1", [line], today)] == told
    assert ending_findings("p.toml", "d2", [line], today) == []  # a dead signature ends nothing


def test_building_announces_the_end_of_a_signature(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    signoffs = unit / "signoffs.csv"
    signoffs.write_text(signoffs.read_text().replace("2036-01-05", "2026-04-10"))
    said = run_json("build", DEMO_LIST, "--unit", unit, "--out", tmp_path / "out", "--now", DEMO_NOW)
    assert {finding["kind"] for finding in said["unit"]} == {"signature-ends:30"}  # 25 days
    assert "link" in said["files"][0]["rows"][0]


def test_samples_stand_with_the_signature(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    sign = ("protocol", "sign", SPLIT, "--unit", unit, "--role", "lead", "--review-by", "2036-01-05")
    assert run(*sign, "--now", DEMO_NOW).exit_code == 0
    [kept] = (unit / "signed").glob("peg-ascorbate-split-*.json")
    seen = json.loads(kept.read_text("utf-8"))
    [name, *_] = seen["samples"]
    assert [step[0] for step in seen["samples"][name]].count("evening-dose") == 1
    check = ("protocol", "check", SPLIT, "--unit", unit)
    assert run_json(*check)["files"][0]["findings"] == []


def test_a_nurse_clears_one_booking_of_a_real_unit(tmp_path: Path) -> None:
    """Nobody else's row is cleared by it, and it dies when the row changes."""
    unit = copy_of_demo_unit(tmp_path)
    text = (unit / "unit.toml").read_text("utf-8")
    assert "demonstration = true" in text
    (unit / "unit.toml").write_text(text.replace("demonstration = true", "demonstration = false"))
    place = ("--unit", unit, "--out", tmp_path / "out", "--now", DEMO_NOW)

    def kinds(ref: str) -> set[str]:
        rows = run_json("build", DEMO_LIST, *place)["files"][0]["rows"]
        [row] = [row for row in rows if row["ref"] == ref]
        return {finding["kind"] for finding in row["findings"]}

    assert "not-cleared" in kinds("DEMO-101")
    decide = ("decide", DEMO_LIST, *place, "--ref", "DEMO-101", "--kind", "not-cleared", "--role", "nurse")
    assert run(*decide, "--choice", "cleared").exit_code == 0
    assert "not-cleared" not in kinds("DEMO-101")
    assert "language-not-reviewed" in kinds("DEMO-101")  # and still no draft reaches a real patient
    assert "not-cleared" in kinds("DEMO-104")
