"""Sheets: out to a reviewer as CSV and HTML, and back in; what was changed on the way is refused."""

from __future__ import annotations

import base64
import csv
import hashlib
import io
import json
import re
from pathlib import Path

import pytest

from generator.words.cells import guarded, unguarded
from generator.words.sheet import COLUMNS
from tests.command import run, run_json
from tests.plans import copy_of_demo_unit
from tests.reviewed import TAG, Place, place_at, review_all
from tests.test_words import MESSAGES

NOW = ("--now", "2026-03-16T08:00")
DANGEROUS = (
    sum(message.risk == "A" for message in MESSAGES.values()) + 44
)  # the unit's own: 2 instructions, 22 answers, 15 "until", 5 sentences on the day and after it
HEAD_LINES = 6  # language, role, sheet, reviewer, qualification, date


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Place:
    return place_at(tmp_path, monkeypatch)


def sheet(place: Place, role: str, tag: str = TAG, *more: str) -> list[list[str]]:
    """The lines of a new sheet, as a spreadsheet shows them."""
    out = place.unit.parent / "sheets"
    made = run("language", "sheet", tag, "--role", role, "--unit", place.unit, "--out", out, *more, *NOW)
    assert made.exit_code == 0, made.output
    text = (out / f"{tag}-{role}.csv").read_bytes().decode("utf-8-sig")
    return list(csv.reader(io.StringIO(text, newline="")))


def saved(
    place: Place, lines: list[list[str]], *, delimiter: str = ",", end: str = "\r\n", bom: bool = True
) -> Path:
    """The sheet as a spreadsheet saves it."""
    text = io.StringIO()
    csv.writer(text, delimiter=delimiter, lineterminator=end).writerows(lines)
    path = place.unit.parent / "answers.csv"
    path.write_bytes((b"\xef\xbb\xbf" if bom else b"") + text.getvalue().encode())
    return path


def answered(lines: list[list[str]], *verdicts: str) -> list[list[str]]:
    """The sheet with these verdicts in its first rows."""
    column = COLUMNS.index("verdict")
    for line, verdict in zip(lines[HEAD_LINES + 1 :], verdicts, strict=False):
        line[column] = verdict
    return lines


def accept(place: Place, path: Path, by: str, *more: str) -> str:
    """What `accept` prints."""
    return run("language", "accept", path, "--by", by, "--unit", place.unit, *more, *NOW).output


def ledger(place: Place) -> list[list[str]]:
    """The lines of the unit's ledger, without its heading."""
    path = place.ledger(of_unit=True)
    return list(csv.reader(path.read_text("utf-8").splitlines()))[1:] if path.exists() else []


@pytest.mark.words_of("es")
def test_a_sheet_holds_at_most_sixty_finished_sentences_dangerous_ones_first(place: Place) -> None:
    lines = sheet(place, "translator")
    assert lines[0] == ["language", TAG]
    assert lines[1] == ["role", "translator"]
    assert lines[HEAD_LINES] == list(COLUMNS)
    rows = [dict(zip(COLUMNS, line, strict=True)) for line in lines[HEAD_LINES + 1 :]]
    assert len(rows) == 60
    assert [row["nr"] for row in rows] == [str(number) for number in range(1, 61)]
    assert {row["risk"] for row in rows} == {"A"}
    assert not any("{" in row["english"] + row["translation"] for row in rows)
    [stop] = [row for row in rows if row["id"] == "A.after.emergency-now"]
    assert "01632 960 999" in stop["translation"]
    assert "emergencias" in stop["translation"]
    raw = (place.unit.parent / "sheets" / f"{TAG}-translator.csv").read_bytes()
    assert raw.startswith(b'\xef\xbb\xbf"language","qxx"\r\n')


def test_what_has_that_roles_stamp_is_on_no_sheet(place: Place) -> None:
    review_all(place)
    for role in ("translator", "reviser", "clinician"):
        made = run("language", "sheet", TAG, "--role", role, "--unit", place.unit, *NOW)
        assert made.output == f"Nothing in “{TAG}” waits for a {role}.\n"


def test_reviews_that_are_due_are_on_a_sheet_again(place: Place) -> None:
    review_all(place)
    late = ("--now", "2028-01-06T08:00")  # 24 months after 2026-01-05 have passed
    out = place.unit.parent
    made = run("language", "sheet", TAG, "--role", "clinician", "--unit", place.unit, "--out", out, *late)
    assert f"60 of {DANGEROUS} messages that wait for a clinician" in made.output


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize(("end", "bom"), [("\r\n", True), ("\n", False)])
def test_a_sheet_comes_back_from_any_spreadsheet(place: Place, delimiter: str, end: str, bom: bool) -> None:
    lines = answered(sheet(place, "translator"), "OK", "ok", "CHANGE", "STOP", "", "maybe")
    rows = lines[HEAD_LINES + 1 :]
    rows[2][COLUMNS.index("proposed")] = '=mejor; así, "con" todo\nen dos líneas'
    rows[3][COLUMNS.index("note")] = "says the opposite"
    rows[1][COLUMNS.index("translation")] += " "  # spreadsheets trim and add spaces
    told = accept(place, saved(place, lines, delimiter=delimiter, end=end, bom=bom), "tr-1")
    assert "2 accepted, 2 for the translator, 1 refused, 55 without an answer." in told
    assert [(line[0], line[2], line[3], line[4], line[6]) for line in ledger(place)] == [
        (rows[0][1], "translator", "tr-1", "2026-03-16", ""),
        (rows[1][1], "translator", "tr-1", "2026-03-16", ""),
        (rows[3][1], "stop", "tr-1", "2026-03-16", "says the opposite"),
    ]
    asked = (place.unit / "locales" / "todo" / f"{TAG}.csv").read_text("utf-8")
    todo = list(csv.reader(io.StringIO(asked, newline="")))
    assert [(line[0], line[2], line[3]) for line in todo[1:]] == [
        (rows[2][1], "CHANGE", '\'=mejor; así, "con" todo\nen dos líneas'),
        (rows[3][1], "STOP", ""),
    ]


def test_edited_and_stale_rows_are_refused_with_the_reason(place: Place) -> None:
    lines = answered(sheet(place, "translator"), *["OK"] * 4)
    rows = lines[HEAD_LINES + 1 :]
    rows[0][COLUMNS.index("translation")] += " muy"
    rows[1][COLUMNS.index("english")] = "Something else"
    changed = rows[2][COLUMNS.index("translation")]
    place.change(f'msgstr "{changed}"', f'msgstr "{changed} Sí."')
    told = accept(place, saved(place, lines), "tr-1")
    assert f"{rows[0][1]}: The column translation was edited" in told
    assert f"{rows[1][1]}: The column english was edited" in told
    assert f"{rows[2][1]}: The message has changed since the sheet was made.\n" in told
    assert "it goes on the next sheet" in told
    assert [line[0] for line in ledger(place)] == [rows[3][1]]


def test_a_sheet_accepted_twice_says_nothing_new(place: Place) -> None:
    path = saved(place, answered(sheet(place, "translator"), "OK", "STOP"))
    accept(place, path, "tr-1")
    before = ledger(place)
    assert len(before) == 2
    assert "0 accepted, 0 for the translator, 0 refused" in accept(place, path, "tr-1")
    assert ledger(place) == before


def test_nobody_revises_their_own_words(place: Place) -> None:
    accept(place, saved(place, answered(sheet(place, "translator"), "OK")), "tr-1")
    path = saved(place, answered(sheet(place, "reviser"), "OK"))
    told = accept(place, path, "tr-1")
    assert "tr-1 has looked at these words as translator already; as reviser somebody else has to." in told
    assert "1 accepted" in accept(place, path, "rv-2")


@pytest.mark.parametrize(
    ("line", "cell", "kind"),
    [
        (1, "clinician", "The lines above the rows were changed"),
        (0, "es", "The lines above the rows were changed"),
        (3, "rv-9", "The sheet was filled in by rv-9, not by tr-1."),
        (5, "16.3.2026", "The date on the sheet is not a day up to today"),
        (5, "2026-03-17", "The date on the sheet is not a day up to today"),
        (6, "other", "There is no line with the columns nr, id,"),
    ],
)
def test_a_head_that_says_something_else_is_refused_whole(
    place: Place, line: int, cell: str, kind: str
) -> None:
    lines = answered(sheet(place, "translator"), "OK")
    lines[line][1] = cell
    assert kind in accept(place, saved(place, lines), "tr-1")
    assert ledger(place) == []


def test_a_row_that_stands_twice_is_taken_once(place: Place) -> None:
    lines = answered(sheet(place, "translator"), "OK")
    lines.append(lines[HEAD_LINES + 1])
    assert "This message stands on the sheet twice." in accept(place, saved(place, lines), "tr-1")
    assert len(ledger(place)) == 1


def test_a_clinician_reviews_for_a_unit_only(place: Place) -> None:
    told = run("language", "sheet", TAG, "--role", "clinician", *NOW)
    assert "A clinician reviews for a unit." in str(told.exception)
    path = saved(place, answered(sheet(place, "clinician"), "OK"))
    told = run("language", "accept", path, "--by", "dr-3", *NOW)
    assert "A clinician reviews for a unit." in str(told.exception)
    assert not (place.locales / "reviews").exists()


def test_english_has_a_second_reader_and_no_translator(place: Place) -> None:
    told = run("language", "sheet", "en", "--role", "translator", "--unit", place.unit, *NOW)
    assert "Nobody reviews “en” as translator." in str(told.exception)
    rows = sheet(place, "reviser", "en")[HEAD_LINES + 1 :]
    assert {row[COLUMNS.index("translation")] for row in rows} == {""}


def test_the_units_own_words_are_on_the_sheets(place: Place) -> None:
    """They are the last of class A by id."""
    sizes: list[int] = []
    while True:
        lines = sheet(place, "clinician", "en")
        sizes.append(len(lines) - HEAD_LINES - 1)
        if sizes[-1] < 60:
            break
        accept(place, saved(place, answered(lines, *["OK"] * 60)), "dr-3")
    assert sum(sizes) == DANGEROUS
    assert "A.unit.instruction.iron-week" in [line[1] for line in lines]


def test_a_sheet_of_one_protocol_has_its_words_alone(place: Place) -> None:
    out = place.unit.parent
    words = ("language", "sheet", TAG, "--role", "clinician", "--unit", place.unit, "--out", out, *NOW)
    whole, part = run(*words).output, run(*words, "--protocol", "picosulfate-split").output
    counts = [int(re.search(r"of (\d+) messages", told)[1]) for told in (whole, part)]  # type: ignore[index]
    assert counts[0] == DANGEROUS
    assert 150 < counts[1] < DANGEROUS


def test_what_somebody_put_back_into_english_is_on_the_next_sheet(place: Place) -> None:
    lines = sheet(place, "translator")
    lines[HEAD_LINES + 1][COLUMNS.index("back_translation")] = "No alcohol, ever."
    path = saved(place, lines)
    again = sheet(place, "reviser", TAG, "--back", str(path))
    assert again[HEAD_LINES + 1][COLUMNS.index("back_translation")] == "No alcohol, ever."
    assert "1 accepted" in accept(place, saved(place, answered(again, "OK")), "rv-2")


def test_reviews_are_carried_over_by_whoever_may_say_that_the_meaning_is_the_same(place: Place) -> None:
    review_all(place)
    ids = {"A": "A.after.alcohol", "B": "B.after.forget"}
    for message_id in ids.values():
        text = place.po.read_text("utf-8")
        found = re.search(rf'(msgctxt "{message_id}"\nmsgid .*\nmsgstr ".*)\."\n', text)
        assert found
        place.change(found[0], f'{found[1]} ."\n')
    words = ("--unit", place.unit, "--reason", "a space", *NOW)
    refused = run("language", "accept", "--same-meaning", ids["A"], "--by", "rv-2", *words)
    assert "only a clinician" in str(refused.exception)
    for message_id, code in ((ids["A"], "dr-3"), (ids["B"], "rv-2")):
        done = run("language", "accept", "--same-meaning", message_id, "--by", code, *words)
        assert done.exit_code == 0, done.exception
    assert [line[2:4] for line in ledger(place)[-2:]] == [["carried", "dr-3"], ["carried", "rv-2"]]
    assert place.row()["verdict"] == "accept"
    again = run("language", "accept", "--same-meaning", ids["A"], "--by", "dr-3", *words)
    assert "There is nothing to carry over" in str(again.exception)


def test_words_that_were_never_fully_reviewed_carry_nothing(place: Place) -> None:
    accept(place, saved(place, answered(sheet(place, "translator"), *["OK"] * 60)), "tr-1")
    told = run(
        "language", "accept", "--same-meaning", "A.after.alcohol", "--by", "dr-3", "--unit", place.unit,
        "--reason", "a comma", *NOW,
    )  # fmt: skip
    assert "There is nothing to carry over" in str(told.exception)


@pytest.mark.words_of("es")
def test_status_counts_and_names_what_keeps_a_protocol_from_being_used(place: Place) -> None:
    words = ("language", "status", "--unit", place.unit, *NOW)
    said = {one["tag"]: one for one in run_json(*words)["languages"]}
    assert said[TAG]["classes"]["A"] == {"messages": DANGEROUS, "translated": DANGEROUS, "reviewed": 0}
    assert said[TAG]["protocols"]["picosulfate-split"]["publishable"] is False
    review_all(place)
    said = {one["tag"]: one for one in run_json(*words)["languages"]}
    assert said[TAG]["classes"]["A"]["reviewed"] == DANGEROUS
    assert said[TAG]["protocols"]["picosulfate-split"] == {"publishable": True, "lacking": []}
    text = run(*words).output
    assert re.search(
        rf"^{TAG} +{DANGEROUS} of {DANGEROUS}, {DANGEROUS} .* yes +yes +yes$", text, re.MULTILINE
    )
    place.change('msgstr "No beba alcohol."', 'msgstr ""')
    assert "A.after.alcohol has no words\n" in run("language", "status", TAG, *words[2:]).output


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@x", "  =x", "plain", "'quoted", "'=x"])
def test_a_cell_that_looks_like_a_formula_comes_back_as_it_was(cell: str) -> None:
    """OWASP, CSV injection: =, +, - and @ begin a formula."""
    assert not guarded(cell).lstrip().startswith(("=", "+", "-", "@"))
    assert unguarded(guarded(cell)) == cell


def test_the_page_runs_only_its_own_script_and_style(place: Place) -> None:
    sheet(place, "reviser")
    text = (place.unit.parent / "sheets" / f"{TAG}-reviser.html").read_text("utf-8")
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text)
    assert policy
    assert policy[1].startswith("default-src 'none'; ")
    for element, directive in (("script", "script-src"), ("style", "style-src")):
        [inside] = re.findall(rf"<{element}>(.*?)</{element}>", text, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"{directive} 'sha256-{digest}'" in policy[1]
    [data] = re.findall(r'<script type="application/json" id="sheet">(.*?)</script>', text, re.DOTALL)
    assert len(json.loads(data)["rows"]) == 60
    assert not re.search(r"https?://|src=", text)


@pytest.mark.parametrize("tag", ["es", "ar"])
def test_a_units_own_file_goes_through_the_same_tools(tmp_path: Path, tag: str) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "locales" / f"{tag}.po"
    before = path.read_bytes()
    assert (
        run("language", "update", tag, "--unit", unit).output == f"{tag}.po: 44 messages, 0 to translate.\n"
    )
    assert path.read_bytes() == before
    assert run("language", "check", tag, "--unit", unit).exit_code == 0
    text = (unit / "instructions.toml").read_text("utf-8")
    (unit / "instructions.toml").write_text(text.replace("last tablet", "last one"), "utf-8")
    told = run("language", "check", tag, "--unit", unit)
    assert told.exit_code == 1
    assert "A.unit.instruction.iron-week" in told.output
    assert "1 to translate" in run("language", "update", tag, "--unit", unit).output
