"""A plan already given: what a later build may, may not, and must tell."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from demo.redate import redated
from generator.errors import BadRecords, BadShelf
from generator.shelves import FolderShelf
from tests.command import DEMO_LIST, DEMO_NOW, run
from tests.plans import Built, built, copy_of_demo_unit


def first_row(plans: Built) -> Any:
    return plans.said["files"][0]["rows"][0]


def kinds(row: Any) -> set[str]:
    return {finding["kind"] for finding in row["findings"]}


def changed(place: Path, old: str, new: str) -> Path:
    text = DEMO_LIST.read_text("utf-8")
    assert old in text
    place.write_text(text.replace(old, new), "utf-8")
    return place


def test_a_remark_added_later_asks_again(tmp_path: Path) -> None:
    built(tmp_path)
    later = changed(tmp_path / "later.csv", "PEGASC2,en,20,", "PEGASC2,en,20,takes warfarin")
    row = first_row(built(tmp_path, lists=(later,)))
    assert "link" not in row
    assert {"decision-needed", "plan-still-up"} <= kinds(row)


@pytest.mark.parametrize(
    ("old", "new"), [("COLON,PEGASC2,en,20", "OGD,PEGASC2,en,20"), ("PEGASC2,en,20", "XXX,en,20")]
)
def test_a_row_that_no_longer_has_a_plan_says_that_the_old_one_is_up(
    tmp_path: Path, old: str, new: str
) -> None:
    built(tmp_path)
    outcome = built(tmp_path, lists=(changed(tmp_path / "later.csv", old, new),))
    row = first_row(outcome)
    assert "plan-still-up" in kinds(row)
    assert row["verdict"] == "reject"


def test_after_the_day_nobody_is_told_to_phone(tmp_path: Path) -> None:
    built(tmp_path)
    row = first_row(built(tmp_path, now="2026-03-18T12:00"))
    assert kinds(row) == {"past"}


def test_another_medicine_is_no_silent_edition(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    built(tmp_path / "out", unit=unit)
    path = unit / "protocols" / "peg-ascorbate-split.toml"
    path.write_text(path.read_text().replace('product = "PEG-Ascorbate Demo 2 L"', 'product = "Another Box"'))
    sign = ("protocol", "sign", "protocols/peg-ascorbate-split.toml", "--unit", unit, "--role", "lead")
    assert run(*sign, "--review-by", "2036-01-05", "--now", "2026-03-01T08:00").exit_code == 0
    assert "plan-changed" in kinds(first_row(built(tmp_path / "out", unit=unit)))


def test_an_ended_signature_leaves_given_plans_alone(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    first = built(tmp_path / "out", unit=unit)
    signoffs = unit / "signoffs.csv"
    signoffs.write_text(signoffs.read_text().replace("2036-01-05", "2026-03-16"))
    again = built(tmp_path / "out", unit=unit, now="2026-03-17T08:00")
    assert again.links == first.links
    # A new plan, for a procedure after the signature's last day, is refused.
    assert "signature-expired" in kinds(first_row(built(tmp_path / "new", unit=unit)))


def test_a_first_publishing_that_failed_counts_as_not_given(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk fails once; on the evening before, the same row must ask for the phone call it would have asked for."""

    def full(*_: Any) -> int:
        raise BadShelf("The plans cannot be written.", remedy="Make room.")

    other = changed(tmp_path / "other.csv", "18/03/2026,09:30,09:00", "18/03/2026,10:30,10:00")
    with monkeypatch.context() as broken:
        broken.setattr(FolderShelf, "put_all", full)
        for bookings in (DEMO_LIST, other):  # it fails twice, with another time in between
            run("build", bookings, "--unit", "demo/unit", "--out", tmp_path, "--now", DEMO_NOW)
    row = first_row(built(tmp_path, now="2026-03-17T20:00"))
    assert "link" not in row
    assert "short-notice" in kinds(row)
    moved = changed(tmp_path / "moved.csv", "18/03/2026,09:30,09:00", "18/03/2026,11:30,11:00")
    assert "link" in first_row(built(tmp_path, lists=(moved,)))


def test_lost_records_are_not_begun_anew_beside_plans(tmp_path: Path) -> None:
    """Every patient would get a second plan, and the first would stay up."""
    plans = built(tmp_path)
    (tmp_path / "records.sqlite").unlink()
    told = run("build", DEMO_LIST, "--unit", "demo/unit", "--out", tmp_path, "--now", DEMO_NOW)
    assert isinstance(told.exception, BadRecords)
    assert len([path for path in (tmp_path / "public" / "p").iterdir() if path.is_dir()]) == len(plans.links)


def test_a_diet_without_a_list_of_foods_is_refused(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    (unit / "food.toml").unlink()
    assert "food-missing" in kinds(first_row(built(tmp_path / "out", unit=unit)))


def test_the_demonstration_moves_to_days_of_work() -> None:
    closed = frozenset({dt.date(2026, 12, 25), dt.date(2026, 12, 28)})
    # 18 March is two days after the list's own day; two days after Wednesday 23 December is Christmas Day, then a
    # weekend, then a closed Monday, then a day whose eve is closed.
    assert redated("a,18/03/2026,b", dt.date(2026, 12, 23), closed) == "a,30/12/2026,b"
