"""From a list to links: the same again changes nothing, and what may not be published is not."""

from __future__ import annotations

import re
import stat
from dataclasses import replace
from pathlib import Path
from typing import Any

import zxingcpp
from icalendar import Calendar
from PIL import Image, ImageDraw

from generator.finding import Severity
from generator.words.wording import Wording
from tests import lives
from tests.command import DEMO_LIST, DEMO_NOW, EXAMPLES, ROOT, run, run_json
from tests.plans import built, copy_of_demo_unit, every_byte

REFS = ["DEMO-101", "DEMO-102", "DEMO-103", "DEMO-104", "DEMO-105", "DEMO-106"]
LIST_02 = EXAMPLES / "lists" / "02_uk_cp1252_ddmm.csv"


def kinds(row: dict[str, list[dict[str, str]]]) -> set[str]:
    return {finding["kind"] for finding in row["findings"]}


def test_each_booking_of_the_demonstration_gets_a_whole_booklet(tmp_path: Path) -> None:
    plans = built(tmp_path)
    assert list(plans.links) == REFS
    for ref in REFS:
        names = {path.name for path in plans.folder(ref).iterdir()}
        assert {"index.html", "sw.js", "app.webmanifest", "plan.ics", "qr.svg"} <= names
    assert (plans.folder("DEMO-103") / "en.html").exists()
    assert (tmp_path / "public" / "p" / "index.html").read_bytes() == b""
    assert stat.S_IMODE((tmp_path / "records.sqlite").stat().st_mode) == 0o600


def test_doing_it_again_on_another_day_changes_no_byte_and_no_link(tmp_path: Path) -> None:
    first = built(tmp_path)
    bytes_before = every_byte(tmp_path / "public")
    times = {path: path.stat().st_mtime_ns for path in (tmp_path / "public").rglob("*")}
    again = built(tmp_path, now="2026-03-17T20:30")
    assert again.links == first.links
    assert every_byte(tmp_path / "public") == bytes_before
    assert {path: path.stat().st_mtime_ns for path in (tmp_path / "public").rglob("*")} == times


def test_the_code_leads_to_the_link(tmp_path: Path) -> None:
    """Read back with zxing-cpp, a reader that shares nothing with the writer."""
    plans = built(tmp_path)
    for ref, link in plans.links.items():
        found = zxingcpp.read_barcode(picture_of((plans.folder(ref) / "qr.svg").read_text()))
        assert found is not None
        assert found.text == link


def picture_of(svg: str) -> Image.Image:
    """The SVG's rectangles, drawn with four pixels a module."""
    size = int(svg.split('viewBox="0 0 ')[1].split(" ")[0])
    image = Image.new("L", (size * 4, size * 4), 255)
    draw = ImageDraw.Draw(image)
    for run_ in svg.split('fill="#000" d="')[1].split('"')[0].split("z")[:-1]:
        x, rest = run_.removeprefix("M").split(" ")
        y, length = rest.split("h")[0], rest.split("h")[1].split("v")[0]
        left, top = int(x) * 4, int(y) * 4
        draw.rectangle((left, top, left + int(length) * 4 - 1, top + 3), fill=0)
    return image


def test_calendar_files_are_read_alike_by_another_library(tmp_path: Path) -> None:
    """RFC 5545, judged by the icalendar package: UTC, folded at 75 octets, sequence and stamp from the version."""
    plans = built(tmp_path)
    raw = (plans.folder("DEMO-103") / "plan.ics").read_bytes()
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75
    events: dict[str, Any] = {
        str(event["UID"]).split("@")[0].split("-", 1)[1]: event
        for event in Calendar.from_ical(raw).walk("VEVENT")
    }
    # Procedure 10:15: the last dose starts 4 to 6 h (US Task Force 2025), at most 5 h (ESGE 2019) before; the unit's
    # night ends at 05:30, so 05:30 to 06:15 remains: the last half hour that is left is 06:00.
    assert events["morning-dose"]["DTSTART"].dt.isoformat() == "2026-03-19T06:00:00+00:00"
    assert events["nothing-more"]["DTSTART"].dt.isoformat() == "2026-03-19T08:15:00+00:00"
    assert {int(event["SEQUENCE"]) for event in events.values()} == {1}
    assert {event["DTSTAMP"].dt.isoformat() for event in events.values()} == {"2026-03-16T08:00:00+00:00"}


def test_a_changed_digit_in_a_signed_protocol_stops_the_build(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "protocols" / "picosulfate-split.toml"
    path.write_text(path.read_text().replace("mix_ml = 150", "mix_ml = 160", 1))
    rows = {row["ref"]: row for row in built(tmp_path / "out", unit=unit).said["files"][0]["rows"]}
    for ref in ("DEMO-104", "DEMO-105"):
        assert rows[ref]["verdict"] == "reject"
        assert "signature-broken" in kinds(rows[ref])
        assert "link" not in rows[ref]
    assert "link" in rows["DEMO-101"]
    told = run("build", DEMO_LIST, "--unit", unit, "--out", tmp_path / "out", "--now", DEMO_NOW)
    assert told.exit_code == 1
    assert "protocols/picosulfate-split.toml was changed after it was signed" in told.output


def test_comments_and_layout_do_not_break_a_signature(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "protocols" / "picosulfate-split.toml"
    path.write_text("# read by the lead\n" + path.read_text().replace("pieces = 2", "pieces   =   2"))
    assert list(built(tmp_path / "out", unit=unit).links) == REFS


def test_an_ended_signature_stops_new_plans(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    signoffs = unit / "signoffs.csv"
    signoffs.write_text(signoffs.read_text().replace("2036-01-05", "2026-03-15"))
    rows = built(tmp_path / "out", unit=unit).said["files"][0]["rows"]
    assert all("signature-expired" in kinds(row) for row in rows)


def test_a_medicine_in_a_remark_waits_for_a_nurse(tmp_path: Path) -> None:
    """Nothing is built until a decision is recorded; the line a nurse chose then stands on the page."""
    now = ("--now", DEMO_NOW)
    first = built(tmp_path, lists=(LIST_02,))
    assert "EN-20882" not in first.links  # a blood thinner
    assert "EN-20886" not in first.links  # tomorrow, and iron
    assert set(first.links) == {"EN-20881", "EN-20884", "EN-20888"}

    where = (LIST_02, "--unit", "demo/unit", "--out", tmp_path)
    decide = ("decide", *where, "--role", "nurse", *now)
    done = run(
        *decide,
        "--ref",
        "EN-20882",
        "--kind",
        "needs-unit-instruction:anticoagulant",
        "--choice",
        "call-first",
    )
    assert done.exit_code == 0, done.output
    second = built(tmp_path, lists=(LIST_02,))
    assert "EN-20886" not in second.links
    page = (second.folder("EN-20882") / "en.html").read_text()
    assert "Call the unit before you change this medicine" in page
    assert "blood thinner" in page

    for kind in ("short-notice", "needs-unit-instruction:iron"):
        assert run(*decide, "--ref", "EN-20886", "--kind", kind, "--choice", "go-ahead").exit_code == 0
    assert "EN-20886" in built(tmp_path, lists=(LIST_02,)).links


def test_a_decision_dies_when_its_row_changes(tmp_path: Path) -> None:
    decide = (
        "decide",
        LIST_02,
        "--unit",
        "demo/unit",
        "--out",
        tmp_path,
        "--role",
        "nurse",
        "--now",
        DEMO_NOW,
    )
    run(
        *decide,
        "--ref",
        "EN-20882",
        "--kind",
        "needs-unit-instruction:anticoagulant",
        "--choice",
        "call-first",
    )
    changed = tmp_path / "changed.csv"
    changed.write_bytes(LIST_02.read_bytes().replace(b"04/04/2026,0915", b"04/04/2026,0945"))
    assert "EN-20882" not in built(tmp_path, lists=(changed,)).links


def test_a_booking_that_changed_is_told_and_nothing_is_overwritten(tmp_path: Path) -> None:
    plans = built(tmp_path)
    before = every_byte(plans.folder("DEMO-101"))
    moved = tmp_path / "moved.csv"
    moved.write_text(DEMO_LIST.read_text().replace("18/03/2026,09:30,09:00", "18/03/2026,11:30,11:00"))
    row = built(tmp_path, lists=(moved,)).said["files"][0]["rows"][0]
    assert row["verdict"] == "reject"
    assert "plan-changed" in kinds(row)
    assert every_byte(plans.folder("DEMO-101")) == before


def test_a_real_unit_publishes_nothing_unreviewed_or_uncleared(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "unit.toml"
    path.write_text(path.read_text().replace("demonstration = true", "demonstration = false"))
    plans = built(tmp_path / "out", unit=unit)
    assert plans.links == {}
    for row in plans.said["files"][0]["rows"]:
        assert {"not-cleared", "language-not-reviewed"} <= kinds(row)


def test_a_language_that_is_not_there_is_refused_with_the_next_step(tmp_path: Path) -> None:
    changed = tmp_path / "list.csv"
    changed.write_text(DEMO_LIST.read_text().replace("PEGASC2,en,20", "PEGASC2,cy,20"))
    row = built(tmp_path, lists=(changed,)).said["files"][0]["rows"][0]
    assert row["verdict"] == "reject"
    [finding] = [finding for finding in row["findings"] if finding["kind"] == "language-missing"]
    assert "interpreter" in finding["remedy"]


def test_nothing_that_identifies_a_person_is_in_any_file(tmp_path: Path) -> None:
    plans = built(tmp_path)
    for name, content in every_byte(tmp_path / "public").items():
        for private in (b"DEMO-1", b"Quill", b"Moreno", b"Haddad", b"Osei"):
            assert private not in content, name
            assert private.decode() not in name
    assert all(len(plans.token(ref)) == 26 for ref in REFS)


def test_a_plan_is_neutral_where_others_see_it(tmp_path: Path) -> None:
    page = (built(tmp_path).folder("DEMO-101") / "index.html").read_text()
    title = page.split("<title>")[1].split("</title>")[0]
    assert title == "Your appointment plan"
    assert "noindex" in page
    assert page.index("Content-Security-Policy") < page.index("<title>")
    assert "tel:+441632960999" not in page  # a demonstration's emergency number is no link


def test_both_outputs_name_the_same_findings(tmp_path: Path) -> None:
    told = run_json("read", DEMO_LIST, "--unit", "demo/unit", "--now", DEMO_NOW)
    assert told["files"][0]["counts"]["accept"] == 6


def test_the_starter_folder_is_whole_and_unsigned(tmp_path: Path) -> None:
    """A unit that copies it and forgets the signature publishes nothing."""
    rows = built(tmp_path / "out", unit=ROOT / "templates" / "unit").said["files"][0]["rows"]
    assert [kinds(row) for row in rows[:1]] == [{"signature-missing", "not-cleared", "language-not-reviewed"}]
    assert not any("link" in row for row in rows)


def test_a_faulty_sentence_stops_its_language_where_it_is_shown_and_nothing_else(tmp_path: Path) -> None:
    """A warning sign stands on every plan; bowel tablets stand on none of these."""
    place = lives.Office()
    with place.desk(tmp_path, "2026-03-10T09:00") as desk:
        wordings = {
            **place.wordings,
            "es": with_number(place.wordings["es"], "A.call.unit.black"),
            "ar": with_number(place.wordings["ar"], "A.step.tablets"),
        }
        english, spanish, arabic = lives.build(replace(desk, wordings=wordings))
    assert english.was_changed
    assert arabic.was_changed
    assert not spanish.was_changed
    told = [finding for finding in spanish.findings if finding.severity is Severity.REFUSE]
    assert [finding.kind for finding in told] == ["language-missing", "numbers-differ"]
    assert re.fullmatch(r"es\.po:\d+ A\.call\.unit\.black", told[1].where)


def with_number(wording: Wording, message_id: str) -> Wording:
    """The wording with a number typed into one sentence."""
    entry = wording.entries[message_id]
    return wording.with_entries([replace(entry, texts=(f"{entry.texts[0]} 5",))])
