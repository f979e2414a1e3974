"""`daybefore protocol check`: faults, slots that cannot be prepared for, departures, unanswered telephones."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from generator.errors import BadMaterials
from tests.command import DEMO_UNIT, EXAMPLES, run, run_json
from tests.plans import copy_of_demo_unit

RULES = EXAMPLES / "units" / "rules"


def checked(unit: Path, file: str) -> Any:
    [told] = run_json("protocol", "check", file, "--unit", unit)["files"]
    assert told["file"] == file
    return told


def kinds(told: Any) -> set[str]:
    return {finding["kind"] for finding in told["findings"]}


def test_the_demonstrations_protocols_have_no_fault_and_only_the_departures_they_announce() -> None:
    for path in sorted((DEMO_UNIT / "protocols").glob("*.toml")):
        told = checked(DEMO_UNIT, f"protocols/{path.name}")
        departs = {f"{one['yardstick']}: {one['rule']}" for one in told["departures"]}
        assert (told["findings"], departs) == ([], set(announced(path)))


def announced(path: Path) -> list[str]:
    """The departures that a protocol's own remarks name, written “# Departs: yardstick: rule”."""
    return re.findall(r"^# Departs: (.+)$", path.read_text("utf-8"), re.MULTILINE)


def test_a_fault_is_told_with_its_place_and_the_command_says_no(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "protocols" / "picosulfate-split.toml"
    path.write_text(path.read_text().replace("packets = 1", "packet = 1", 1))
    told = checked(unit, "protocols/picosulfate-split.toml")
    [finding] = told["findings"]
    assert finding["kind"] == "key-unknown"
    assert "mix-first" in finding["where"]
    assert "“packets”" in finding["remedy"]
    outcome = run("protocol", "check", "protocols/picosulfate-split.toml", "--unit", unit)
    assert outcome.exit_code == 1


def test_a_file_that_is_no_toml_is_one_fault(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    (unit / "protocols" / "bad.toml").write_text("title = “curly quotes”\n")
    assert [finding["kind"] for finding in checked(unit, "protocols/bad.toml")["findings"]] == [
        "file-unreadable"
    ]
    assert [finding["kind"] for finding in checked(unit, "protocols/none.toml")["findings"]] == [
        "file-unreadable"
    ]


def test_departures_name_the_rule_and_the_slot() -> None:
    """4 L from 14:00 on the day before: the last dose is long over at any slot; both published windows are missed."""
    told = checked(RULES, "protocols/four-litres-uk.toml")
    assert {departure["yardstick"] for departure in told["departures"]} == {"esge-2019", "usmstf-2025"}
    first = told["departures"][0]
    assert first["rule"] == "ESGE 2019 says 5 h at most"
    assert first["problem"].startswith(
        "A start at 00:00 with 0 minutes' way: The last dose starts 10 h before"
    )


def test_slots_that_cannot_be_prepared_for_are_named() -> None:
    told = checked(RULES, "protocols/whole-in-eu-window.toml")
    assert "slot-does-not-fit" in kinds(told)


def test_in_words_the_sentences_name_steps_as_the_page_does() -> None:
    told = run("protocol", "check", "protocols/whole-in-eu-window.toml", "--unit", RULES).output
    assert "“Drink the bowel medicine” has ended by 2 h before the procedure (rule)" in told


def test_a_check_when_nobody_answers_is_found(tmp_path: Path) -> None:
    """The ward's line is closed at night: the look after the last drinks, before 08:00, has nobody to call."""
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "unit.toml"
    path.write_text(path.read_text().replace('"mon-sun 00:00-24:00"', '"mon-sun 09:00-17:00"'))
    told = checked(unit, "protocols/peg-ascorbate-split.toml")
    assert kinds(told) == {"check-without-line"}
    where = {finding["where"] for finding in told["findings"]}
    # 21:00, three hours after the dose began, is after the line closes too.
    assert where == {"peg-ascorbate-split look", "peg-ascorbate-split no-movement"}


def test_a_pattern_names_the_files_of_the_units_folder() -> None:
    """The shell expands patterns where it stands, which is not the unit's folder."""
    told = run_json("protocol", "check", "protocols/peg-*.toml", "factors.toml", "--unit", DEMO_UNIT)
    assert [one["file"] for one in told["files"]] == [
        "protocols/peg-ascorbate-same-day.toml",
        "protocols/peg-ascorbate-split.toml",
        "factors.toml",
    ]
    nothing = run("protocol", "check", "protocols/x-*.toml", "--unit", DEMO_UNIT)
    assert nothing.exit_code == 1
    assert "protocols/x-*.toml cannot be opened" in nothing.output


def test_a_file_that_was_not_read_departs_from_nothing(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    (unit / "protocols" / "bad.toml").write_text("title = “curly quotes”\n")
    for file in ("protocols/bad.toml", "protocols/none.toml"):
        outcome = run("protocol", "check", file, "--unit", unit)
        assert outcome.exit_code == 1
        assert "departures" not in outcome.output
    assert "0 departures" in run("protocol", "check", "protocols/peg-*.toml", "--unit", unit).output


@pytest.mark.parametrize(
    ("file", "where"),
    [
        ("instructions.toml", "instructions.toml instruction iron-week source"),
        ("factors.toml", "factors.toml factor under-18 source"),
        ("protocols/peg-ascorbate-split.toml", "protocols/peg-ascorbate-split.toml row collect source"),
    ],
)
def test_an_example_is_not_signed(tmp_path: Path, file: str, where: str) -> None:
    """A figure that its own source calls an example must not reach a patient by somebody's haste."""
    unit = copy_of_demo_unit(tmp_path)
    path, signatures = unit / file, (unit / "signoffs.csv").read_text()
    text = path.read_text()
    path.write_text(
        text.replace('source = "common practice, no source', 'source = "An example; ask your doctor', 1)
    )
    [told] = [one for one in checked(unit, file)["findings"] if one["kind"] == "source-example"]
    assert (told["where"], told["severity"]) == (where, "refuse")
    words = ("--role", "lead", "--review-by", "2036-01-05", "--now", "2026-03-02T09:00")
    outcome = run("protocol", "sign", file, "--unit", unit, *words)
    assert outcome.exit_code == 1
    assert isinstance(outcome.exception, BadMaterials)
    assert [finding.where for finding in outcome.exception.findings] == [where]
    assert (unit / "signoffs.csv").read_text() == signatures
    path.write_text(text)
    assert run("protocol", "sign", file, "--unit", unit, *words).exit_code == 0


@pytest.mark.parametrize("file", ["factors.toml", "instructions.toml"])
def test_the_other_files_are_checked_too(tmp_path: Path, file: str) -> None:
    unit = copy_of_demo_unit(tmp_path)
    assert checked(unit, file)["findings"] == []
    (unit / file).write_text((unit / file).read_text().replace("title =", "titel =", 1))
    assert kinds(checked(unit, file)) == {"key-missing", "key-unknown"}
