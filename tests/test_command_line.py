"""`daybefore timetable`: what is asked wrongly is told, in words and as JSON, with the right exit code."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.command import DEMO_UNIT, run, run_json

ASK = ("timetable", "--unit", DEMO_UNIT, "--protocol", "peg-ascorbate-split", "--procedure")


@pytest.mark.parametrize(
    ("procedure", "kind", "readings"),
    [
        # London, 29 March 2026: 01:00 becomes 02:00. 25 October 2026: 02:00 becomes 01:00 again.
        ("2026-03-29T01:30", "time-nonexistent", ["2026-03-29T00:30+00:00", "2026-03-29T02:30+01:00"]),
        ("2026-10-25T01:30", "time-ambiguous", ["2026-10-25T01:30+01:00", "2026-10-25T01:30+00:00"]),
    ],
)
def test_a_time_that_is_none_or_two_is_refused_with_both_readings(
    procedure: str, kind: str, readings: list[str]
) -> None:
    told = run_json(*ASK, procedure)
    assert told["verdict"] == "refused"
    [finding] = told["findings"]
    assert finding["kind"] == kind
    assert all(reading in finding["remedy"] for reading in readings)
    assert run(*ASK, procedure, "--json").exit_code == 1


def test_an_offset_decides_between_two_readings() -> None:
    told = run_json(*ASK[:3], "--protocol", "picosulfate-split", "--procedure", "2026-10-25T08:30+00:00")
    assert told["procedure"] == "2026-10-25T08:30+00:00"


@pytest.mark.parametrize(
    "procedure", ["2026-12-03", "tomorrow", "0001-01-01T10:00", "9999-12-31T10:00", "2026-13-01T10:00"]
)
def test_what_is_no_day_and_time_is_wrong_usage(procedure: str) -> None:
    assert run(*ASK, procedure).exit_code == 2


def test_an_unknown_protocol_names_the_known_ones() -> None:
    told = run_json("timetable", "--unit", DEMO_UNIT, "--protocol", "none", "--procedure", "2026-12-03T10:00")
    assert told["findings"][0]["kind"] == "protocol-unknown"
    assert "picosulfate-split" in told["findings"][0]["remedy"]


def test_steps_already_past_are_told() -> None:
    """Planned at 20:00 on the evening before: the dose of 18:00 has passed."""
    told = run_json(*ASK, "2026-12-03T09:30", "--now", "2026-12-02T20:00")
    assert told["verdict"] == "check"
    [finding] = [finding for finding in told["findings"] if finding["kind"] == "short-notice"]
    assert "evening-dose" in finding["where"]
    assert len(told["steps"]) == 19


@pytest.mark.parametrize(
    "command",
    [
        ("read", "any.csv"),
        ("build", "any.csv", "--out", "OUT"),
        ("protocol", "check", "protocols/any.toml"),
        ("timetable", "--protocol", "any", "--procedure", "2026-12-03T09:30"),
    ],
)
def test_a_faulty_unit_is_one_json_document_in_the_commands_own_form(
    tmp_path: Path, command: tuple[str, ...]
) -> None:
    unit = tmp_path / "unit"
    unit.mkdir()
    (unit / "unit.toml").write_text("name = “curly”\n")
    words = [str(tmp_path / "out") if word == "OUT" else word for word in command]
    told = run_json(*words, "--unit", unit)
    if command[0] == "timetable":
        assert (told["verdict"], told["steps"], told["findings"][0]["kind"]) == (
            "refused",
            [],
            "file-unreadable",
        )
    elif command[0] == "protocol":
        assert told["files"][0]["findings"][0]["kind"] == "file-unreadable"
    else:
        assert told["files"][0]["refused"]["kind"] == "file-unreadable"
        assert set(told["files"][0]["counts"].values()) == {0}
    assert run(*words, "--unit", unit, "--json").exit_code == 1
    assert not (tmp_path / "out").exists()
