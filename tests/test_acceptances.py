"""Departures that the clinical lead accepts: counted from then on, and told anew once their figures change.

Trade: “a departure may be accepted with reason and date; then it is counted, not repeated”.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest

from generator.errors import BadMaterials, BadRequest
from tests.command import ROOT, run, run_json
from tests.plans import copy_of_demo_unit

EVENING = "protocols/picosulfate-evening.toml"  # both published windows for the last dose are missed
WHY = ("--reason", "The morning list begins at 07:30; patients asked for it.", "--role", "clinical lead")
NOW = ("--now", "2026-11-28T09:00")


@pytest.fixture
def unit(tmp_path: Path) -> Path:
    """The demonstration's unit with one protocol that departs from two rules."""
    folder = copy_of_demo_unit(tmp_path)
    (folder / EVENING).write_bytes((ROOT / "templates" / "unit" / EVENING).read_bytes())
    return folder


def accept(unit: Path, *words: str) -> Any:
    return run("protocol", "accept", EVENING, "--unit", unit, *words, *NOW)


def told(unit: Path) -> Any:
    return run_json("protocol", "check", EVENING, "--unit", unit)["files"][0]


def text(unit: Path) -> str:
    return run("protocol", "check", EVENING, "--unit", unit).output


def test_what_is_accepted_is_counted_and_not_repeated(unit: Path) -> None:
    assert "2 departures from published rules" in text(unit)
    assert {one["yardstick"] for one in told(unit)["departures"]} == {"esge-2019", "usmstf-2025"}
    assert accept(unit, "--yardstick", "esge-2019", *WHY).exit_code == 0
    said = text(unit)
    assert "1 departure from published rules" in said
    assert "1 departure accepted on 2026-11-28 (clinical lead)" in said
    assert "differs from esge-2019" not in said
    assert "differs from usmstf-2025" in said
    assert accept(unit, "--yardstick", "usmstf-2025", *WHY).exit_code == 0
    assert "2 departures accepted on 2026-11-28 (clinical lead)" in text(unit)
    after = told(unit)
    assert after["departures"] == []
    assert after["accepted"][0] == {
        "yardstick": "esge-2019",
        "rule": "ESGE 2019 says 5 h at most",
        "departures": 6,
        "accepted": "2026-11-28",
        "role": "clinical lead",
        "reason": "The morning list begins at 07:30; patients asked for it.",
    }


def test_with_other_figures_it_is_told_in_full_again(unit: Path) -> None:
    """The earliest start an hour later: then 22:00 is 10 h 30 min before it, and no longer 9 h 30 min."""
    accept(unit, "--yardstick", "esge-2019", *WHY)
    path = unit / EVENING
    before = path.read_text("utf-8")
    assert 'since = "07:30", until = "12:00"' in before
    path.write_text(before.replace('since = "07:30"', 'since = "08:30"'), "utf-8")
    said = text(unit)
    assert "The last dose starts 10 h 30 min before; ESGE 2019 says 5 h at most." in said
    assert "accepted on 2026-11-28 with other figures" in said
    assert "departure accepted on" not in said
    path.write_text(before, "utf-8")
    assert "1 departure accepted on 2026-11-28 (clinical lead)" in text(unit)


def test_another_figure_that_leaves_the_departure_as_it_is_keeps_it_accepted(unit: Path) -> None:
    accept(unit, "--yardstick", "esge-2019", *WHY)
    path = unit / EVENING
    path.write_text(path.read_text("utf-8").replace("days = 14", "days = 10", 1), "utf-8")
    assert "1 departure accepted on 2026-11-28 (clinical lead)" in text(unit)


def test_accepting_twice_adds_no_second_line(unit: Path) -> None:
    accept(unit, "--yardstick", "esge-2019", *WHY)
    again = accept(unit, "--yardstick", "esge-2019", *WHY)
    assert "Accepted before" in again.output
    with (unit / "accepted.csv").open(encoding="utf-8", newline="") as file:
        [line] = csv.DictReader(file)
    assert (line["file"], line["yardstick"], line["role"]) == (EVENING, "esge-2019", "clinical lead")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--yardstick", "esge", *WHY), "esge-2019 (ESGE 2019 says 5 h at most)"),
        (("--yardstick", "esge-2019", "--rule", "at least", *WHY), "Departures there are:"),
        (("--yardstick", "esge-2019", "--reason", " ", "--role", "lead"), "--reason"),
        (("--yardstick", "esge-2019", "--reason", "because", "--role", "7"), "role"),
    ],
)
def test_what_cannot_be_accepted_is_told_with_the_next_step(
    unit: Path, words: tuple[str, ...], said: str
) -> None:
    stopped = accept(unit, *words).exception
    assert isinstance(stopped, BadRequest)
    assert said in stopped.remedy
    assert not (unit / "accepted.csv").exists()


def test_signing_says_what_nobody_has_accepted(unit: Path) -> None:
    sign = ("protocol", "sign", EVENING, "--unit", unit, "--role", "lead", "--review-by", "2027-01-05", *NOW)
    assert "departs from 2 published rule(s) that nobody has accepted" in run(*sign).output
    for yardstick in ("esge-2019", "usmstf-2025"):
        accept(unit, "--yardstick", yardstick, *WHY)
    assert "nobody has accepted" not in run(*sign).output


def test_one_rule_of_several_may_be_accepted(unit: Path) -> None:
    accept(unit, "--yardstick", "usmstf-2025", "--rule", "6 H AT MOST", *WHY)
    assert "1 departure accepted" in text(unit)


def test_a_protocol_with_a_fault_accepts_nothing(unit: Path) -> None:
    (unit / EVENING).write_text('title = "x"\n', "utf-8")
    stopped = accept(unit, "--yardstick", "esge-2019", *WHY).exception
    assert isinstance(stopped, BadMaterials)
    assert stopped.findings


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        ("file,rule\n", "accepted-header"),
        (
            "file,yardstick,rule,figures,reason,role,accepted\na,b,c,d,e,lead,yesterday\n",
            "acceptance-invalid",
        ),
        (
            "file,yardstick,rule,figures,reason,role,accepted\na,b,c,d,,lead,2026-11-28\n",
            "acceptance-invalid",
        ),
        ("file,yardstick,rule,figures,reason,role,accepted\na,b\n", "acceptance-invalid"),
    ],
)
def test_a_damaged_file_is_told_and_left_as_it_is(unit: Path, content: str, kind: str) -> None:
    (unit / "accepted.csv").write_text(content, "utf-8")
    assert [one["kind"] for one in told(unit)["findings"]] == [kind]
    assert isinstance(accept(unit, "--yardstick", "esge-2019", *WHY).exception, BadMaterials)
    assert (unit / "accepted.csv").read_text("utf-8") == content
