"""The gate: what a real unit may publish, booking by booking, over the words that the booking shows."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from generator.cli import desk_option
from generator.desk.gate import months_before
from generator.materials.shipped import Shipped, read_shipped
from tests.command import DEMO_NOW, run
from tests.reviewed import TAG, Place, place_at, review_all

DRINK, LITHIUM = "A.step.drink", "A.class.lithium"  # every plan shows the first, few bookings the second


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Place:
    found = place_at(tmp_path, monkeypatch)
    review_all(found)
    return found


def words_of(place: Place, message_id: str) -> str:
    """The translated words of a message."""
    found = re.search(
        rf'msgctxt "{re.escape(message_id)}"\nmsgid .*\nmsgstr (".*")\n', place.po.read_text("utf-8")
    )
    assert found
    return found[0]


def told(row: Any, kind: str) -> dict[str, str]:
    """The one finding of that kind."""
    [finding] = [finding for finding in row["findings"] if finding["kind"] == kind]
    return dict(finding)


def lose(path: Path, message_id: str) -> None:
    """The ledger without the lines of one message."""
    lines = path.read_text("utf-8").splitlines(keepends=True)
    kept = [line for line in lines if not line.startswith(f"{message_id},")]
    assert len(kept) < len(lines)
    path.write_text("".join(kept), "utf-8")


def test_a_language_in_which_all_is_reviewed_is_published_without_a_mark(place: Place) -> None:
    row = place.row()
    assert row["verdict"] == "accept", row["findings"]
    token = row["link"].rstrip("/").rsplit("/", 1)[1]
    for name in ("index.html", "en.html"):
        page = (place.unit.parent / "out" / "public" / "p" / token / name).read_text("utf-8")
        assert "Draft words" not in page
        assert "Textos provisionales" not in page


@pytest.mark.parametrize("role", ["translator", "reviser", "clinician"])
def test_one_missing_stamp_refuses_and_names_message_and_role(place: Place, role: str) -> None:
    path = place.ledger(of_unit=role == "clinician")
    text = path.read_text("utf-8")
    [line] = [line for line in text.splitlines() if line.startswith(f"{DRINK},") and f",{role}," in line]
    path.write_text(text.replace(f"{line}\n", ""), "utf-8")
    row = place.row()
    assert row["verdict"] == "reject"
    assert "link" not in row
    finding = told(row, "language-not-reviewed")
    assert finding["where"] == TAG
    assert f"nobody has looked as {role} at {DRINK}" in finding["problem"]
    assert f"language sheet {TAG} --role {role}" in finding["remedy"]


def test_one_letter_changed_in_the_translation_refuses_the_booking_that_shows_it(place: Place) -> None:
    entry = words_of(place, DRINK)
    place.change(entry, f'{entry[:-2]}s"\n')
    finding = told(place.row(), "language-not-reviewed")
    assert f"nobody has looked as translator or as reviser or as clinician at {DRINK}" in finding["problem"]


def test_a_booking_that_does_not_show_the_changed_message_is_published(place: Place) -> None:
    entry = words_of(place, LITHIUM)
    place.change(entry, entry.replace('msgstr "', 'msgstr "El '))
    assert place.row()["verdict"] == "accept"


def test_a_page_that_may_take_the_plans_place_counts_although_it_is_not_shown(place: Place) -> None:
    lose(place.ledger(of_unit=True), "A.cancelled.order")
    assert "A.cancelled.order" in told(place.row(), "language-not-reviewed")["problem"]


def test_one_letter_changed_in_the_english_refuses_the_booking_whatever_its_language(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The translation is for the former English, and the English itself has not been looked at."""
    old = '"Do not follow the old times. Call the unit."'

    def shipped() -> Shipped:
        found = read_shipped()
        changed = {
            name: text.replace(old, old.replace("times", "time")) for name, text in found.templates.items()
        }
        assert changed != found.templates
        return replace(found, templates=changed)

    monkeypatch.setattr(desk_option, "read_shipped", shipped)
    row = place.row()
    assert row["verdict"] == "reject"
    refused = told(row, "language-not-reviewed")
    assert refused["where"] == "en"
    assert "nobody has looked as reviser or as clinician at A.held.order" in refused["problem"]


def test_english_that_can_hurt_is_reviewed_although_no_page_is_in_english(place: Place) -> None:
    text = (place.unit / "unit.toml").read_text("utf-8")
    (place.unit / "unit.toml").write_text(text.replace(f'"en", "{TAG}"', f'"{TAG}"'), "utf-8")
    assert place.row()["verdict"] == "accept"
    lose(place.ledger("en"), DRINK)
    lose(place.ledger("en"), "B.first.yes")  # spoils the preparation at worst: not asked of the English here
    finding = told(place.row(), "language-not-reviewed")
    assert finding["where"] == "en"
    assert (
        f"Of the words in “en” 1 are not reviewed: nobody has looked as reviser at {DRINK}."
        in finding["problem"]
    )


def test_words_that_somebody_stopped_are_not_published(place: Place) -> None:
    stamp = next(
        line.split(",")[1] for line in place.ledger().read_text().splitlines() if line.startswith(f"{DRINK},")
    )
    with place.ledger(of_unit=True).open("a", encoding="utf-8") as ledger:
        ledger.write(f"{DRINK},{stamp},stop,rn-7,2026-02-01,,says the opposite\n")
    assert DRINK in told(place.row(), "language-stopped")["problem"]


@pytest.mark.parametrize(
    ("now", "kinds"),
    [
        ("2028-01-05T08:00", set()),
        ("2028-01-06T08:00", {"review-due"}),  # 24 months after 2026-01-05 have passed
        ("2029-01-05T08:00", {"review-due"}),
        ("2029-01-06T08:00", {"review-expired"}),  # 36 months
    ],
)
def test_reviews_age(place: Place, now: str, kinds: set[str]) -> None:
    """Two and three years are the unit's periods by default."""
    day = dt.datetime.fromisoformat(now).date() + dt.timedelta(days=2)
    while day.weekday() > 3:
        day += dt.timedelta(days=1)
    place.list.write_text(place.list.read_text().replace("18/03/2026", f"{day:%d/%m/%Y}"), "utf-8")
    row = place.row(now)
    assert {one["kind"] for one in row["findings"] if one["kind"].startswith("review-")} == kinds, row[
        "findings"
    ]
    assert ("link" in row) is ("review-expired" not in kinds)


def test_a_unit_states_its_own_periods(place: Place) -> None:
    text = (place.unit / "unit.toml").read_text("utf-8")
    shorter = text.replace("warn_months = 24\nrefuse_months = 36", "warn_months = 1\nrefuse_months = 2")
    assert shorter != text
    (place.unit / "unit.toml").write_text(shorter, "utf-8")
    assert {"review-expired"} == {
        one["kind"] for one in place.row()["findings"] if one["severity"] == "refuse"
    }


def test_a_plan_already_given_is_not_refused_because_reviews_have_aged(place: Place) -> None:
    place.list.write_text(place.list.read_text().replace("18/03/2026", "17/01/2029"), "utf-8")
    assert "link" in place.row("2029-01-04T08:00")
    row = place.row("2029-01-08T08:00")
    assert "link" in row, row["findings"]
    assert {one["severity"] for one in row["findings"] if one["kind"] == "review-due"} == {"warn"}


def test_nobodys_plan_is_taken_down_because_a_stamp_is_missing(place: Place) -> None:
    assert "link" in place.row()
    lose(place.ledger(of_unit=True), DRINK)
    words = ("--unit", place.unit, "--out", place.unit.parent / "out", "--now", DEMO_NOW)
    outcome = run("republish", "--role", "lead", "--wording", "--changed", *words)
    assert DRINK in outcome.output
    listed = run("list", *words[:4], "--now", DEMO_NOW).output
    assert "held" not in listed


def test_a_held_page_of_a_real_unit_is_in_english_where_its_words_are_not_reviewed(place: Place) -> None:
    row = place.row()
    lose(place.ledger(of_unit=True), "A.held.order")
    words = ("--unit", place.unit, "--out", place.unit.parent / "out", "--now", DEMO_NOW)
    assert run("hold", "--ref", "REF-1", "--role", "nurse", *words).exit_code == 0
    token = row["link"].rstrip("/").rsplit("/", 1)[1]
    page = (place.unit.parent / "out" / "public" / "p" / token / "index.html").read_text("utf-8")
    assert "Do not follow the old times. Call the unit." in page
    assert "Draft words" not in page


def test_months_before_a_day_that_the_month_lacks() -> None:
    """Calendars: February 2027 has 28 days, 2028 has 29."""
    assert months_before(dt.date(2029, 3, 31), 25) == dt.date(2027, 2, 28)
    assert months_before(dt.date(2028, 3, 31), 1) == dt.date(2028, 2, 29)
    assert months_before(dt.date(2026, 1, 15), 1) == dt.date(2025, 12, 15)
    assert months_before(dt.date(2026, 12, 31), 12) == dt.date(2025, 12, 31)
