"""Copies of plans in one file each: where they lie, what their names give away, and that none outlives its plan."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from generator.desk import cancel, end, hold, move, repair
from generator.errors import BadShelf
from generator.page.booklet import booklet_for
from generator.shelves import FolderShelf
from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT, run, run_json
from tests.lives import ROWS, Office, build, every_record
from tests.notices import office
from tests.plans import every_byte

NOON = "2026-03-16T12:00"


def copied(data: Path, *more: str) -> Any:
    """What `build --single-file --json` says of the demonstration's list."""
    words = ("--unit", DEMO_UNIT, "--out", data, "--now", DEMO_NOW, "--single-file")
    return run_json("build", DEMO_LIST, *words, *more)


@pytest.fixture(scope="module")
def unit() -> Office:
    return Office()


def copies_in(data: Path) -> list[str]:
    """The names of all copies."""
    return sorted(path.name for path in (data / "copies").rglob("*.html"))


def test_each_plan_has_a_copy_in_each_of_its_languages_told_in_the_answer(tmp_path: Path) -> None:
    rows = copied(tmp_path)["files"][0]["rows"]
    records = {record.ref: record.identity for record in every_record(tmp_path)}
    for row, tags in zip(
        rows, (["en"], ["es", "en"], ["ar", "en"], ["en"], ["es", "en"], ["en"]), strict=True
    ):
        known = records[row["ref"]]
        names = [f"{known.call_number}-{known.code}-{tag}.html" for tag in tags]
        assert row["copies"] == [str(tmp_path / "copies" / known.call_number / name) for name in names]
        for name in row["copies"]:
            assert Path(name).stat().st_mode & 0o777 == 0o600
    assert (tmp_path / "copies").stat().st_mode & 0o777 == 0o700
    assert not list((tmp_path / "public").rglob("*-*-*.html"))
    words = ("--unit", DEMO_UNIT, "--out", tmp_path, "--now", DEMO_NOW, "--single-file")
    assert f"    copy  {rows[0]['copies'][0]}\n" in run("build", DEMO_LIST, *words).output


def test_no_name_of_a_file_says_who_it_is_for(tmp_path: Path) -> None:
    copied(tmp_path)
    for path in (tmp_path / "copies").rglob("*"):
        # Call number and code are drawn, and mean nothing outside the unit.
        assert re.fullmatch(
            r"\d{6}(/\d{6}-\d{3}-(ar|en|es)\.html)?", path.relative_to(tmp_path / "copies").as_posix()
        )


def test_the_same_again_writes_the_same_bytes_and_plans_are_as_without_copies(tmp_path: Path) -> None:
    copied(tmp_path / "out")
    before = every_byte(tmp_path / "out" / "copies")
    served = every_byte(tmp_path / "out" / "public")
    copied(tmp_path / "out", "--jobs", "2")
    assert every_byte(tmp_path / "out" / "copies") == before
    words = ("--unit", DEMO_UNIT, "--out", tmp_path / "out", "--now", "2026-03-16T10:00")
    assert run("build", DEMO_LIST, *words).exit_code == 0
    assert every_byte(tmp_path / "out" / "copies") == before
    assert every_byte(tmp_path / "out" / "public") == served


def test_a_copy_is_whole_and_points_to_nothing_beside_it(tmp_path: Path) -> None:
    """CSP 3, 2.3.1: a script or style sheet inside a document runs if its hash is named; here worked out anew."""
    with office(tmp_path) as at_work:
        plan = at_work.plans["DEMO-103"]
        booklet = booklet_for(plan, at_work.desk.parts, copies=True)
        assert booklet.facts == booklet_for(plan, at_work.desk.parts).facts
        assert booklet.digest == booklet_for(plan, at_work.desk.parts).digest
    for content in booklet.copies.values():
        text = content.decode()
        policy = re.findall(r'http-equiv="Content-Security-Policy" content="(.*?)"', text)[0].split("; ")
        for name, inside in (("script", "<script>(.*?)</script>"), ("style", "<style>(.*?)</style>")):
            [found] = re.findall(inside, text, re.DOTALL)
            digest = base64.b64encode(hashlib.sha256(found.encode()).digest()).decode()
            assert f"{name}-src 'sha256-{digest}'" in policy
        assert policy[0] == "default-src 'none'"
        assert "img-src data:" in policy
        targets = set(re.findall(r'(?:src|href)="((?!tel:|#)[^"]{0,40})', text))
        assert targets == {plan.link[:40], "data:image/svg+xml;base64,PHN2ZyB4bWxucz"}
        assert not re.search(r'rel="manifest"|id="saved"|\.ics|sw\.js"|<nav class="languages', text)


def test_a_language_without_the_words_of_a_copy_gets_none(tmp_path: Path) -> None:
    with office(tmp_path) as at_work:
        plan = at_work.plans["DEMO-102"]
        spanish, english = plan.wordings
        texts = {name: text for name, text in spanish.texts.items() if name != "B.copy.open"}
        lacking = replace(plan, wordings=(replace(spanish, texts=texts), english))
        assert booklet_for(lacking, at_work.desk.parts, copies=True).missing == {"es": ("B.copy.open",)}
        assert booklet_for(lacking, at_work.desk.parts).missing == {}


def test_copies_go_when_the_plan_is_no_longer_the_one_they_show(unit: Office, tmp_path: Path) -> None:
    with unit.desk(tmp_path, DEMO_NOW) as desk:
        build(replace(desk, single_file=True))
    numbers = {record.ref: record.identity.call_number for record in every_record(tmp_path)}
    assert len(copies_in(tmp_path)) == 5
    with unit.desk(tmp_path, NOON) as desk:
        moved = move(desk, "DEMO-101", {"start": unit.moment("2026-03-19T09:30"), "arrival": None}, "clerk")
        [told] = [one for one in moved.findings if one.kind == "copies-outdated"]
        assert told.problem == (
            "Copies in one file were made of the earlier plan. They are removed here; one that was given out still "
            "shows it."
        )
        assert told.remedy == "Have the patient throw such a file away, and what was printed from it."
        assert cancel(desk, "DEMO-102", "clerk").link
        assert not (tmp_path / "copies" / numbers["DEMO-101"]).exists()
        assert not (tmp_path / "copies" / numbers["DEMO-102"]).exists()
        # A second time there is nothing to tell.
        assert "copies-outdated" not in {one.kind for one in hold(desk, "DEMO-101", "nurse").findings}
    assert {name[:6] for name in copies_in(tmp_path)} == {numbers["DEMO-103"]}
    with unit.desk(tmp_path, "2026-03-19T12:00") as desk:
        assert end(desk, "DEMO-103", "nurse").link
    assert copies_in(tmp_path) == []


@pytest.mark.parametrize("broken", ["put_copies", "put_all"])
def test_a_move_that_breaks_off_leaves_no_copy_of_the_old_plan(
    unit: Office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, broken: str
) -> None:
    """Whether it broke off before the old copies were gone, or before the new plan was up."""
    with unit.desk(tmp_path, DEMO_NOW) as desk:
        build(replace(desk, single_file=True), ROWS[:1])
    [name] = copies_in(tmp_path)
    with unit.desk(tmp_path, NOON) as desk:
        with monkeypatch.context() as patch:
            patch.setattr(FolderShelf, broken, _full)
            with pytest.raises(BadShelf):
                move(desk, "DEMO-101", {"start": unit.moment("2026-03-19T09:30"), "arrival": None}, "clerk")
        assert copies_in(tmp_path) == ([name] if broken == "put_copies" else [])
        repair(desk)
    assert copies_in(tmp_path) == []
    assert [record.identity.version for record in every_record(tmp_path)] == [2]


def _full(*_: object) -> None:
    raise BadShelf("The disk is full.", remedy="Make room.")
