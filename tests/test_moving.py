"""A booking that moves: the new plan takes the old one's place, or nobody follows the old one."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from generator.errors import BadRecords
from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT, run, run_json
from tests.plans import copy_of_demo_unit

# DEMO-101: 18 March 2026, 09:30; the evening dose on the 17th from 18:00, clear drinks from 13:30.
REF = "DEMO-101"


class Office:
    """The command line over one data folder."""

    def __init__(self, out: Path, unit: Path = DEMO_UNIT) -> None:
        self.place = ("--unit", unit, "--out", out)
        self.public = out / "public" / "p"
        said = run_json("build", DEMO_LIST, *self.place, "--now", DEMO_NOW)
        self.links = {row["ref"]: row["link"] for row in said["files"][0]["rows"]}

    def do(self, command: str, now: str, *more: str, ref: str = REF, role: str = "clerk") -> Any:
        return run_json(command, "--ref", ref, "--role", role, *more, *self.place, "--now", now)

    def page(self, ref: str = REF, name: str = "index.html") -> str:
        text = (self.public / self.links[ref].split("/")[-2] / name).read_text("utf-8")
        words = re.sub(r"<script.*?</script>|<[^>]+>", " ", text, flags=re.DOTALL)
        return " ".join(words.translate(dict.fromkeys(range(0x2066, 0x206A))).split())

    def state(self, ref: str = REF) -> Any:
        [found] = [one for one in run_json("list", *self.place)["bookings"] if one["ref"] == ref]
        return found

    def calls(self) -> Any:
        return run_json("calls", *self.place)["calls"]


def kinds(said: Any) -> list[str]:
    return [finding["kind"] for finding in said["findings"]]


def test_moved_in_good_time_the_new_plan_takes_the_old_ones_place(tmp_path: Path) -> None:
    office = Office(tmp_path)
    first = office.state()
    said = office.do("move", "2026-03-16T09:00", "--procedure", "2026-03-19T10:00")
    assert said["done"]
    assert said["link"] == office.links[REF]
    now = office.state()
    assert (now["state"], now["version"], now["whole"]) == ("made", 2, True)
    assert now["code"] != first["code"]
    page = office.page()
    assert f"Plan code {now['code']}" in page
    assert "Your appointment has moved." in page
    assert f"the one with code {first['code']}" in page
    [call] = office.calls()
    assert (call["ref"], call["why"]) == (REF, "moved")
    assert call["due"] == "2026-03-16T18:00+00:00"  # before the medicine is fetched by the old plan
    assert any("Wednesday 18 March, 09:30" in line for line in call["script"])
    assert any("Thursday 19 March, 10:00" in line for line in call["script"])
    # Again changes nothing, and building the list anew says that it no longer agrees.
    assert kinds(office.do("move", "2026-03-16T09:05", "--procedure", "2026-03-19T10:00")) == [
        "nothing-changed"
    ]
    again = run_json("build", DEMO_LIST, *office.place, "--now", "2026-03-16T10:00")
    row = again["files"][0]["rows"][0]
    assert "plan-changed" in kinds(row)
    assert office.state()["code"] == now["code"]


def test_a_moved_booking_is_built_again_from_a_list_that_says_the_same(tmp_path: Path) -> None:
    office = Office(tmp_path)
    office.do(
        "move", "2026-03-16T09:00", "--procedure", "2026-03-19T10:00"
    )  # be there at 09:30: the unit's lead
    text = DEMO_LIST.read_text("utf-8")
    old, new = "DEMO-101,Quill,Ada,18/03/2026,09:30,09:00", "DEMO-101,Quill,Ada,19/03/2026,10:00,09:30"
    assert old in text
    later = tmp_path / "later.csv"
    later.write_text(text.replace(old, new), "utf-8")
    code = office.state()["code"]
    row = run_json("build", later, *office.place, "--now", "2026-03-16T11:00")["files"][0]["rows"][0]
    assert row["link"] == office.links[REF]
    assert office.state()["code"] == code


def test_moved_after_a_dose_was_due_the_page_is_held_until_a_nurse_releases_it(tmp_path: Path) -> None:
    """At 20:00 on the 17th the dose of 18:00 may have been drunk."""
    office = Office(tmp_path)
    said = office.do("move", "2026-03-17T20:00", "--procedure", "2026-03-18T11:00")
    assert said["done"]
    assert {"preparation-begun", "plan-held"} <= set(kinds(said))
    assert office.state()["state"] == "held"
    page = office.page()
    assert "Your appointment has changed" in page
    assert "Take no more of the bowel medicine until someone has answered." in page
    assert "06:00" not in page
    [call] = office.calls()
    assert call["why"] == "moved-held"

    assert kinds(office.do("release", "2026-03-17T20:10")) == ["role-may-not"]
    asked = office.do("release", "2026-03-17T20:10", role="nurse")
    assert not asked["done"]
    assert "decision-needed" in kinds(asked)
    assert office.state()["state"] == "held"

    begun = ("--begun", "evening-dose=2026-03-17T18:20", "--decided", "preparation-begun")
    done = office.do("release", "2026-03-17T20:10", *begun, role="nurse")
    assert done["done"], done
    assert office.state()["state"] == "made"
    page = office.page()
    assert "Your appointment has moved." in page
    assert "11:00" in page


def test_moved_to_a_later_day_nobody_fasts_twice_without_a_nurse(tmp_path: Path) -> None:
    """At 15:00 on the 17th the clear drinks have begun, no dose has; the new day is the 20th."""
    office = Office(tmp_path)
    said = office.do("move", "2026-03-17T15:00", "--procedure", "2026-03-20T09:30")
    assert "preparation-twice" in kinds(said)
    assert office.state()["state"] == "held"
    asked = office.do("release", "2026-03-17T15:10", role="nurse")
    assert not asked["done"]
    done = office.do("release", "2026-03-17T15:10", "--decided", "preparation-twice", role="nurse")
    assert done["done"]
    assert (office.state()["state"], office.state()["version"]) == ("made", 2)


def test_what_was_decided_about_one_change_says_nothing_about_the_next(tmp_path: Path) -> None:
    """On the 17th at 15:00 to the 20th, decided; on the 19th at 15:00, fasting again, to the 23rd: asked again."""
    office = Office(tmp_path)
    office.do("move", "2026-03-17T15:00", "--procedure", "2026-03-20T09:30")
    assert office.do("release", "2026-03-17T15:10", "--decided", "preparation-twice", role="nurse")["done"]
    office.do("move", "2026-03-19T15:00", "--procedure", "2026-03-23T09:30")
    asked = office.do("release", "2026-03-19T15:10", role="nurse")
    assert not asked["done"]
    assert "decision-needed" in kinds(asked)


def test_a_release_counts_from_nothing_that_the_plan_does_not_have(tmp_path: Path) -> None:
    office = Office(tmp_path)
    office.do("move", "2026-03-17T20:00", "--procedure", "2026-03-18T11:00")
    said = office.do("release", "2026-03-17T20:10", "--begun", "first=2026-03-17T18:20", role="nurse")
    assert kinds(said) == ["row-unknown"]
    assert office.state()["state"] == "held"


def test_a_move_that_cannot_be_planned_takes_the_old_plan_down(tmp_path: Path) -> None:
    """At 03:00 no slot of this protocol lies: the old plan must not stay up as if it held."""
    office = Office(tmp_path)
    said = office.do("move", "2026-03-16T09:00", "--procedure", "2026-03-19T03:00")
    assert said["done"]
    assert "plan-held" in kinds(said)
    assert office.state()["state"] == "held"
    assert "Do not follow the old times. Call the unit." in office.page()
    # A time that can be planned then waits for the nurse.
    office.do("move", "2026-03-16T09:10", "--procedure", "2026-03-19T10:00")
    assert office.state()["state"] == "held"
    assert office.do("release", "2026-03-16T09:20", role="nurse")["done"]
    assert office.state()["state"] == "made"


def test_another_protocol_is_another_medicine(tmp_path: Path) -> None:
    office = Office(tmp_path)
    said = office.do("move", "2026-03-16T09:00", "--protocol", "picosulfate-split", role="nurse")
    assert said["done"]
    assert office.state()["version"] == 2
    assert "picosulfate" in office.page().lower()


def test_held_by_a_person_and_released_it_is_a_new_version(tmp_path: Path) -> None:
    """Calendars took the entries of the first version back: only a new version gives them again."""
    office = Office(tmp_path)
    office.do("hold", "2026-03-16T09:00")
    assert office.state()["state"] == "held"
    assert office.do("hold", "2026-03-16T09:01")["done"]  # again
    assert office.do("release", "2026-03-16T09:10", role="nurse")["done"]
    assert (office.state()["state"], office.state()["version"]) == ("made", 2)


def test_cancelled_says_to_eat_and_drink_and_never_not_to_drink(tmp_path: Path) -> None:
    office = Office(tmp_path)
    assert office.do("cancel", "2026-03-16T09:00")["done"]
    assert office.state()["state"] == "cancelled"
    page = office.page()
    assert re.search(r"eat and drink", page, re.IGNORECASE)
    assert not re.search(r"(do not|never|stop) drink", page, re.IGNORECASE)
    row = run_json("build", DEMO_LIST, *office.place, "--now", "2026-03-16T10:00")["files"][0]["rows"][0]
    assert "booking-cancelled" in kinds(row)
    assert office.state()["state"] == "cancelled"
    # It takes place after all.
    assert office.do("move", "2026-03-16T11:00", "--procedure", "2026-03-19T10:00")["done"]
    assert office.state()["state"] == "made"


def test_no_fault_in_the_units_files_keeps_a_plan_up(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    office = Office(tmp_path / "out", unit)
    (unit / "protocols" / "peg-ascorbate-split.toml").write_text("this is no protocol")
    assert office.do("cancel", "2026-03-16T09:00")["done"]
    assert "Your appointment is cancelled" in office.page()
    assert office.do("hold", "2026-03-16T09:00", ref="DEMO-104")["done"]
    assert "Do not follow the old times" in office.page("DEMO-104")


def test_ended_leaves_after_care_and_expired_forgets(tmp_path: Path) -> None:
    """30 days of after-care from 18 March, 09:30, end on 17 April at 10:30: the clocks went forward."""
    office = Office(tmp_path)
    assert kinds(office.do("end", "2026-03-16T09:00")) == ["not-yet"]
    assert office.do("end", "2026-03-18T12:00")["done"]
    assert office.state()["state"] == "ended"
    assert "Do not drive or ride a bicycle." in office.page()
    early = run_json("expire", "--role", "clerk", *office.place, "--now", "2026-04-17T10:29")
    assert early["count"] == 0
    done = run_json("expire", "--role", "clerk", *office.place, "--now", "2026-04-17T10:31")
    assert done["count"] == 1
    assert REF not in {one["ref"] for one in run_json("list", *office.place)["bookings"]}
    assert "Plan code" not in office.page()
    assert run_json("audit", "--out", office.place[3])["whole"]
    assert run_json("repair", *office.place, "--now", "2026-04-17T10:40")["count"] == 0


@pytest.mark.parametrize("command", ["move", "hold", "release", "cancel", "end"])
def test_a_booking_that_nobody_knows_is_told(tmp_path: Path, command: str) -> None:
    office = Office(tmp_path)
    more = ("--procedure", "2026-03-19T10:00") if command == "move" else ()
    said = office.do(command, "2026-03-16T09:00", *more, ref="DEMO-999", role="nurse")
    assert not said["done"]
    assert kinds(said) == ["booking-unknown"]


def test_a_call_stays_until_somebody_was_reached(tmp_path: Path) -> None:
    office = Office(tmp_path)
    office.do("cancel", "2026-03-16T09:00")
    tried = ("called", "--ref", REF, "--role", "nurse", *office.place, "--now", "2026-03-16T09:05")
    assert run(*tried, "--outcome", "no-answer").exit_code == 0
    assert [one["outcome"] for one in office.calls()[0]["tries"]] == ["no-answer"]
    assert run(*tried, "--outcome", "told-patient").exit_code == 0
    assert office.calls() == []
    assert run(*tried, "--outcome", "told-patient").exit_code == 1


def test_looking_into_an_empty_folder_makes_no_records(tmp_path: Path) -> None:
    for command in (("list", "--unit", DEMO_UNIT), ("calls", "--unit", DEMO_UNIT), ("audit",)):
        assert isinstance(run(*command, "--out", tmp_path).exception, BadRecords)
    assert list(tmp_path.iterdir()) == []
