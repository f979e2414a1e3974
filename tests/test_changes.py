"""Changes of a booking over its life: one link, one plan, nobody left with the old one, nothing kept after farewell."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from generator.desk import Desk, Made, cancel, end, expire, hold, move, release, repair, republish
from generator.desk.upkeep import Now, differences
from generator.page.life import Life
from generator.records import Decision, Records, calls, trail
from tests.command import run
from tests.lives import ROWS, Office, assert_in_step, block_of, build, every_record, served
from tests.plans import copy_of_demo_unit

LONG_BEFORE = (
    "2026-03-02T08:00"  # nothing of 18 March is due: the first row is two days before (the demo's protocols)
)
EVENING_BEFORE = "2026-03-17T20:30"  # the first dose of 18 March was due at 18:00 or 19:30
ENGLISH, SPANISH = ROWS[:1], ROWS[1:2]


@pytest.fixture(scope="module")
def office() -> Office:
    return Office()


@pytest.fixture
def desk(office: Office, tmp_path: Path) -> Iterator[Desk]:
    with office.desk(tmp_path, LONG_BEFORE) as open_desk:
        yield open_desk


def moved(office: Office, desk: Desk, ref: str, start: str, **more: object) -> Made:
    changed = {"start": office.moment(start), "arrival": None, "latest_start": None, **more}
    return move(desk, ref, changed, "clerk")


def kinds(made: Made) -> set[str]:
    return {finding.kind for finding in made.findings}


def waiting(desk: Desk) -> list[tuple[str, str]]:
    return [(call.ref, call.why) for call in calls.waiting(desk.records)]


def test_moved_ten_times_and_cancelled_one_link_shows_the_last_word(
    office: Office, desk: Desk, tmp_path: Path
) -> None:
    """Weekdays of March 2026 without closed days, at the demonstration's morning slots."""
    data = tmp_path
    [first] = build(desk, ENGLISH)
    codes = [code_up(data)]
    for number, day in enumerate((19, 20, 23, 24, 25, 26, 27, 30, 31, 19)):
        made = moved(office, desk, "DEMO-101", f"2026-03-{day}T{9 + number % 3:02}:30")
        assert made.link == first.link
        codes.append(code_up(data))
        assert_in_step(data)
    assert len(set(codes)) == 11
    assert cancel(desk, "DEMO-101", "clerk").link == first.link
    assert_in_step(data)
    [files] = served(data).values()
    page = files["index.html"].decode()
    assert block_of(page)["what"] == "cancelled"
    assert "Take no more of the bowel medicine. Eat and drink normally again." in page
    assert [code for code in codes if f">{code}</bdi>" in page] == codes[-1:]
    assert waiting(desk) == [("DEMO-101", "cancelled")]


def code_up(data: Path) -> str:
    [files] = served(data).values()
    return str(block_of(files["index.html"].decode())["code"])


@pytest.mark.parametrize(
    "changed",
    [
        {"start": "2026-03-20T05:00"},  # outside the protocol's slots
        {"travel_minutes": 1440},  # a day's way: no time for the dose between five hours before and leaving
    ],
)
def test_a_move_that_cannot_be_planned_holds_the_old_plan(
    office: Office, desk: Desk, tmp_path: Path, changed: dict[str, object]
) -> None:
    build(desk, ENGLISH)
    if isinstance(changed.get("start"), str):
        changed = {"start": office.moment(str(changed["start"])), "arrival": None}
    made = move(desk, "DEMO-101", changed, "clerk")
    assert made.link
    assert "plan-held" in kinds(made)
    assert_held(tmp_path)
    assert waiting(desk) == [("DEMO-101", "moved-held")]
    assert release(desk, "DEMO-101", "nurse", {}, ()).link is None  # there is nothing to release yet
    assert_held(tmp_path)


def test_a_booking_whose_protocol_is_gone_can_still_be_taken_down(
    office: Office, desk: Desk, tmp_path: Path
) -> None:
    build(desk, SPANISH)
    left = {name: one for name, one in office.folder.protocols.items() if name != "peg-ascorbate-same-day"}
    short = replace(desk, folder=replace(office.folder, protocols=left))
    assert [one.now for one in differences(short)] == [Now.REFUSED]
    made = moved(office, short, "DEMO-102", "2026-03-19T14:00")
    assert {"protocol-unknown", "plan-held"} <= kinds(made)
    assert_held(tmp_path)
    assert kinds(release(short, "DEMO-102", "nurse", {}, ())) == {"protocol-unknown"}
    assert moved(office, short, "DEMO-102", "2026-03-19T11:00", protocol="peg-ascorbate-split").link
    assert release(short, "DEMO-102", "nurse", {}, ()).link
    assert_in_step(tmp_path)


# A sentence of the plan alone, one of both, and one that only a page in a plan's place shows.
@pytest.mark.parametrize("lost", ["A.step.stop-do", "A.held.order", "C.farewell.kept"])
def test_a_move_in_a_language_that_lacks_a_sentence_holds_the_old_plan(
    office: Office, desk: Desk, tmp_path: Path, lost: str
) -> None:
    build(desk, SPANISH)
    spanish = office.wordings["es"]
    texts = {name: text for name, text in spanish.texts.items() if name != lost}
    assert len(texts) == len(spanish.texts) - 1
    short = replace(desk, wordings={**office.wordings, "es": replace(spanish, texts=texts)})
    made = moved(office, short, "DEMO-102", "2026-03-19T14:00")
    assert {"language-missing", "plan-held"} <= kinds(made)
    assert_held(tmp_path)
    [record] = every_record(tmp_path)
    assert record.pending is not None
    assert record.pending.booking.start == office.moment("2026-03-19T14:00")
    # The sentence is back: the nurse's release puts the new plan up.
    assert release(desk, "DEMO-102", "nurse", {}, ()).link
    assert_in_step(tmp_path)
    assert every_record(tmp_path)[0].life == "made"


def assert_held(data: Path) -> None:
    assert_in_step(data)
    for files in served(data).values():
        for name, content in files.items():
            assert not name.endswith(".html") or block_of(content.decode())["what"] == "held"


def test_after_the_first_dose_was_due_a_move_waits_for_a_nurse(office: Office, tmp_path: Path) -> None:
    with office.desk(tmp_path, LONG_BEFORE) as early:
        build(early)
    with office.desk(tmp_path, EVENING_BEFORE) as late:
        made = moved(office, late, "DEMO-101", "2026-03-25T09:30")
        assert {"plan-held", "decision-needed", "preparation-begun"} <= kinds(made)
        [english, *_] = every_record(tmp_path)
        assert english.life == Life.HELD
        assert release(late, "DEMO-101", "clerk", {}, ()).link is None
        decided = ("preparation-begun", "preparation-twice")
        assert release(late, "DEMO-101", "nurse", {}, decided).link
        assert_in_step(tmp_path)


def test_nothing_of_a_patient_is_left_in_the_file_after_farewell(office: Office, tmp_path: Path) -> None:
    """Not even in bytes that the database let go of."""
    rows = tuple(row.replace("DEMO-", "ZQXREF-") for row in ROWS)
    with office.desk(tmp_path, LONG_BEFORE) as early:
        build(early, rows)
        early.records.decide(Decision("ZQXREF-101", "digest", "zqx-kind", "zqx-choice", "nurse"), early.now)
        moved(office, early, "ZQXREF-102", "2026-03-19T14:00")
        hold(early, "ZQXREF-103", "nurse")
        release(early, "ZQXREF-103", "nurse", {}, ())
        assert calls.tried(early.records, "ZQXREF-103", "no-answer", "clerk", early.now)
    traces = (b"ZQXREF", b"zqx-", b"Ask for the plan code", b"no-answer", b"travel_minutes", b"evening-dose")
    file = tmp_path / "records.sqlite"
    assert all(trace in file.read_bytes() for trace in traces)
    with office.desk(tmp_path, "2026-03-19T18:00") as after:
        assert end(after, "ZQXREF-103", "nurse").link
    with office.desk(tmp_path, "2026-06-01T08:00") as late:
        tokens = set(served(tmp_path))
        assert len(expire(late, "clerk")) == 3
        assert expire(late, "clerk") == ()
        assert repair(late) == ()
    assert set(served(tmp_path)) == tokens
    assert_in_step(tmp_path)
    told = [trace for trace in traces if trace in file.read_bytes()]
    assert told == [b"no-answer"]  # the trail says that somebody rang, of a booking number that names nobody
    assert sorted(path.name for path in tmp_path.iterdir()) == ["public", "records.sqlite", "shelf.lock"]
    for record in every_record(tmp_path):
        assert (record.ref, record.inputs, record.pending, record.life) == ("", None, None, Life.FAREWELL)
    outcome = run("audit", "--out", tmp_path)
    assert outcome.exit_code == 0
    assert "The trail is whole." in outcome.output


@pytest.mark.parametrize(
    "change", ["UPDATE trail SET role = 'doctor' WHERE number = 2", "DELETE FROM trail WHERE number = 2"]
)
def test_the_database_refuses_a_change_of_the_trail_and_a_forced_one_is_found(
    office: Office, tmp_path: Path, change: str
) -> None:
    with office.desk(tmp_path, LONG_BEFORE) as early:
        build(early, ENGLISH)
        hold(early, "DEMO-101", "nurse")
    with closing(sqlite3.connect(tmp_path / "records.sqlite")) as file:
        with pytest.raises(sqlite3.IntegrityError, match="the trail only grows"), file:
            file.execute(change)
        with closing(Records(tmp_path)) as records:
            assert trail.broken_line(records) is None
        with file:
            file.execute("DROP TRIGGER trail_no_update")
            file.execute("DROP TRIGGER trail_no_delete")
            file.execute(change)
    outcome = run("audit", "--out", tmp_path)
    assert outcome.exit_code == 1
    assert "Line 2 was changed, or one before it is gone." in outcome.output


def test_the_list_again_on_another_day_changes_nothing_of_a_moved_booking(
    office: Office, tmp_path: Path
) -> None:
    """Whether the list says the new start or still the old one."""
    with office.desk(tmp_path, LONG_BEFORE) as early:
        build(early, ENGLISH)
        moved(office, early, "DEMO-101", "2026-03-19T09:30", arrival=office.moment("2026-03-19T09:00"))
    before, times = served(tmp_path), written(tmp_path)
    with office.desk(tmp_path, "2026-03-10T08:00") as later:
        [same] = build(later, (ENGLISH[0].replace("18/03", "19/03"),))
        assert same.link
        [old] = build(later, ENGLISH)
        assert {"plan-changed", "plan-still-up"} <= kinds(old)
    assert served(tmp_path) == before
    assert written(tmp_path) == times
    assert_in_step(tmp_path)


@pytest.mark.parametrize("take_down", [hold, cancel])
def test_a_list_neither_puts_a_taken_down_plan_up_nor_says_that_it_is_up(
    desk: Desk, tmp_path: Path, take_down: Callable[[Desk, str, str], Made]
) -> None:
    build(desk, ENGLISH)
    take_down(desk, "DEMO-101", "nurse")
    before = served(tmp_path)
    for rows in (ENGLISH, (ENGLISH[0].replace("PEGASC2", "XXX"),)):
        [made] = build(desk, rows)
        assert made.link is None
        assert "plan-still-up" not in kinds(made)
        assert served(tmp_path) == before


def written(data: Path) -> dict[str, int]:
    return {str(path): path.stat().st_mtime_ns for path in (data / "public").rglob("*")}


def test_a_mended_word_reaches_only_the_files_that_show_it(office: Office, tmp_path: Path) -> None:
    """C.saved.saved is shown by a plan in its own language alone."""
    with office.desk(tmp_path, LONG_BEFORE) as early:
        build(early)
        before, times, records = served(tmp_path), written(tmp_path), every_record(tmp_path)
        spanish = office.wordings["es"]
        mended = replace(
            spanish, texts={**spanish.texts, "C.saved.saved": ("Guardado ya en este teléfono.",)}
        )
        new = replace(early, wordings={**office.wordings, "es": mended})
        found = list(differences(new))
        assert [one.now for one in found] == [Now.SAME, Now.WORDING, Now.SAME]
        assert written(tmp_path) == times
        for one in found:
            assert republish(new, one, "lead").link
    changed = {path for path, moment in written(tmp_path).items() if times[path] != moment}
    token = records[1].identity.token
    assert {path.split(f"/{token}/")[-1] for path in changed if Path(path).is_file()} == {
        "index.html",
        "sw.js",
    }
    assert served(tmp_path)[token]["en.html"] == before[token]["en.html"]
    assert_in_step(tmp_path)
    for old, now in zip(records, every_record(tmp_path), strict=True):
        assert now.identity == old.identity
    assert [record.edition for record in every_record(tmp_path)] == [1, 2, 1]
    with office.desk(tmp_path, LONG_BEFORE) as desk:
        assert waiting(desk) == []


@pytest.mark.parametrize(("now", "held"), [(LONG_BEFORE, False), (EVENING_BEFORE, True)])
def test_a_dose_changed_in_a_signed_protocol_is_told_before_anything_is_written(
    tmp_path: Path, now: str, held: bool
) -> None:
    unit, data = copy_of_demo_unit(tmp_path), tmp_path / "data"
    office = Office(unit)
    with office.desk(data, LONG_BEFORE) as early:
        # The third is a day later, so that nothing of it has passed, fetching on the second day before neither.
        build(early, (*ROWS[:2], ROWS[2].replace("19/03", "20/03")))
    assert [record.inputs.booking.protocol for record in every_record(data) if record.inputs] == [
        "peg-ascorbate-split",
        "peg-ascorbate-same-day",
        "peg-ascorbate-split",
    ]
    protocol = unit / "protocols" / "peg-ascorbate-split.toml"
    text = protocol.read_text("utf-8")
    two_glasses = 'after = { row = "evening-dose", at_least = 0 }\nglasses = 2'
    assert text.count(two_glasses) == 1
    protocol.write_text(text.replace(two_glasses, two_glasses.replace("2", "3")), "utf-8")
    common = ("--unit", unit, "--out", data, "--now", now)
    times = written(data)
    unsigned = run("republish", *common, "--role", "lead")
    assert "1 same, 0 wording, 0 changed, 2 refused" in unsigned.output
    # Nobody's plan is taken down because the unit has not signed yet: what was given was signed for.
    asked = run("republish", *common, "--role", "lead", "--changed")
    assert asked.exit_code == 1
    assert "was changed after it was signed" in asked.output
    assert written(data) == times
    sign = ("--role", "lead", "--review-by", "2036-01-05", "--now", "2026-01-05T08:00")
    assert run("protocol", "sign", "protocols/peg-ascorbate-split.toml", "--unit", unit, *sign).exit_code == 0
    told = run("republish", *common, "--role", "lead")
    assert "1 same, 0 wording, 2 changed, 0 refused" in told.output
    assert "  DEMO-101: changed\n" in told.output
    assert "  DEMO-103: changed\n" in told.output
    run("republish", *common, "--role", "lead", "--wording")
    assert written(data) == times
    assert run("republish", *common, "--role", "lead", "--changed").exit_code == 0
    assert_in_step(data)
    english, spanish, arabic = every_record(data)
    assert (english.life, english.identity.version) == (("held", 1) if held else ("made", 2))
    assert (spanish.life, spanish.identity.version) == ("made", 1)
    assert (arabic.life, arabic.identity.version) == ("made", 2)
    with office.desk(data, now) as desk:
        why = "files-changed-held" if held else "files-changed"
        assert sorted(waiting(desk)) == [("DEMO-101", why), ("DEMO-103", "files-changed")]


def test_a_held_plan_whose_examination_took_place_is_ended(
    office: Office, desk: Desk, tmp_path: Path
) -> None:
    """18 March, 09:30, held, and nobody released it: afterwards the patient needs what to watch for."""
    build(desk, ENGLISH)
    hold(desk, "DEMO-101", "nurse")
    assert kinds(end(desk, "DEMO-101", "nurse")) == {"not-yet"}
    with office.desk(tmp_path, "2026-03-18T12:00") as later:
        assert end(later, "DEMO-101", "nurse").link
    assert [record.life for record in every_record(tmp_path)] == [Life.ENDED]


def test_a_cancelled_plan_is_neither_held_nor_ended(office: Office, desk: Desk, tmp_path: Path) -> None:
    build(desk, ENGLISH)
    cancel(desk, "DEMO-101", "clerk")
    assert kinds(hold(desk, "DEMO-101", "nurse")) == {"booking-cancelled"}
    with office.desk(tmp_path, "2026-03-18T12:00") as later:
        assert kinds(end(later, "DEMO-101", "nurse")) == {"booking-cancelled"}
    [call] = calls.waiting(desk.records)
    assert "Say: take no more of the bowel medicine; eat and drink normally again." in call.script


def test_nobody_is_said_farewell_before_the_appointment_that_waits(
    office: Office, desk: Desk, tmp_path: Path
) -> None:
    """18 March to 30 April, in the night, which no plan can be made for: 30 days of after-care end on 30 May."""
    build(desk, ENGLISH)
    moved(office, desk, "DEMO-101", "2026-04-30T03:00")
    for now, forgotten in (("2026-04-29T08:00", 0), ("2026-05-30T02:59", 0), ("2026-05-30T03:01", 1)):
        with office.desk(tmp_path, now) as later:
            assert len(expire(later, "clerk")) == forgotten


def test_another_phone_number_reaches_the_pages_in_a_plans_place_and_plans_whose_day_has_passed(
    office: Office, desk: Desk, tmp_path: Path
) -> None:
    build(desk)
    hold(desk, "DEMO-101", "nurse")
    cancel(desk, "DEMO-102", "clerk")
    with office.desk(tmp_path, "2026-03-25T08:00") as later:
        unit = later.folder.unit
        lines = tuple(replace(line, shown="01632 960 321") for line in unit.lines)
        new = replace(later, folder=replace(later.folder, unit=replace(unit, lines=lines)))
        found = list(differences(new))
        assert [one.now for one in found] == [Now.WORDING] * 3
        assert all(republish(new, one, "lead").link for one in found)
        assert [one.now for one in differences(new)] == [Now.SAME] * 3
        assert len(waiting(new)) == 2  # for the two that came down, as before
    assert all(b"01632 960 321" in files["index.html"] for files in served(tmp_path).values())
    assert [(one.life, one.identity.version) for one in every_record(tmp_path)] == [
        ("held", 1),
        ("cancelled", 1),
        ("made", 1),
    ]
    assert_in_step(tmp_path)
