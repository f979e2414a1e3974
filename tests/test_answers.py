"""A plan that was given gets other answers about the patient: a clinician chooses, a clerk raises, the patient is told.

The iron instruction of the demonstration begins a week before: of 18 March the last tablet is on the 10th.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from generator.desk import Desk, Made, cancel, change, hold, move, release
from generator.desk.answers import Answers
from generator.records import PlanRecord, calls, trail
from tests.command import DEMO_UNIT, run, run_json
from tests.lives import ROWS, Office, assert_in_step, build, every_record, served

EARLY = "2026-03-02T08:00"
IRON = Answers(instructions=("iron-week",))


@pytest.fixture(scope="module")
def office() -> Office:
    return Office()


@pytest.fixture
def desk(office: Office, tmp_path: Path) -> Iterator[Desk]:
    with office.desk(tmp_path, EARLY) as desk:
        build(desk, ROWS[:1])
        yield desk


def changed(desk: Desk, role: str = "nurse", **answers: object) -> Made:
    return change(desk, "DEMO-101", Answers(**answers), role)  # type: ignore[arg-type]


def kinds(made: Made) -> set[str]:
    return {finding.kind for finding in made.findings}


def record_of(desk: Desk) -> PlanRecord:
    found = desk.records.find("DEMO-101")
    assert found is not None
    return found


def page_of(data: Path) -> str:
    [files] = served(data).values()
    words = re.sub(r"<script.*?</script>|<[^>]+>", " ", files["index.html"].decode(), flags=re.DOTALL)
    return " ".join(words.translate(dict.fromkeys(range(0x2066, 0x206A))).split())


def test_a_nurse_gives_an_instruction_and_the_patient_is_told(desk: Desk, tmp_path: Path) -> None:
    first = record_of(desk)
    made = change(desk, "DEMO-101", IRON, "nurse")
    assert made.link
    now = record_of(desk)
    assert (now.life, now.identity.version) == ("made", 2)
    assert now.identity.code != first.identity.code
    page = page_of(tmp_path)
    assert "Iron: take your last tablet on" in page
    assert "Your plan has changed." in page
    assert "Your appointment has moved." not in page
    [call] = calls.waiting(desk.records)
    assert call.why == "changed"
    assert "Iron: was nothing said; is “Iron: a week without”." in call.script
    assert (
        f"The appointment stays: Wednesday 18 March, 09:30. Plan {first.identity.code} is replaced."
        in call.script
    )
    assert "is from Tuesday 10 March" in call.script
    assert [line["action"] for line in trail.lines(desk.records)][-1] == "changed"
    assert kinds(change(desk, "DEMO-101", IRON, "nurse")) == {"nothing-changed"}
    assert record_of(desk) == now
    assert_in_step(tmp_path)


def test_the_line_takes_the_instructions_place_and_both_go_with_the_class(desk: Desk, tmp_path: Path) -> None:
    change(desk, "DEMO-101", IRON, "nurse")
    assert changed(desk, call_first=("iron",)).link
    page = page_of(tmp_path)
    assert "Call the unit before you change this medicine: iron" in page
    assert "Iron: take your last tablet on" not in page
    assert changed(desk, void=("iron",)).link
    assert "Call the unit before you change this medicine" not in page_of(tmp_path)
    assert record_of(desk).identity.version == 4


def test_a_clerk_chooses_nothing(desk: Desk) -> None:
    before = record_of(desk)
    for choice in (
        {"instructions": ("iron-week",)},
        {"call_first": ("iron",)},
        {"void": ("iron",)},
        {"raised": ("constipation",), "agreed": ("constipation",)},
        {"decided": ("preparation-begun",)},
        {"cleared": True},
    ):
        made = changed(desk, "clerk", **choice)
        assert (made.link, kinds(made)) == (None, {"role-may-not"})
    assert record_of(desk) == before
    assert calls.waiting(desk.records) == []


@pytest.mark.parametrize(
    "raised", [{"raised": ("low-sodium-risk",)}, {"raised": ("iron",)}, {"sedation": "propofol"}]
)
def test_what_a_clerk_raises_holds_the_plan_until_a_nurse_has_decided(
    desk: Desk, tmp_path: Path, raised: dict[str, object]
) -> None:
    """A factor that bears on another protocol only, a class nobody has answered for, a sedation: held all the same."""
    made = changed(desk, "clerk", **raised)
    assert {"nurse-decides", "plan-held"} <= kinds(made)
    assert record_of(desk).life == "held"
    assert "Do not follow the old times." in page_of(tmp_path)
    assert [call.why for call in calls.waiting(desk.records)] == ["changed-held"]
    assert kinds(changed(desk, "clerk", **raised)) == {"nothing-changed"}
    if raised == {"raised": ("iron",)}:
        refused = release(desk, "DEMO-101", "nurse", {}, ())
        assert "needs-unit-instruction:iron" in kinds(refused)
        assert changed(desk, instructions=("iron-week",)).link
        assert record_of(desk).life == "held"
    assert release(desk, "DEMO-101", "nurse", {}, ()).link
    assert (record_of(desk).life, record_of(desk).identity.version) == ("made", 2)
    assert [call.why for call in calls.waiting(desk.records)] == ["released"]


def test_a_clerk_moves_nobody_to_another_medicine(desk: Desk) -> None:
    made = move(desk, "DEMO-101", {"protocol": "picosulfate-split"}, "clerk")
    assert "nurse-decides" in kinds(made)
    assert record_of(desk).life == "held"
    assert release(desk, "DEMO-101", "nurse", {}, ()).link
    assert "Preparation: was “" in calls.waiting(desk.records)[0].script


def test_a_question_that_adds_something_has_a_yes_and_a_no(desk: Desk) -> None:
    """Constipation: the diet begins two days earlier than on the 17th, once a nurse has said yes."""
    asked = changed(desk, raised=("constipation",))
    assert record_of(desk).life == "held"
    [open_end] = [one for one in asked.findings if one.kind == "decision-needed"]
    assert "if yes, daybefore change --ref … --agreed constipation" in open_end.remedy
    assert changed(desk, agreed=("constipation",)).link
    assert release(desk, "DEMO-101", "nurse", {}, ()).link
    given = record_of(desk).inputs
    assert given is not None
    assert given.given is not None
    [diet] = [step for step in given.given.steps if step.id == "low-fibre"]
    assert (diet.start.month, diet.start.day) == (3, 15)


def test_after_the_days_of_an_instruction_have_come_a_change_waits_for_a_nurse(
    office: Office, desk: Desk, tmp_path: Path
) -> None:
    change(desk, "DEMO-101", IRON, "nurse")
    with office.desk(tmp_path, "2026-03-11T09:00") as later:
        assert "plan-held" in kinds(changed(later, call_first=("iron",)))
        asked = release(later, "DEMO-101", "nurse", {}, ())
        assert {"preparation-begun", "decision-needed"} <= kinds(asked)
        assert release(later, "DEMO-101", "nurse", {}, ("preparation-begun",)).link


def test_what_was_begun_is_still_begun(office: Office, desk: Desk, tmp_path: Path) -> None:
    """The dose of 18:00 was begun at 18:20; at 20:30 a nurse adds a line and releases."""
    with office.desk(tmp_path, "2026-03-17T20:30") as late:
        begun = {"evening-dose": office.moment("2026-03-17T18:20")}
        hold(late, "DEMO-101", "nurse")
        assert release(late, "DEMO-101", "nurse", begun, ("preparation-begun",)).link
        assert "plan-held" in kinds(changed(late, call_first=("iron",)))
        assert release(late, "DEMO-101", "nurse", {}, ("preparation-begun",)).link
    now = record_of(desk).inputs
    assert now is not None
    assert now.begun == begun


def test_what_changes_nothing_on_the_page_is_recorded_and_nobody_is_phoned(
    desk: Desk, tmp_path: Path
) -> None:
    before, up = record_of(desk), served(tmp_path)
    answers = Answers(raised=("contraceptive",), decided=("factor-asks:contraceptive",))
    made = change(desk, "DEMO-101", answers, "nurse")
    assert kinds(made) == {"same-for-patient"}
    now = record_of(desk)
    assert (now.identity, now.edition, served(tmp_path)) == (before.identity, before.edition + 1, up)
    assert calls.waiting(desk.records) == []
    assert_in_step(tmp_path)
    # The list that is built again does not know of it, and takes nothing away.
    assert build(desk, ROWS[:1])[0].link
    again = record_of(desk).inputs
    assert again is not None
    assert again.booking.factors == ("contraceptive",)
    # Nor does another command that had read the booking before.
    assert not desk.records.publishing([], desk.now)
    assert kinds(changed(desk, raised=("contraceptive",))) == {"nothing-changed"}


def test_what_changes_nothing_takes_no_plan_down_in_the_evening_either(
    office: Office, desk: Desk, tmp_path: Path
) -> None:
    """At 20:30 the dose of 18:00 may have been drunk; the page stays as it is."""
    with office.desk(tmp_path, "2026-03-17T20:30") as late:
        answers = Answers(raised=("contraceptive",), decided=("factor-asks:contraceptive",))
        assert kinds(change(late, "DEMO-101", answers, "nurse")) == {"same-for-patient"}
        assert record_of(late).life == "made"
        assert "decision-needed" in kinds(changed(late, raised=("opioids",)))
        assert record_of(late).life == "held"


def test_a_decision_about_a_factor_is_dead_when_it_is_raised_anew_and_for_another_protocol(
    desk: Desk,
) -> None:
    both = Answers(raised=("contraceptive",), decided=("factor-asks:contraceptive",))
    assert change(desk, "DEMO-101", both, "nurse").link
    assert "decision-needed" in kinds(move(desk, "DEMO-101", {"protocol": "picosulfate-split"}, "nurse"))
    assert record_of(desk).life == "held"
    assert release(desk, "DEMO-101", "nurse", {}, ("factor-asks:contraceptive",)).link
    assert changed(desk, void=("contraceptive",)).link
    assert "decision-needed" in kinds(changed(desk, raised=("contraceptive",)))


def test_whoever_cleared_the_patient_did_not_know_of_what_is_raised_later(desk: Desk) -> None:
    assert changed(desk, cleared=True).link
    cleared = record_of(desk).inputs
    assert cleared is not None
    assert cleared.booking.cleared is not None
    assert (cleared.booking.cleared.role, cleared.booking.cleared.on.isoformat()) == ("nurse", "2026-03-02")
    assert change(desk, "DEMO-101", IRON, "nurse").link  # of another medicine: still cleared for this one
    still = record_of(desk).inputs
    assert still is not None
    assert still.booking.cleared == cleared.booking.cleared
    assert changed(desk, raised=("contraceptive",), decided=("factor-asks:contraceptive",)).link
    later = record_of(desk).inputs
    assert later is not None
    assert later.booking.cleared is None


@pytest.mark.parametrize(
    ("answers", "kind"),
    [
        ({"instructions": ("iron-week",), "call_first": ("iron",)}, "answers-collide"),
        ({"raised": ("iron",), "void": ("iron",)}, "answers-collide"),
        ({"void": ("iron",)}, "answer-not-there"),
        ({"agreed": ("constipation",)}, "factor-not-raised"),
    ],
)
def test_a_slip_takes_no_plan_down(desk: Desk, answers: dict[str, tuple[str, ...]], kind: str) -> None:
    before = record_of(desk)
    made = change(desk, "DEMO-101", Answers(**answers), "nurse")  # type: ignore[arg-type]
    assert made.link is None
    assert kind in kinds(made)
    assert record_of(desk) == before


def test_a_factor_that_forbids_a_plan_takes_it_down(desk: Desk, tmp_path: Path) -> None:
    assert {"factor-blocks:pregnancy", "plan-held"} <= kinds(changed(desk, raised=("pregnancy",)))
    assert "Do not follow the old times." in page_of(tmp_path)
    assert release(desk, "DEMO-101", "nurse", {}, ()).link is None


def test_a_cancelled_plan_comes_back_only_with_a_start(desk: Desk) -> None:
    cancel(desk, "DEMO-101", "clerk")
    assert kinds(change(desk, "DEMO-101", IRON, "nurse")) == {"booking-cancelled"}
    assert kinds(move(desk, "DEMO-101", {"travel_minutes": 50}, "nurse")) == {"booking-cancelled"}
    assert record_of(desk).life == "cancelled"


def test_a_call_tells_all_since_the_patient_was_last_reached(office: Office, desk: Desk) -> None:
    """Moved to the 19th and nobody reached, then to the 20th: the patient knows of the 18th alone."""

    def moved(start: str) -> str:
        move(desk, "DEMO-101", {"start": office.moment(start), "arrival": None}, "clerk")
        [call] = calls.waiting(desk.records)
        return call.script

    first = record_of(desk).identity.code
    moved("2026-03-19T10:00")
    second = record_of(desk).identity.code
    script = moved("2026-03-20T10:30")
    assert f"Old appointment: Wednesday 18 March, 09:30, plan {first}." in script
    assert f"The page may also have shown plan {second}: nobody has told the patient of it yet." in script
    assert "New appointment: Friday 20 March, 10:30" in script
    third = record_of(desk).identity.code
    assert calls.tried(desk.records, "DEMO-101", "told-patient", "clerk", desk.now)
    script = moved("2026-03-23T10:30")
    assert f"Old appointment: Friday 20 March, 10:30, plan {third}." in script
    assert "may also" not in script


def test_on_the_command_line(tmp_path: Path, office: Office) -> None:
    with office.desk(tmp_path, EARLY) as desk:
        build(desk, ROWS[:1])
    place = ("change", "--ref", "DEMO-101", "--unit", DEMO_UNIT, "--out", tmp_path, "--now", EARLY)
    assert run(*place, "--role", "nurse").exit_code == 2
    wrong = run(*place, "--role", "nurse", "--instruction", "iron-weak")
    assert "Did you mean “iron-week”?" in str(getattr(wrong.exception, "remedy", ""))
    assert run_json(*place, "--role", "clerk", "--factor", "iron")["done"]
    [listed] = run_json("list", "--unit", DEMO_UNIT, "--out", tmp_path)["bookings"]
    assert (listed["state"], listed["waits_for"]) == ("held", "2026-03-18T09:30:00+00:00")
    assert run_json(*place, "--role", "nurse", "--call-first", "iron")["done"]
    assert [record.life for record in every_record(tmp_path)] == ["held"]
