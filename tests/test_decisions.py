"""What a nurse decides reaches the page: an instruction with its dates, a factor that blocks, asks or lengthens."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.command import DEMO_LIST, DEMO_UNIT, run
from tests.plans import Built, built, copy_of_demo_unit, every_byte, unit_stating

NOW = "2026-03-02T09:00"  # early enough for a week without iron
BLOOD_THINNER = """
[[instruction]]
id = "thinner-line"
medicine = "anticoagulant"
title = "Blood thinner: as the doctor wrote"
text = "Blood thinner: your last dose is on {last_day}. From {first_day_without} take none."
last_day = -3
source = "common practice, no source"
"""
IRON, STOMA = "needs-unit-instruction:iron", "needs-unit-instruction:stoma"


def remarked(place: Path, ref: str, remark: str) -> Path:
    """The demonstration's list with a remark on one row."""
    lines = DEMO_LIST.read_text("utf-8").splitlines()
    place.write_text(
        "\n".join(line + (remark if line.startswith(ref) else "") for line in lines) + "\n", "utf-8"
    )
    return place


def decided(listing: Path, out: Path, ref: str, kind: str, choice: str, unit: Path = DEMO_UNIT) -> bool:
    """Whether `decide` recorded the choice."""
    words = ("--ref", ref, "--kind", kind, "--choice", choice, "--role", "nurse", "--now", NOW)
    return run("decide", listing, "--unit", unit, "--out", out, *words).exit_code == 0


def row(plans: Built, ref: str) -> Any:
    return next(row for row in plans.said["files"][0]["rows"] if row["ref"] == ref)


def kinds(told: Any) -> set[str]:
    return {finding["kind"] for finding in told["findings"]}


def test_the_units_instruction_stands_on_the_page_with_its_dates(tmp_path: Path) -> None:
    """DEMO-103, in Arabic, is on Thursday 19 March 2026: a week before is the 12th, the last tablet on the 11th."""
    unit = unit_stating(tmp_path, "instructions.toml", BLOOD_THINNER)
    listing, out = remarked(tmp_path / "list.csv", "DEMO-103", "takes iron"), tmp_path / "out"
    waiting = row(built(out, unit=unit, lists=(listing,), now=NOW), "DEMO-103")
    [asked] = [one for one in waiting["findings"] if one["kind"] == "decision-needed"]
    assert "iron-week" in asked["remedy"]
    assert "thinner-line" not in asked["remedy"]
    assert not decided(listing, out, "DEMO-103", IRON, "thinner-line", unit)  # for another class of medicine
    assert decided(listing, out, "DEMO-103", IRON, "iron-week", unit)
    plans = built(out, unit=unit, lists=(listing,), now=NOW)
    assert "link" in row(plans, "DEMO-103")
    english = (plans.folder("DEMO-103") / "en.html").read_text("utf-8")
    assert "Iron: take your last tablet on" in english
    for day in ("Wednesday 11 March", "Thursday 12 March", "Friday 20 March"):
        assert day in english.replace("\u2066", "").replace("\u2069", "")
    arabic = (plans.folder("DEMO-103") / "index.html").read_text("utf-8")
    assert "الحديد: آخر قرص" in arabic
    assert "Iron:" not in arabic
    before = every_byte(out / "public")
    built(out, unit=unit, lists=(listing,), now=NOW)
    assert every_byte(out / "public") == before


def test_an_instruction_that_a_language_lacks_is_refused_with_the_language(tmp_path: Path) -> None:
    """A sentence whose English was changed after it was translated counts as missing; nothing falls back."""
    unit, out = copy_of_demo_unit(tmp_path), tmp_path / "out"
    path = unit / "instructions.toml"
    path.write_text(
        path.read_text("utf-8").replace("Take it again from {again}.", "Again from {again}."), "utf-8"
    )
    sign = (
        "protocol",
        "sign",
        "instructions.toml",
        "--unit",
        unit,
        "--role",
        "lead",
        "--review-by",
        "2036-01-05",
    )
    assert run(*sign, "--now", NOW).exit_code == 0
    listing = remarked(tmp_path / "list.csv", "DEMO-103", "takes iron")
    assert decided(listing, out, "DEMO-103", IRON, "iron-week", unit)
    told = row(built(out, lists=(listing,), unit=unit, now=NOW), "DEMO-103")
    [missing] = [one for one in told["findings"] if one["kind"] == "language-missing"]
    assert missing["where"] == "ar"
    assert "A.unit.instruction.iron-week" in missing["problem"]


def test_instructions_that_nobody_signed_make_no_plan(tmp_path: Path) -> None:
    unit, out = copy_of_demo_unit(tmp_path), tmp_path / "out"
    path = unit / "instructions.toml"
    path.write_text(
        path.read_text("utf-8").replace("first_day_without = -7", "first_day_without = -5"), "utf-8"
    )
    listing = remarked(tmp_path / "list.csv", "DEMO-101", "takes iron")
    assert decided(listing, out, "DEMO-101", IRON, "iron-week", unit)
    plans = built(out, lists=(listing,), unit=unit, now=NOW)
    assert kinds(row(plans, "DEMO-101")) >= {"signature-broken"}
    assert "link" not in row(plans, "DEMO-101")
    assert "link" in row(plans, "DEMO-102")  # who has no instruction is not touched by it


def test_a_factor_that_blocks_stops_the_plan(tmp_path: Path) -> None:
    listing, out = remarked(tmp_path / "list.csv", "DEMO-104", "has a stoma"), tmp_path / "out"
    assert decided(listing, out, "DEMO-104", STOMA, "ileostomy")
    told = row(built(out, lists=(listing,), now=NOW), "DEMO-104")
    assert "factor-blocks:ileostomy" in kinds(told)
    assert told["verdict"] == "reject"


def test_a_waiting_decision_names_the_medicine_in_words(tmp_path: Path) -> None:
    listing, out = remarked(tmp_path / "list.csv", "DEMO-101", "on apixaban"), tmp_path / "out"
    told = row(built(out, lists=(listing,), now=NOW), "DEMO-101")
    problems = " ".join(one["problem"] for one in told["findings"])
    assert "somebody decides first about “blood thinner such as warfarin or apixaban”" in problems
    assert "may mean that “blood thinner such as warfarin or apixaban” matters" in problems
    assert "anticoagulant" not in problems


def test_a_factor_that_asks_may_be_answered_with_no(tmp_path: Path) -> None:
    """Without the longer diet the first day of the plan is the protocol's own: Wednesday 18 March."""
    listing, out = remarked(tmp_path / "list.csv", "DEMO-104", "has a stoma"), tmp_path / "out"
    assert decided(listing, out, "DEMO-104", STOMA, "constipation")
    assert decided(listing, out, "DEMO-104", "factor-asks:constipation", "leave-out")
    plans = built(out, lists=(listing,), now=NOW)
    page = (plans.folder("DEMO-104") / "index.html").read_text("utf-8").replace("\u2066", "")
    before_the_diet = page[: page.index("Eat low-fibre food only")].replace("\u2069", "")
    assert "Wednesday 18 March" in before_the_diet
    assert "Monday 16 March" not in before_the_diet


def test_a_factor_that_asks_waits_for_its_own_answer(tmp_path: Path) -> None:
    """Constipation asks whether to begin the diet two days earlier."""
    listing, out = remarked(tmp_path / "list.csv", "DEMO-104", "has a stoma"), tmp_path / "out"
    assert decided(listing, out, "DEMO-104", STOMA, "constipation")
    assert "decision-needed" in kinds(row(built(out, lists=(listing,), now=NOW), "DEMO-104"))
    assert decided(listing, out, "DEMO-104", "factor-asks:constipation", "go-ahead")
    plans = built(out, lists=(listing,), now=NOW)
    page = (
        (plans.folder("DEMO-104") / "index.html")
        .read_text("utf-8")
        .replace("\u2066", "")
        .replace("\u2069", "")
    )
    assert (
        page.index("Monday 16 March")
        < page.index("Eat low-fibre food only")
        < page.index("Wednesday 18 March")
    )


def test_a_plan_made_late_stays_as_it_was_made(tmp_path: Path) -> None:
    """Made at 18:20 on the evening before: the dose moves to 19:00, and a build next morning changes nothing."""
    listing, now = DEMO_LIST, "2026-03-17T18:20"
    kind = "short-notice"
    words = ("--ref", "DEMO-101", "--kind", kind, "--choice", "go-ahead", "--role", "nurse", "--now", now)
    assert run("decide", listing, "--unit", DEMO_UNIT, "--out", tmp_path, *words).exit_code == 0
    plans = built(tmp_path, now=now)
    page = (plans.folder("DEMO-101") / "index.html").read_text("utf-8")
    assert "19:00 (7:00 in the evening)" in page.replace("\u2066", "").replace("\u2069", "").replace(
        "\u2068", ""
    )
    assert "This time had passed when the plan was made" in page
    before = every_byte(plans.folder("DEMO-101"))
    later = built(tmp_path, now="2026-03-17T23:30")
    assert row(later, "DEMO-101").get("link") == plans.links["DEMO-101"]
    assert every_byte(plans.folder("DEMO-101")) == before
