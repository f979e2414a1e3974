"""Handing over: messages and sheets at the desk and on the command line; the gate over their words; the record."""

from __future__ import annotations

import csv
import io
import stat
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from generator.desk import cancel, handing, make_rows, read
from generator.desk.handing import messages_csv
from generator.page.message_text import Kind
from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT, run, run_json
from tests.lives import HEADING, ROWS, Office, build
from tests.reviewed import TAG, Place, place_at, review_all

LATER = "2026-03-16T08:30"


@pytest.fixture(scope="module")
def office() -> Office:
    return Office()


@pytest.fixture
def place(tmp_path: Path) -> tuple[str | Path, ...]:
    words = ("--unit", DEMO_UNIT, "--out", tmp_path)
    run_json("build", DEMO_LIST, *words, "--now", DEMO_NOW)
    return (*words, "--now", LATER)


def test_due_messages_are_in_each_patients_language(place: tuple[str | Path, ...]) -> None:
    said = run_json("messages", "--due", *place)["messages"]
    assert [(one["ref"], one["kind"], one["language"]) for one in said] == [
        ("DEMO-101", "first", "en"),
        ("DEMO-102", "first", "es"),
        ("DEMO-104", "first", "en"),
        ("DEMO-103", "first", "ar"),
        ("DEMO-105", "first", "es"),
        ("DEMO-106", "first", "en"),
    ]
    for one in said:
        assert one["text"].endswith(f"\n{one['link']}")
        assert one["given"] == []


def test_what_was_exported_is_not_due_again_and_is_told(place: tuple[str | Path, ...]) -> None:
    looked = run("messages", "--due", "--csv", *place)
    assert looked.stdout == run("messages", "--due", "--csv", *place).stdout  # only looking records nothing
    taken = run("messages", "--due", "--csv", "--role", "clerk", *place)
    assert taken.stdout == looked.stdout
    assert "Recorded as exported: 6." in taken.stderr
    assert "0 message(s)." in run("messages", "--due", *place).output
    again = run("messages", "--ref", "DEMO-101", "--kind", "first", *place)
    assert "given before: first, exported, Monday 16 March, 08:30, clerk" in again.output
    assert "Call 01632 960 182" in again.output
    audit = run("audit", "--out", place[3]).output
    assert audit.count("handed:first:exported  clerk") == 6
    assert "DEMO" not in audit


def test_the_csv_has_its_columns_and_no_spreadsheet_runs_a_cell(office: Office, tmp_path: Path) -> None:
    rows = (ROWS[0].replace("DEMO-101", "-2+3"), ROWS[2])
    with office.desk(tmp_path, DEMO_NOW) as desk:
        reading = read(desk.folder, (HEADING + "".join(rows)).encode(), "list.csv", desk.now)
        assert all(made.was_changed for made in make_rows(desk, reading.rows))
        found = handing.due_messages(desk)
        raw = messages_csv(found, bom=True)
        assert raw.startswith(b"\xef\xbb\xbf")
        assert messages_csv(found, bom=False) == raw[3:]
    lines = list(csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")))
    assert lines[0] == ["reference", "language", "kind", "text", "link", "parts"]
    assert [line[:3] for line in lines[1:]] == [["'-2+3", "en", "first"], ["DEMO-103", "ar", "first"]]
    for line in lines[1:]:
        assert line[3].endswith(f"\n{line[4]}")
        assert int(line[5]) >= 2
        assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for cell in line)


def test_files_that_hold_links_are_for_their_owner_alone(
    place: tuple[str | Path, ...], tmp_path: Path
) -> None:
    for words in (("messages", "--due", "--csv"), ("handout", "--day", "2026-03-18", "--to")):
        path = tmp_path / "taken"
        path.unlink(missing_ok=True)
        assert run(*words, path, *place).exit_code == 0
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert run("handout", "--day", "2026-03-18", "--to", tmp_path / "no" / "x", *place).exit_code == 1


def test_all_sheets_of_a_day_are_one_page_in_the_order_of_the_list(place: tuple[str | Path, ...]) -> None:
    page = run("handout", "--day", "2026-03-19", "--role", "clerk", *place)
    assert page.exit_code == 0
    assert page.stdout.index('class="ref">DEMO-103<') < page.stdout.index('class="ref">DEMO-104<')
    assert page.stdout.count('<table class="sheet"') == 2
    due = [one["ref"] for one in run_json("messages", "--due", *place)["messages"]]
    assert due == ["DEMO-101", "DEMO-102", "DEMO-105", "DEMO-106"]  # the link went with the sheet


def test_a_plan_that_was_taken_down_has_no_sheet_and_its_message_says_so(
    place: tuple[str | Path, ...],
) -> None:
    assert run("cancel", "--ref", "DEMO-104", "--role", "clerk", *place).exit_code == 0
    page = run("handout", "--day", "2026-03-19", *place)
    assert page.exit_code == 1
    assert "DEMO-104: This booking has no plan that holds (it is cancelled)" in page.stderr
    assert page.stdout.count('<table class="sheet"') == 1
    [one] = [one for one in run_json("messages", "--due", *place)["messages"] if one["ref"] == "DEMO-104"]
    assert one["kind"] == "cancelled"
    assert "Eat and drink normally again." in one["text"]
    nothing = run("handout", "--ref", "DEMO-104", *place)
    assert (nothing.exit_code, nothing.stdout) == (1, "")


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("messages",), 2),
        (("messages", "--due", "--ref", "DEMO-101"), 2),
        (("messages", "--due", "--csv", "--json"), 2),
        (("messages", "--ref", "NOBODY"), 1),
        (("handout",), 2),
        (("handout", "--day", "19/03/2026"), 2),
        (("handout", "--day", "2026-05-19"), 1),
    ],
)
def test_what_was_typed_wrongly_is_told(
    place: tuple[str | Path, ...], words: tuple[str, ...], code: int
) -> None:
    assert run(*words, *place).exit_code == code


def test_a_language_that_lacks_the_words_is_refused_but_what_must_be_told_is_told_in_english(
    office: Office, tmp_path: Path
) -> None:
    wordings = {tag: wording for tag, wording in office.wordings.items() if tag != "es"}
    with office.desk(tmp_path, DEMO_NOW) as desk:
        build(desk, ROWS[:2])
        [_, spanish] = desk.records.every()
        without = replace(desk, wordings=wordings)
        first = handing.messages_of(without, spanish)[0]
        assert first.text is None
        assert [finding.kind for finding in first.findings] == ["language-missing"]
        assert handing.handouts(without, [spanish]).records == ()
        cancel(desk, "DEMO-102", "clerk")
        [told] = handing.messages_of(without, desk.records.again(spanish))
        assert told.kind is Kind.CANCELLED
        assert told.text is not None
        assert told.text.lang == "en"


@pytest.fixture
def real(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Place:
    found = place_at(tmp_path, monkeypatch)
    review_all(found)
    assert "link" in found.row()
    return found


def words_at(place: Place) -> tuple[Any, ...]:
    return ("--unit", place.unit, "--out", place.unit.parent / "out", "--now", LATER)


def test_a_real_unit_sends_only_words_that_were_reviewed(real: Place) -> None:
    [one] = run_json("messages", "--due", *words_at(real))["messages"]
    assert one["language"] == TAG
    assert one["findings"] == []
    assert run("handout", "--ref", "REF-1", *words_at(real)).exit_code == 0
    real.change("Ábralo ahora y léalo.", "Ábralo ya y léalo.")
    real.change("Abra el enlace ahora y léalo.", "Abra el enlace ya y léalo.")
    [one] = run_json("messages", "--due", *words_at(real))["messages"]
    assert one["text"] is None
    assert [finding["kind"] for finding in one["findings"]] == ["language-not-reviewed"]
    assert "B.text.first" in one["findings"][0]["problem"]
    refused = run("handout", "--ref", "REF-1", "--role", "clerk", *words_at(real))
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert "B.hand.now" in refused.stderr
    assert "handed:" not in run("audit", "--out", real.unit.parent / "out").output
    assert "link" in real.row()  # the plan that is up, and its page, do not hang on these words
