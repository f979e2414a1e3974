"""What the console does: preparing, clearing with decisions, changes, calls, finding; asked in this process."""

from __future__ import annotations

import ast
import datetime as dt
import html
import re
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from generator.console import words as words_module
from generator.console.words import OUTCOMES, REASONS, console_remedy
from generator.desk import make_rows, read
from generator.finding import refusal
from generator.records import PlanRecord, Records, accounts, calls
from tests.command import DEMO_UNIT, ROOT, run
from tests.desks import FRIDAY, Desks, desks, known, prepared, published, seen_of, sent
from tests.lives import HEADING
from tests.plans import copy_of_demo_unit

NOW = "2026-03-16T08:00"
MOVE = {"date": "2026-03-23", "time": "10:00", "protocol": "peg-ascorbate-split", "travel": "", "pick_up": ""}


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desks]:
    with desks(tmp_path_factory.mktemp("desk")) as found:
        yield found


@pytest.fixture
def desk(shared: Desks) -> Desks:
    shared.clock.set(NOW)
    return shared


def words(page: str) -> str:
    """The words of a page, one space between them."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def booking_of(record: PlanRecord) -> object:
    assert record.inputs is not None
    return record.inputs.booking


def test_before_anything_is_kept_there_is_the_timetable_with_its_reasons(desk: Desks) -> None:
    """The times are those of the command line, and nothing is in the records."""
    answer = sent(desk.browser("clerk"), "/bookings/new", ref="LOOK-1", **FRIDAY, travel="20")
    told = words(answer.text)
    said = run("timetable", "--unit", DEMO_UNIT, "--protocol", "peg-ascorbate-split", "--procedure",
               "2026-03-20T09:30", "--travel", "20", "--now", NOW)  # fmt: skip
    for line in ("18:00-19:00", "05:30-06:30", "Look into the toilet bowl"):
        assert line in said.output
        assert line in told
    assert "Not published yet. Read day and time back to the patient." in told
    assert desk.office.records.find("LOOK-1") is None


def test_the_fitting_preparation_is_proposed_with_its_reason(desk: Desks) -> None:
    clerk = desk.browser("clerk")
    told = words(sent(clerk, "/bookings/new", ref="FIT-1", **{**FRIDAY, "time": "14:00"}).text)
    assert "Proposed: 2 L PEG with ascorbate, both litres on the day, for afternoon lists ." in told
    assert "this one is at 14:00. Signed until 5 January 2036." in told
    assert "2 L PEG with ascorbate, split: evening before and morning (does not fit)" in told
    told = words(sent(clerk, "/bookings/new", ref="FIT-1", **FRIDAY, raised=["phenylketonuria"]).text)
    assert "Proposed: Sodium picosulfate" in told  # the unit forbids the other two to such patients
    assert "Not given to such patients: Phenylketonuria." in told
    told = words(sent(clerk, "/bookings/new", ref="FIT-1", **{**FRIDAY, "time": "20:30"}).text)
    assert "None of the unit's protocols fits." in told


def test_a_form_tells_every_fault_at_once_and_keeps_what_was_typed(desk: Desks) -> None:
    typed = {"ref": "Ada Quill", "date": "2026-02-30", "time": "25:00", "travel": "a while", "language": "xx"}
    answer = sent(desk.browser("clerk"), "/bookings/new/keep", **typed)
    assert answer.status_code == 422
    told = words(answer.text)
    for fault in (
        "The reference is empty, has no digit",
        "The day or the time is none",
        "no number of minutes",
        "not offered here",
    ):
        assert fault in told
    assert 'value="a while"' in answer.text
    assert "Ada Quill" not in told  # it stands in its field again, and nowhere else
    times = sent(desk.browser("clerk"), "/bookings/new", ref="DST-1", date="2026-03-29", time="01:30").text
    assert "the clocks change" in words(times)  # Europe/London, 29 March 2026: 01:00 to 02:00 does not exist


def test_what_a_clerk_prepares_waits_for_a_nurse_who_decides_and_clears(desk: Desks) -> None:
    record = prepared(desk, "ASK-1", raised=["constipation", "iron"], speaks="ar", language="es")
    clerk, nurse = desk.browser("clerk"), desk.browser("nurse")
    day = words(clerk.get("/days/2026-03-20").text)
    assert "ASK-1" in day
    assert "waits to be cleared" in day
    assert "iron: needs unit instruction" in day
    assert "Clear and publish" not in clerk.get(f"/bookings/{record.id}").text
    assert "These times hold if the page says" in words(nurse.get(f"/bookings/{record.id}").text)
    undecided = sent(nurse, f"/bookings/{record.id}/clear", seen=record.seen)
    assert undecided.status_code == 409
    assert known(desk, "ASK-1").is_prepared
    answers = {"factor-asks:constipation": "go-ahead", "needs-unit-instruction:iron": "iron-week"}
    considered = sent(nurse, f"/bookings/{record.id}/consider", seen=record.seen, **answers)
    told = words(considered.text)
    assert "Tuesday 17 March from 07:00 Eat low-fibre food only" in told  # two days longer
    # The week without iron should have begun on 13 March: the answer asks something itself.
    assert 'name="short-notice"' in considered.text
    answers["short-notice"] = "go-ahead"
    assert sent(nurse, f"/bookings/{record.id}/clear", seen=record.seen, **answers).status_code == 302
    inputs = known(desk, "ASK-1").inputs
    assert inputs is not None
    assert (inputs.booking.agreed, inputs.booking.instructions) == (("constipation",), ("iron-week",))
    assert inputs.booking.cleared is not None
    assert (inputs.booking.cleared.role, inputs.booking.cleared.on) == ("nurse", dt.date(2026, 3, 16))
    page = clerk.get(f"/bookings/{record.id}").text
    assert known(desk, "ASK-1").identity.token in page


def test_what_was_raised_in_error_is_taken_back_by_the_nurse(desk: Desks) -> None:
    record = prepared(desk, "ERR-1", raised=["iron", "constipation"])
    answers = {
        "needs-unit-instruction:iron": "not-this-patient",
        "factor-asks:constipation": "not-this-patient",
    }
    assert (
        sent(desk.browser("lead"), f"/bookings/{record.id}/clear", seen=record.seen, **answers).status_code
        == 302
    )
    inputs = known(desk, "ERR-1").inputs
    assert inputs is not None
    assert (inputs.booking.medicines, inputs.booking.factors) == ((), ())


def test_details_that_wait_are_mended_and_withdrawn(desk: Desks) -> None:
    record, clerk = prepared(desk, "MEND-1"), desk.browser("clerk")
    assert 'value="2026-03-20"' in clerk.get(f"/bookings/{record.id}/details").text
    path = f"/bookings/{record.id}/details/keep"
    mended = {**FRIDAY, "time": "11:00", "protocol": "peg-ascorbate-split"}
    assert sent(clerk, path, seen=record.seen, **mended).status_code == 302
    assert known(desk, "MEND-1").start == "2026-03-20T11:00:00+00:00"
    late = sent(clerk, path, seen=record.seen, **{**mended, "time": "12:00"})
    assert late.status_code == 409
    assert 'value="12:00"' in late.text
    old = sent(clerk, f"/bookings/{record.id}/withdraw", seen=record.seen)
    assert old.status_code == 409
    assert sent(clerk, f"/bookings/{record.id}/withdraw", seen=seen_of(desk, "MEND-1")).status_code == 302
    assert desk.office.records.find("MEND-1") is None
    assert clerk.get(f"/bookings/{record.id}").status_code == 404


def test_a_reference_that_is_taken_is_told_and_nothing_is_written_over(desk: Desks) -> None:
    first = prepared(desk, "TAKEN-1")
    answer = sent(desk.browser("clerk"), "/bookings/new/keep", ref="TAKEN-1", **{**FRIDAY, "time": "11:00"})
    assert answer.status_code == 409
    assert "waits at the desk already" in answer.text
    assert known(desk, "TAKEN-1").seen == first.seen


def test_a_list_does_not_publish_something_else_of_a_booking_that_waits_at_the_desk(desk: Desks) -> None:
    prepared(desk, "LIST-1", raised=["iron"])
    work = desk.office.desk()
    rows = {"09:30": "booking-waits", "10:30": "booking-waits"}
    for time, kind in rows.items():
        row = f"LIST-1,20/03/2026,{time},,COLON,PEGASC2,en,,\n"
        [made] = make_rows(work, read(work.folder, (HEADING + row).encode(), "list.csv", work.now).rows)
        assert made.link is None
        kinds = {one.kind for one in made.findings}
        assert kind in kinds or "needs-unit-instruction:iron" in kinds
    assert known(desk, "LIST-1").is_prepared


def test_a_unit_that_declared_its_lists_assessed_lets_clerks_publish(tmp_path: Path) -> None:
    """practice.md F1: a unit may let clerks release bookings whose list it has declared assessed."""
    unit = copy_of_demo_unit(tmp_path)
    text = (unit / "unit.toml").read_text("utf-8")
    (unit / "unit.toml").write_text(
        text.replace("demonstration = true", "demonstration = false")
        + '\n[assessed]\nrole = "nurse"\nuntil = 2026-12-31\n',
        "utf-8",
    )
    with desks(tmp_path / "data", unit=unit) as desk:
        record = prepared(desk, "DECL-1")
        answer = sent(desk.browser("clerk"), f"/bookings/{record.id}/publish", seen=record.seen)
        assert answer.status_code == 409  # a real unit: nobody has reviewed the words
        assert "are not reviewed" in answer.text
        assert "Only a nurse" not in answer.text


def test_moving_shows_old_against_new_first_and_says_what_will_happen(desk: Desks) -> None:
    record, clerk = published(desk, "MOVE-1"), desk.browser("clerk")
    told = words(sent(clerk, f"/bookings/{record.id}/move", seen=record.seen, **MOVE).text)
    assert "From Friday 20 March, 09:30 to Monday 23 March, 10:00" in told
    assert "takes the old one's place at once" in told
    assert known(desk, "MOVE-1").seen == record.seen
    other = {**MOVE, "protocol": "picosulfate-split"}
    told = words(sent(clerk, f"/bookings/{record.id}/move", seen=record.seen, **other).text)
    assert "The old plan will be taken down" in told  # a clerk chooses no medicine
    done = sent(clerk, f"/bookings/{record.id}/move/now", seen=record.seen, **other)
    assert done.headers["Location"].endswith("told=moved-held")
    assert known(desk, "MOVE-1").life == "held"
    nurse = desk.browser("nurse")
    path = f"/bookings/{record.id}/release"
    assert "Only after you have spoken with the patient." in words(nurse.get(path).text)
    assert sent(clerk, path, seen=seen_of(desk, "MOVE-1")).status_code == 403
    released = sent(nurse, path, seen=seen_of(desk, "MOVE-1"), cleared="yes")
    assert released.headers["Location"].endswith("told=released")
    inputs = known(desk, "MOVE-1").inputs
    assert inputs is not None
    assert inputs.booking.protocol == "picosulfate-split"


def test_a_dose_that_was_begun_is_told_when_a_plan_is_released(desk: Desks) -> None:
    record, nurse = published(desk, "DOSE-1", date="2026-03-18"), desk.browser("nurse")
    desk.clock.set("2026-03-17T19:30")
    nurse, path = desk.browser("nurse"), f"/bookings/{record.id}"
    move = {**MOVE, "date": "2026-03-18", "time": "11:00"}
    held = sent(nurse, f"{path}/move/now", seen=seen_of(desk, "DOSE-1"), **move)
    assert held.headers["Location"].endswith("told=moved-held")
    page = nurse.get(f"{path}/release").text
    row = "evening-dose"
    assert f'name="begun-date:{row}"' in page
    kinds = re.findall(r'name="decided" value="([^"]+)"', page)
    form = {
        f"begun-date:{row}": "2026-03-17",
        f"begun-time:{row}": "18:00",
        "decided": kinds,
        "cleared": "yes",
    }
    told = sent(nurse, f"{path}/release", seen=seen_of(desk, "DOSE-1"), **form)
    assert told.status_code == 302, words(told.text)
    inputs = known(desk, "DOSE-1").inputs
    assert inputs is not None
    assert inputs.begun[row].isoformat() == "2026-03-17T18:00:00+00:00"


def test_a_clerk_raises_and_a_nurse_decides_about_a_plan_that_was_given(desk: Desks) -> None:
    record, clerk, nurse = published(desk, "TOLD-1"), desk.browser("clerk"), desk.browser("nurse")
    path = f"/bookings/{record.id}/patient/now"
    # A clerk who also sends an answer has it passed over.
    form = {"raised": ["iron"], "needs-unit-instruction:iron": "iron-week"}
    assert sent(clerk, path, seen=record.seen, **form).headers["Location"].endswith("told=changed-held")
    held = known(desk, "TOLD-1")
    assert held.pending is not None
    assert (held.pending.booking.medicines, held.pending.booking.instructions) == (("iron",), ())
    answer = sent(nurse, path, seen=held.seen, **form, cleared="yes")
    assert answer.status_code == 302, words(answer.text)
    pending = known(desk, "TOLD-1").pending
    assert pending is not None
    assert pending.booking.instructions == ("iron-week",)


def test_holding_and_cancelling_are_asked_first_and_name_the_medicines_to_speak_about(desk: Desks) -> None:
    record = prepared(desk, "OFF-1", raised=["iron"])
    nurse = desk.browser("nurse")
    answers = {"needs-unit-instruction:iron": "iron-week", "short-notice": "go-ahead"}
    assert sent(nurse, f"/bookings/{record.id}/clear", seen=record.seen, **answers).status_code == 302
    told = words(nurse.get(f"/bookings/{record.id}/cancel").text)
    assert "eat and drink normally again" in told
    assert "To be told by phone: a nurse says how to go on with" in told
    assert "Iron: a week without" in told
    done = sent(nurse, f"/bookings/{record.id}/hold", seen=seen_of(desk, "OFF-1"))
    assert done.headers["Location"].endswith("told=held")
    done = sent(desk.browser("clerk"), f"/bookings/{record.id}/cancel", seen=seen_of(desk, "OFF-1"))
    assert done.headers["Location"].endswith("told=cancelled")
    assert known(desk, "OFF-1").life == "cancelled"


def test_a_call_stays_on_the_list_until_somebody_was_told(desk: Desks) -> None:
    record, clerk = published(desk, "CALL-1", speaks="ar"), desk.browser("clerk")
    sent(clerk, f"/bookings/{record.id}/move/now", seen=record.seen, **MOVE)
    [call] = [one for one in calls.waiting(desk.office.records) if one.ref == "CALL-1"]
    told = words(clerk.get("/calls").text)
    assert "CALL-1 : The appointment moved; the page shows the new plan" in told
    assert "have an interpreter on the line" in told
    assert "have you taken any of the bowel medicine" in told
    for outcome, stays in (("no-answer", True), ("interpreter-needed", True), ("told-patient", False)):
        assert sent(clerk, f"/calls/{call.id}", outcome=outcome).headers["Location"].endswith("recorded")
        assert any(one.ref == "CALL-1" for one in calls.waiting(desk.office.records)) is stays
    assert sent(clerk, f"/calls/{call.id}", outcome="no-answer").headers["Location"].endswith("gone")
    assert sent(clerk, f"/calls/{call.id}", outcome="anything").status_code == 400


def test_every_outcome_and_reason_has_words() -> None:
    assert set(OUTCOMES) == set(calls.OUTCOMES)
    assert all(f"{what}-held" in REASONS for what in ("moved", "changed", "files-changed"))


def test_a_booking_is_found_by_reference_or_call_number(desk: Desks) -> None:
    record, clerk = published(desk, "FIND-77"), desk.browser("clerk")
    number = record.identity.call_number
    for asked in ("FIND-77", "find-7", number, f"{number[:3]} {number[3:]}"):
        answer = clerk.get("/find", query_string={"q": asked})
        assert answer.headers["Location"] == f"/bookings/{record.id}", asked
    assert "0 found" in clerk.get("/find?q=%25").text  # no sign of a pattern means anything


def test_tonight_is_told_by_hour(desk: Desks) -> None:
    """Of the plan of 18 March: the evening dose from 18:00 on the 17th, the morning dose from 05:30."""
    published(desk, "NIGHT-1", date="2026-03-18")
    desk.clock.set("2026-03-17T15:00")
    told = words(desk.browser("nurse").get("/").text)
    evening = told.index("Tuesday 18:00 18:00 Drink the bowel medicine")
    assert evening < told.index("Wednesday 05:00 05:30 Drink the bowel medicine: NIGHT-1")


def test_what_the_patient_sees_is_the_page_that_is_up_beside_the_english(desk: Desks) -> None:
    record, nurse = published(desk, "SEEN-1", language="ar"), desk.browser("nurse")
    page = nurse.get(f"/bookings/{record.id}/seen?day=2026-03-19&time=18:20").text
    assert re.findall(r'<iframe src="/seen/\d+/([a-z.]+)\?at=1773944400000"', page) == [
        "index.html",
        "en.html",
    ]
    document = nurse.get(f"/seen/{record.id}/index.html?at=1773944400000")
    up = (desk.data / "public" / "p" / record.identity.token / "index.html").read_text("utf-8")
    assert up.split("<body", 1)[1].split("qr.svg")[0] in document.text
    assert 'data-at="1773944400000" data-offset="0"' in document.text


def test_every_finding_of_the_desk_whose_next_step_is_a_command_has_another_for_the_console() -> None:
    """Whoever adds one adds its words; only what nobody at the desk can mend is left to whoever looks after it."""
    elsewhere = {"decision-needed", "answer-not-there"}  # their remedy is put together elsewhere
    found = set()
    for path in [*(ROOT / "generator" / "desk").glob("*.py"), ROOT / "generator" / "clinic" / "signoff.py"]:
        text = path.read_text("utf-8")
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("refusal", "warning", "note"):
                kind = node.args[0]
                told = ast.get_source_segment(text, node) or ""
                if isinstance(kind, ast.Constant) and re.search(r"daybefore [a-z]|--[a-z]", told):
                    found.add(kind.value)
    assert {"plan-held", "signature-missing", "language-not-reviewed"} & found
    assert (found | elsewhere) - set(words_module._REMEDIES) == set()


def test_no_next_step_in_the_console_is_a_command(desk: Desks) -> None:
    typed = refusal(
        "plan-held", "x", "The plan is held.", "Phone the patient (daybefore calls), then: daybefore release"
    )
    assert console_remedy(typed) == "Phone the patient now (Calls); then a nurse releases the plan."
    unknown = refusal("anything-new", "x", "Something.", "Run: daybefore anything --ref X")
    assert "daybefore anything" not in console_remedy(unknown)


def test_files_of_the_unit_that_change_are_read_and_those_with_faults_are_not(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    with desks(tmp_path / "data", unit=unit) as desk:
        clerk = desk.browser("clerk")
        text = (unit / "unit.toml").read_text("utf-8")
        (unit / "unit.toml").write_text(
            text.replace("Marl Bay Endoscopy Unit", "Other Endoscopy Unit"), "utf-8"
        )
        assert "Other Endoscopy Unit" in clerk.get("/").text
        (unit / "unit.toml").write_text("name = ", "utf-8")
        page = clerk.get("/").text
        assert "The unit's files have faults" in words(page)
        assert "Other Endoscopy Unit" in page


AS_SHIPPED = accounts.METHOD  # other tests' desks hash quickly, for as long as they are open


def test_accounts_are_made_from_the_command_line_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No default password: a console without accounts lets nobody in."""
    monkeypatch.setattr(accounts, "METHOD", AS_SHIPPED)
    assert "0 account(s)." in run("account", "list", "--out", tmp_path).output
    short = run("account", "add", "desk-1", "--role", "clerk", "--out", tmp_path, typed="short\nshort\n")
    assert short.exit_code == 1
    drawn = run("account", "add", "desk-1", "--role", "clerk", "--draw", "--out", tmp_path).output
    assert re.search(r"Password: ([a-z2-9]{4}-){3}[a-z2-9]{4}\n", drawn)
    with closing(Records(tmp_path)) as records, records.change() as connection:
        [kept] = connection.exec_driver_sql("SELECT password FROM accounts").scalars()
    assert kept.startswith("scrypt:32768:8:3$")
    assert run("account", "role", "desk-1", "--role", "nurse", "--out", tmp_path).exit_code == 0
    assert "desk-1  nurse" in run("account", "list", "--out", tmp_path).output
    assert run("account", "role", "desk-2", "--role", "nurse", "--out", tmp_path).exit_code == 1
    assert run("account", "add", "Ada Quill", "--role", "clerk", "--draw", "--out", tmp_path).exit_code == 1
    assert run("account", "remove", "desk-1", "--out", tmp_path).exit_code == 0
    assert "0 account(s)." in run("account", "list", "--out", tmp_path).output


def test_the_command_line_prepares_and_clears_what_the_console_shows(desk: Desks) -> None:
    """One path: what is put on the desk by a command waits in the console, and the other way about."""
    where = ("--unit", DEMO_UNIT, "--out", desk.data, "--now", NOW)
    words_of = ("--protocol", "peg-ascorbate-split", "--procedure", "2026-03-20T09:30", "--factor", "iron")
    done = run("prepare", "--ref", "CLI-1", *words_of, "--speaks", "ar", "--role", "clerk", *where)
    assert done.exit_code == 0, done.output
    record = known(desk, "CLI-1")
    assert record.is_prepared
    page = words(desk.browser("nurse").get(f"/bookings/{record.id}").text)
    assert "nobody has said what to do about it" in page
    assert "CLI-1  waits to be cleared" in run("list", "--unit", DEMO_UNIT, "--out", desk.data).output
    refused = run("clear", "--ref", "CLI-1", "--call-first", "iron", "--role", "clerk", *where)
    assert refused.exit_code == 1
    cleared = run("clear", "--ref", "CLI-1", "--call-first", "iron", "--role", "nurse", *where)
    assert "Done. http://localhost:8641/p/" in cleared.output
    prepared(desk, "CLI-2")
    assert run("clear", "--ref", "CLI-2", "--role", "nurse", *where).exit_code == 0
    assert known(desk, "CLI-2").was_given


def test_what_waited_at_the_desk_is_forgotten_with_everything_else(tmp_path: Path) -> None:
    """practice.md F26: after the longest after-care, here 30 days, circumstances and reference leave the records."""
    with desks(tmp_path) as desk:
        record = prepared(desk, "GONE-1", raised=["iron"])
        where = ("--role", "clerk", "--unit", DEMO_UNIT, "--out", desk.data)
        assert run("expire", *where, "--now", "2026-04-19T08:00").exit_code == 0
        assert known(desk, "GONE-1").seen == record.seen
        assert run("expire", *where, "--now", "2026-04-20T08:00").exit_code == 0
        assert desk.office.records.find("GONE-1") is None
        assert b"GONE-1" not in (desk.data / "records.sqlite").read_bytes()
