"""Which message a booking waits for. Six days, two days and the day before: the project's own plan of messages."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from generator.desk import Desk, cancel, end, hold, move
from generator.desk.due import due_kind, last_day_served
from generator.desk.handing import due_messages, give
from generator.records import calls
from tests.lives import Office, build

# A Wednesday, 14:00; the clinic's desk is staffed from Monday to Friday.
ROW = "DEMO-102,25/03/2026,14:00,13:30,COLON,PEGASC2,en,45,\n"
REF = "DEMO-102"


@pytest.fixture(scope="module")
def office() -> Office:
    return Office()


class Life:
    """One booking, looked at from moment to moment."""

    def __init__(self, office: Office, data: Path, row: str = ROW) -> None:
        self.office, self.data = office, data
        with self.at("2026-03-16T08:00") as desk:
            assert all(made.was_changed for made in build(desk, (row,)))

    @contextmanager
    def at(self, now: str) -> Iterator[Desk]:
        with self.office.desk(self.data, now) as desk:
            yield desk

    def due(self, now: str) -> str | None:
        with self.at(now) as desk:
            found = due_messages(desk)
        return found[0].kind.value if found else None

    def give(self, now: str, kind: str, way: str = "copied") -> None:
        with self.at(now) as desk:
            assert give(desk, [(record, kind) for record in desk.records.every()], way, "clerk") == [True]


def test_the_first_link_is_due_until_something_is_handed_over(office: Office, tmp_path: Path) -> None:
    life = Life(office, tmp_path)
    assert life.due("2026-03-16T08:05") == "first"
    assert life.due("2026-03-24T08:05") == "first"
    life.give("2026-03-16T08:06", "handout", "printed")
    assert life.due("2026-03-16T08:07") is None


def test_reminders_come_six_days_two_days_and_the_day_before_each_of_them_one_time(
    office: Office, tmp_path: Path
) -> None:
    life = Life(office, tmp_path)
    life.give("2026-03-16T08:06", "first")
    assert life.due("2026-03-18T23:59") is None
    assert life.due("2026-03-19T00:01") == "six-days"
    life.give("2026-03-19T09:00", "six-days")
    assert life.due("2026-03-20T09:00") is None
    assert life.due("2026-03-23T09:00") == "two-days"
    life.give("2026-03-23T09:00", "two-days", "exported")
    assert life.due("2026-03-23T09:01") is None
    assert life.due("2026-03-24T09:00") == "day-before"
    life.give("2026-03-24T09:00", "day-before")
    assert life.due("2026-03-24T09:01") is None
    assert life.due("2026-03-25T08:00") is None
    assert life.due("2026-03-25T14:00") is None


def test_only_the_nearest_reminder_is_due_and_none_right_after_the_link(
    office: Office, tmp_path: Path
) -> None:
    life = Life(office, tmp_path)
    life.give("2026-03-20T08:06", "first")
    assert life.due("2026-03-20T09:00") is None  # six days before have passed, but she has just got it
    assert life.due("2026-03-24T09:00") == "day-before"


def test_what_falls_on_closed_days_is_due_on_the_last_day_before_them(office: Office, tmp_path: Path) -> None:
    monday = ROW.replace("25/03/2026", "23/03/2026")
    life = Life(office, tmp_path, monday)
    life.give("2026-03-16T08:06", "first")
    life.give("2026-03-17T08:06", "six-days")
    assert life.due("2026-03-19T09:00") is None
    assert life.due("2026-03-20T09:00") == "day-before"  # on Friday, for Sunday
    life.give("2026-03-20T09:00", "day-before")
    assert life.due("2026-03-20T09:01") is None
    assert life.due("2026-03-22T09:00") is None


@pytest.mark.parametrize(
    ("today", "last"),
    [
        ("2026-03-19", "2026-03-19"),
        ("2026-03-20", "2026-03-22"),
        (
            "2026-04-02",
            "2026-04-06",
        ),  # Good Friday and Easter Monday are closed days of the demonstration's unit
    ],
)
def test_until_which_day_todays_messages_reach(office: Office, today: str, last: str) -> None:
    assert last_day_served(office.folder.unit, dt.date.fromisoformat(today)) == dt.date.fromisoformat(last)


def test_a_move_is_due_until_it_was_said_and_later_reminders_are_for_the_new_day(
    office: Office, tmp_path: Path
) -> None:
    life = Life(office, tmp_path)
    life.give("2026-03-16T08:06", "first")
    with life.at("2026-03-17T09:00") as desk:
        changed = {"start": office.moment("2026-04-01T14:00"), "arrival": None}
        assert move(desk, REF, changed, "clerk").was_changed
        [text] = due_messages(desk)
        [record] = desk.records.every()
        assert record.inputs is not None
        assert record.inputs.replaces is not None
        assert text.text is not None
        assert f"Plan {record.inputs.replaces.code} holds no longer." in text.text.text
    assert life.due("2026-03-17T09:01") == "moved"
    life.give("2026-03-17T09:02", "moved")
    assert life.due("2026-03-25T09:00") is None
    assert life.due("2026-03-26T09:00") == "six-days"


def test_a_move_told_by_phone_is_not_due(office: Office, tmp_path: Path) -> None:
    life = Life(office, tmp_path)
    life.give("2026-03-16T08:06", "first")
    with life.at("2026-03-17T09:00") as desk:
        move(desk, REF, {"start": office.moment("2026-04-01T14:00"), "arrival": None}, "clerk")
        assert calls.tried(desk.records, REF, "told-patient", "clerk", desk.now)
    assert life.due("2026-03-17T09:01") is None


def test_who_never_got_the_link_is_sent_the_first_message_whatever_was_changed(
    office: Office, tmp_path: Path
) -> None:
    life = Life(office, tmp_path)
    with life.at("2026-03-17T09:00") as desk:
        move(desk, REF, {"start": office.moment("2026-04-01T14:00"), "arrival": None}, "clerk")
    assert life.due("2026-03-17T09:01") == "first"


@pytest.mark.parametrize(("act", "kind"), [(hold, "held"), (cancel, "cancelled")])
def test_a_plan_taken_down_is_due_until_it_was_said(office: Office, tmp_path: Path, act, kind: str) -> None:  # type: ignore[no-untyped-def]
    life = Life(office, tmp_path)
    life.give("2026-03-16T08:06", "first")
    with life.at("2026-03-17T09:00") as desk:
        assert act(desk, REF, "nurse").was_changed
    assert life.due("2026-03-17T09:01") == kind
    life.give("2026-03-17T09:02", kind)
    assert life.due("2026-03-17T09:03") is None
    assert life.due("2026-03-25T15:00") is None


def test_nothing_is_due_after_the_examination(office: Office, tmp_path: Path) -> None:
    life = Life(office, tmp_path)
    assert life.due("2026-03-25T14:00") is None
    with life.at("2026-03-25T16:00") as desk:
        assert end(desk, REF, "nurse").was_changed
        [record] = desk.records.every()
        assert due_kind(record, (), desk.folder.unit, desk.now) is None
