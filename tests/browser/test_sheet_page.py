"""A reviewer's sheet as an HTML file opened from disk: answered in the browser, saved as CSV, accepted."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.command import run
from tests.reviewed import TAG, Place, place_at

pytestmark = [pytest.mark.browser, pytest.mark.words_of("es")]
NOW = ("--now", "2026-03-16T08:00")
TRICKY = '=now(); «así», "con" </script> y\notra línea'


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Place:
    found = place_at(tmp_path, monkeypatch)
    found.change('msgstr "No beba alcohol."', 'msgstr "-No beba \\"alcohol\\", ni & nada."')
    made = run(
        "language", "sheet", TAG, "--role", "translator", "--unit", found.unit, "--out", tmp_path, *NOW
    )
    assert made.exit_code == 0, made.output
    return found


def test_answers_are_saved_without_a_network_and_accepted(place: Place, page: Page, tmp_path: Path) -> None:
    asked: list[str] = []
    faults: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: faults.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.goto(f"file://{tmp_path}/{TAG}-translator.html")
    assert page.locator(".row").count() == 60
    assert '-No beba "alcohol", ni & nada.' in page.locator("#row-1 .words").first.inner_text()
    page.locator("#save").click()
    assert page.locator("#told").inner_text() == "Fill in your code first: letters, a digit."
    page.fill("#reviewer", "TR-1")
    page.fill("#date", "2026-03-15")
    page.check("#row-1 input[value=OK]")
    page.check("#row-2 input[value=CHANGE]")
    page.fill("#proposed-2", TRICKY)
    page.check("#row-3 input[value=STOP]")
    page.fill("#note-3", "says the opposite")
    with page.expect_download() as saving:
        page.locator("#save").click()
    path = tmp_path / saving.value.suggested_filename
    saving.value.save_as(path)
    assert path.name == f"answers-{TAG}-translator.csv"
    assert (
        page.locator("#told").inner_text()
        == f"Saved as {path.name}. Send that file back. Without an answer: 57."
    )
    assert path.read_bytes().startswith(b'\xef\xbb\xbf"language","qxx"\r\n')
    told = run("language", "accept", path, "--by", "tr-1", "--unit", place.unit, *NOW)
    assert "1 accepted, 2 for the translator, 0 refused, 57 without an answer." in told.output
    todo = list(csv.reader(io.StringIO((place.unit / "locales" / "todo" / f"{TAG}.csv").read_text("utf-8"))))
    assert todo[1][3] == f"'{TRICKY}"
    ledger = place.ledger(of_unit=True).read_text("utf-8").splitlines()
    assert [line.split(",")[2:5] for line in ledger[1:]] == [
        ["translator", "tr-1", "2026-03-15"],
        ["stop", "tr-1", "2026-03-15"],
    ]
    assert [url for url in asked if not url.startswith(("file:", "blob:"))] == []
    assert faults == []


def test_the_back_translation_is_shown_after_the_verdict(place: Place, page: Page, tmp_path: Path) -> None:
    path = tmp_path / f"{TAG}-translator.csv"
    lines = list(csv.reader(io.StringIO(path.read_text("utf-8-sig"), newline="")))
    lines[7][5] = "Drink no alcohol."
    text = io.StringIO()
    csv.writer(text).writerows(lines)
    path.write_text(text.getvalue(), "utf-8", newline="")
    words = ("--role", "reviser", "--unit", place.unit, "--back", path, "--out", tmp_path, *NOW)
    assert run("language", "sheet", TAG, *words).exit_code == 0
    page.goto(f"file://{tmp_path}/{TAG}-reviser.html")
    back = page.locator("#row-1 .back")
    assert not back.is_visible()
    page.check("#row-1 input[value=OK]")
    assert back.is_visible()
    assert "Drink no alcohol." in (back.text_content() or "")
