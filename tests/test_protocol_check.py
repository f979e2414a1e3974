"""`daybefore protocol check`: faults, slots that cannot be prepared for, departures, unanswered telephones."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.command import DEMO_UNIT, EXAMPLES, run, run_json
from tests.plans import copy_of_demo_unit

RULES = EXAMPLES / "units" / "rules"


def checked(unit: Path, file: str) -> Any:
    [told] = run_json("protocol", "check", file, "--unit", unit)["files"]
    assert told["file"] == file
    return told


def kinds(told: Any) -> set[str]:
    return {finding["kind"] for finding in told["findings"]}


def test_the_demonstrations_protocols_have_no_fault_and_no_departure() -> None:
    for path in sorted((DEMO_UNIT / "protocols").glob("*.toml")):
        told = checked(DEMO_UNIT, f"protocols/{path.name}")
        assert (told["findings"], told["departures"]) == ([], [])


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
