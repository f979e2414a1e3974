"""Build and sign when something goes wrong: told with the next step, and nobody else loses a link."""

from __future__ import annotations

import datetime as dt
import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from generator import batch
from generator.cli import build as module
from generator.cli import main
from generator.clinic.signoff import SignOff, signature_findings, signoffs_from
from generator.desk import Desk, Made, make_rows
from generator.errors import BadMaterials, BadRecords, BadRequest, BadShelf, DaybeforeError
from generator.intake import RowReading
from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT, ROOT, run, run_json
from tests.plans import built, copy_of_demo_unit

SIGN = (
    "protocol",
    "sign",
    "protocols/picosulfate-split.toml",
    "--now",
    DEMO_NOW,
    "--review-by",
    "2026-12-31",
)


def refused(*words: str | Path) -> DaybeforeError:
    """The error of `daybefore WORDS`, which main() prints with its next step."""
    error = run(*words).exception
    assert isinstance(error, DaybeforeError), error
    return error


def printed_by_main(monkeypatch: pytest.MonkeyPatch, capsys: Any, *words: str | Path) -> tuple[object, str]:
    monkeypatch.setattr(sys, "argv", ["daybefore", *(str(word) for word in words)])
    with pytest.raises(SystemExit) as stop:
        main()
    return stop.value.code, capsys.readouterr().err


@pytest.mark.parametrize("error", [BadShelf, BadRecords])
def test_one_row_that_fails_keeps_nobody_else_from_a_link(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: type[DaybeforeError]
) -> None:
    def failing(desk: Desk, rows: Sequence[RowReading]) -> list[Made]:
        if any(row.ref == "DEMO-102" for row in rows):
            raise error("The disk is full.", remedy="Make room.")
        return make_rows(desk, rows)

    monkeypatch.setattr(batch, "make_rows", failing)
    plans = built(tmp_path)
    assert list(plans.links) == ["DEMO-101", "DEMO-103", "DEMO-104", "DEMO-105", "DEMO-106"]
    [file] = plans.said["files"]
    row = file["rows"][1]
    assert row["verdict"] == "reject"
    assert row["findings"][-1] == {
        "severity": "refuse",
        "kind": "not-written",
        "where": "DEMO-102",
        "problem": "The disk is full.",
        "remedy": "Make room.",
    }
    assert file["counts"]["reject"] == 1
    told = run("build", DEMO_LIST, "--unit", DEMO_UNIT, "--out", tmp_path, "--now", DEMO_NOW)
    assert told.exit_code == 1
    assert "The disk is full." in told.output
    assert "5 plan(s) are up." in told.output
    assert plans.links["DEMO-101"] in told.output


def test_a_list_that_cannot_be_read_is_told_and_the_other_is_built(tmp_path: Path) -> None:
    told = run_json(
        "build", tmp_path / "no.csv", DEMO_LIST, "--unit", DEMO_UNIT, "--out", tmp_path, "--now", DEMO_NOW
    )
    assert [file["refused"] is None for file in told["files"]] == [False, True]
    assert "link" in told["files"][1]["rows"][0]


def test_one_reference_in_two_lists_with_other_content_gets_no_plan(tmp_path: Path) -> None:
    """Two plans for one patient may never be; the lists of one command are read together."""
    other = tmp_path / "other.csv"
    other.write_text(DEMO_LIST.read_text().replace("18/03/2026,09:30,09:00", "18/03/2026,11:30,11:00"))
    plans = built(tmp_path / "out", lists=(DEMO_LIST, other))
    assert "DEMO-101" not in plans.links
    assert "DEMO-102" in plans.links
    verdicts = [file["rows"][0]["verdict"] for file in plans.said["files"]]
    assert verdicts == ["reject", "reject"]


def test_nothing_is_made_before_the_lists_were_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise BadRequest("No.", remedy="Try.")

    monkeypatch.setattr(module, "reading_of", broken)
    refused("build", DEMO_LIST, "--unit", DEMO_UNIT, "--out", tmp_path / "out", "--now", DEMO_NOW)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "address",
    [
        "http://ex ample.org/",
        "https://example.org/?q=1",
        "https://example.org/#top",
        "https://",
        "https:///plans/",
        "ftp://example.org/",
        "example.org",
        "https://example.org/a\tb/",
    ],
)
def test_an_address_that_cannot_stand_before_a_link_is_refused(tmp_path: Path, address: str) -> None:
    where = ("--unit", DEMO_UNIT, "--out", tmp_path / "out", "--now", DEMO_NOW)
    error = refused("build", DEMO_LIST, *where, "--base-url", address)
    assert "https://plans.example.org/" in error.remedy
    assert not (tmp_path / "out").exists()


def test_two_builds_at_once_give_every_booking_one_link(tmp_path: Path) -> None:
    """Whoever is second may be told to run again; then it finds the same links, and every plan is whole."""
    command = [sys.executable, "-m", "generator", "build", str(DEMO_LIST), "--unit", str(DEMO_UNIT)]
    both = [
        subprocess.Popen(
            [*command, "--out", str(tmp_path), "--now", DEMO_NOW, "--json"],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    said = [json.loads(process.communicate(timeout=120)[0]) for process in both]
    after = built(tmp_path)
    assert len(after.links) == 6
    for rows in (one["files"][0]["rows"] for one in said):
        for row in rows:
            assert row.get("link", after.links[row["ref"]]) == after.links[row["ref"]]
    folders = {path.name for path in (tmp_path / "public" / "p").iterdir()}
    assert folders == {"index.html"} | {after.token(ref) for ref in after.links}


def test_a_defect_is_told_by_its_place_and_never_by_a_value(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    def broken(*_: object) -> None:
        raise ValueError("SECRET-4711")

    monkeypatch.setattr(module, "read_unit_folder", broken)
    code, said = printed_by_main(
        monkeypatch, capsys, "build", DEMO_LIST, "--unit", DEMO_UNIT, "--out", tmp_path
    )
    assert code == 1
    assert said.startswith("Something went wrong inside daybefore (ValueError in build.py line ")
    assert "\n  Next: " in said
    assert "SECRET" not in said
    assert "Traceback" not in said


def test_damaged_records_are_told_without_a_reference(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    (tmp_path / "records.sqlite").write_bytes(b"not a database" * 100)
    where = ("--unit", DEMO_UNIT, "--out", tmp_path, "--now", DEMO_NOW)
    code, said = printed_by_main(monkeypatch, capsys, "build", DEMO_LIST, *where)
    assert code == 1
    assert "restore its last copy" in said
    assert "DEMO-1" not in said


def test_a_signature_is_added_after_a_last_line_without_its_end(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "signoffs.csv"
    path.write_bytes(path.read_bytes().rstrip(b"\n"))
    before = path.read_text().splitlines()
    told = run(*SIGN, "--unit", unit, "--role", "  clinical \n lead ")
    assert told.exit_code == 0, told.output
    lines = path.read_text().splitlines()
    assert lines[:-1] == before
    assert lines[-1].startswith("protocols/picosulfate-split.toml,")
    assert lines[-1].endswith(",clinical lead,2026-03-16,2026-12-31")
    assert run("read", DEMO_LIST, "--unit", unit, "--now", DEMO_NOW).exit_code == 0
    assert [name.name for name in unit.iterdir() if name.name.startswith(".")] == []


def test_a_first_signature_makes_the_file(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    (unit / "signoffs.csv").unlink()
    assert run(*SIGN, *SIGN[2:3], "--unit", unit, "--role", "lead, “GI”").exit_code == 0
    signoffs, findings = signoffs_from((unit / "signoffs.csv").read_text(), "signoffs.csv")
    assert [(line.file, line.role) for line in signoffs] == [
        ("protocols/picosulfate-split.toml", "lead, “GI”")
    ]
    assert findings == []


@pytest.mark.parametrize("role", ["", "  ", "\u200b", "- -", "x" * 200])
def test_a_role_that_nobody_can_read_signs_nothing(tmp_path: Path, role: str) -> None:
    unit = copy_of_demo_unit(tmp_path)
    before = (unit / "signoffs.csv").read_bytes()
    assert "clinical lead" in refused(*SIGN, "--unit", unit, "--role", role).remedy
    assert (unit / "signoffs.csv").read_bytes() == before


def test_a_folder_in_the_place_of_the_signatures_is_told(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    (unit / "signoffs.csv").unlink()
    (unit / "signoffs.csv").mkdir()
    error = refused(*SIGN, "--unit", unit, "--role", "lead")
    assert isinstance(error, BadMaterials)
    assert "signoffs.csv" in error.problem + "".join(finding.where for finding in error.findings)


def test_a_full_disk_leaves_the_signatures_as_they_were(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    unit = copy_of_demo_unit(tmp_path)
    before = (unit / "signoffs.csv").read_bytes()
    monkeypatch.setattr(os, "fsync", full)
    assert "No space left" in refused(*SIGN, "--unit", unit, "--role", "lead").problem
    assert (unit / "signoffs.csv").read_bytes() == before
    assert [name.name for name in unit.iterdir() if name.name.startswith(".")] == []


@pytest.mark.parametrize(
    "line", ["p.toml," + "x" * 131_073 + ",lead,2026-01-05,2026-06-30", "p.toml,abc,,2026-01-05,2026-06-30"]
)
def test_a_line_that_cannot_be_a_signature_is_a_finding(line: str) -> None:
    """131,072 characters are the most that Python's csv takes in one cell; nobody signs without a role."""
    _, findings = signoffs_from(f"file,digest,role,signed,review_by\n{line}\n", "signoffs.csv")
    assert [(finding.kind, finding.where) for finding in findings] == [("signoff-invalid", "signoffs.csv:2")]


def test_a_signature_that_begins_later_is_not_said_to_have_ended() -> None:
    signoff = SignOff("p.toml", "abc", "lead", dt.date(2026, 4, 1), dt.date(2036, 1, 5))
    [finding] = signature_findings("p.toml", "abc", [signoff], dt.date(2026, 3, 16))
    assert finding.kind == "signature-not-begun"
    assert "from 2026-04-01 on" in finding.problem
    assert signature_findings("p.toml", "abc", [signoff], dt.date(2026, 4, 1)) == []
