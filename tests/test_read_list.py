"""A real-shaped list (cp1252, day first, no offsets) read with the demonstration unit's mapping.

The expected verdicts, starts and kinds are the list's correct reading, worked out by hand from the list, the
unit's hours and closed days (Good Friday 3 April 2026), and the clock change of 29 March 2026.
"""

from __future__ import annotations

from pathlib import Path

from generator.clinic.instruction import MEDICINE_CLASSES
from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT, EXAMPLES, run, run_json

LIST = EXAMPLES / "lists" / "02_uk_cp1252_ddmm.csv"

EXPECTED = {
    "EN-20881": ("accept", "2026-03-25T09:30+00:00", set()),
    "EN-20882": (
        "warn",
        "2026-04-04T09:15+01:00",
        {"needs-unit-instruction:anticoagulant", "weekend", "holiday-in-plan", "time-normalised"},
    ),
    "EN-20883": ("reject", None, {"date-invalid", "date-order-contradiction"}),
    "EN-20884": ("warn", "2026-04-05T09:15+01:00", {"weekend", "combined-procedure", "time-normalised"}),
    "EN-20885": ("reject", None, {"time-nonexistent", "time-outside-hours"}),
    "EN-20886": ("warn", "2026-03-17T08:30+00:00", {"short-notice", "needs-unit-instruction:iron"}),
    "EN-20887": ("reject", None, {"past"}),
    "EN-20888": ("warn", "2026-03-26T14:00+00:00", {"field-overflow"}),
    "EN-20889": ("reject", None, {"arrival-after-procedure"}),
    "EN-20890": ("reject", None, {"date-invalid", "text-damaged"}),
}


def test_every_row_is_read_as_a_careful_clerk_would() -> None:
    [file] = run_json("read", LIST, "--unit", DEMO_UNIT, "--now", "2026-03-16T08:00")["files"]
    assert file["refused"] is None
    rows = {row["ref"]: row for row in file["rows"]}
    assert list(rows) == list(EXPECTED)
    for ref, (verdict, start, kinds) in EXPECTED.items():
        row = rows[ref]
        assert row["verdict"] == verdict, ref
        assert kinds <= {finding["kind"] for finding in row["findings"]}, ref
        if start is not None:
            assert row["start"] == start, ref
    assert file["counts"] == {"accept": 1, "warn": 4, "reject": 5, "skip": 0, "withdraw": 0}
    assert rows["EN-20882"]["travel_minutes"] == 90


def test_no_name_number_or_remark_leaves_the_reader() -> None:
    told = str(run_json("read", LIST, "--unit", DEMO_UNIT, "--now", "2026-03-16T08:00"))
    told = told.replace(MEDICINE_CLASSES["anticoagulant"], "")  # our own words for what a remark hints at
    for private in (
        "Brien",
        "Peña",
        "Hughes",
        "Achebe",
        "Zieli",
        "0048812",
        "Warfarin",
        "deaf",
        "BSL",
        "took a cancellation",
    ):
        assert private.casefold() not in told.casefold(), private


def test_a_list_that_cannot_be_read_does_not_stop_the_others(tmp_path: Path) -> None:
    words = ("read", tmp_path / "nofile.csv", tmp_path, DEMO_LIST, "--unit", DEMO_UNIT, "--now", DEMO_NOW)
    missing, folder, good = run_json(*words)["files"]
    assert missing == {
        "file": "nofile.csv",
        "refused": {
            "severity": "refuse",
            "kind": "file-unreadable",
            "where": "nofile.csv",
            "problem": "There is no such file.",
            "remedy": "Check its name and folder, and read it again.",
        },
        "counts": {"accept": 0, "warn": 0, "reject": 0, "skip": 0, "withdraw": 0},
        "ignored": {"blank": 0, "total": 0, "heading": 0},
        "rows": [],
    }
    assert (folder["refused"]["kind"], folder["refused"]["problem"]) == (
        "file-unreadable",
        "This is a folder, not a list.",
    )
    assert [row["ref"] for row in good["rows"]][:2] == ["DEMO-101", "DEMO-102"]
    outcome = run(*words)
    assert outcome.exit_code == 1
    assert "There is no such file." in outcome.output and "DEMO-101" in outcome.output


def test_a_reference_in_two_lists_of_one_command_is_told_in_both(tmp_path: Path) -> None:
    text = DEMO_LIST.read_text("utf-8")
    moved = tmp_path / "moved.csv"
    moved.write_text(text.replace("18/03/2026,09:30", "18/03/2026,09:45"), "utf-8")
    first, second = run_json("read", DEMO_LIST, moved, "--unit", DEMO_UNIT, "--now", DEMO_NOW)["files"]
    assert [row["verdict"] for row in second["rows"]] == ["reject", "skip", "skip", "skip", "skip", "skip"]
    assert first["rows"][0]["verdict"] == "reject"
    assert [found["kind"] for found in first["rows"][0]["findings"]] == ["ref-conflict"]
    assert "line 2 of moved.csv" in first["rows"][0]["findings"][0]["problem"]
