"""Records by themselves: drawn once, changed by nobody unseen, and no value in what goes wrong."""

from __future__ import annotations

import datetime as dt
import sqlite3
import stat
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from threading import Barrier

import pytest

from generator import records as module
from generator.clinic.booking import Booking
from generator.errors import BadRecords
from generator.records import Decision, PlanRecord, Records
from generator.records.inputs import Inputs, Publication

REF = "SECRET-4711"
START = dt.datetime(2026, 3, 18, 9, 30, tzinfo=dt.UTC)
NOW = dt.datetime(2026, 3, 16, 8, 0, tzinfo=dt.UTC)


def publishing(records: Records, record: PlanRecord, facts: str, content: str) -> bool:
    inputs = Inputs(Booking(REF, START, "p", ("en",)))
    return records.publishing([(record, Publication(facts, content, "p", inputs))], NOW) == [True]


def problem_of(folder: Path) -> str:
    """What opening and asking the records says, problem and remedy; no part of a booking may stand in it."""
    with pytest.raises(BadRecords) as told, closing(Records(folder)) as records:
        records.open(REF, START, NOW)
    said = f"{told.value.problem} {told.value.remedy}"
    assert REF not in said
    assert told.value.__context__ is None or told.value.__suppress_context__
    return said


def test_a_booking_gets_its_token_number_and_code_once(tmp_path: Path) -> None:
    with closing(Records(tmp_path)) as records:
        first = records.open(REF, START, NOW)
        again = records.open(REF, START, NOW)
    assert again == first
    assert len(first.identity.token) == 26
    assert 100_000 <= int(first.identity.call_number) <= 999_999
    assert int(first.identity.code) % 5 != 0
    assert first.identity.made == NOW
    assert (first.facts, first.edition, first.state) == (None, 1, "opened")


def test_a_plan_is_made_when_it_is_first_given_and_keeps_that_moment(tmp_path: Path) -> None:
    """A first try that failed leaves the token; the plan is reckoned from the moment at which somebody gets it."""
    day = dt.timedelta(days=1)
    with closing(Records(tmp_path)) as records:
        tried = records.open(REF, START, NOW)
        first = records.open(REF, START + day, NOW + day)
        assert first.identity.token == tried.identity.token
        assert (first.identity.made, first.start) == (NOW + day, (START + day).isoformat())
        # Whoever still works with the earlier moment may not publish it any more.
        assert not publishing(records, tried, "f", "c")
        assert publishing(records, first, "f", "c")
        records.published([(first, "c")])
        later = records.open(REF, START, NOW + 2 * day)
        assert (later.identity.made, later.start) == (first.identity.made, first.start)


def test_the_file_is_for_its_owner_alone_and_lies_where_it_was_asked_for(tmp_path: Path) -> None:
    """A folder's name is a name, not the options of an address."""
    folder = tmp_path / "x?y=1#z"
    with closing(Records(folder)) as records:
        records.open(REF, START, NOW)
    assert [path.name for path in tmp_path.iterdir()] == ["x?y=1#z"]
    assert [path.name for path in folder.iterdir()] == ["records.sqlite"]
    assert stat.S_IMODE((folder / "records.sqlite").stat().st_mode) == 0o600


def test_two_commands_that_open_a_booking_at_once_get_one_token(tmp_path: Path) -> None:
    gate = Barrier(6)

    def one(_: int) -> str:
        gate.wait()
        with closing(Records(tmp_path)) as records:  # the tables are made at once as well
            return records.open(REF, START, NOW).identity.token

    with ThreadPoolExecutor(6) as pool:
        assert len(set(pool.map(one, range(6)))) == 1


def test_a_number_that_is_taken_is_drawn_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    numbers, tokens = (
        iter(["111111", "111111", "222222", "333333"]),
        iter(["a" * 26, "b" * 26, "a" * 26, "c" * 26]),
    )
    monkeypatch.setattr(module, "drawn_call_number", lambda: next(numbers))
    monkeypatch.setattr(module, "drawn_token", lambda: next(tokens))
    with closing(Records(tmp_path)) as records:
        first, second = records.open("one", START, NOW).identity, records.open("two", START, NOW).identity
    assert (first.call_number, first.token) == ("111111", "a" * 26)
    assert (second.call_number, second.token) == ("333333", "c" * 26)


def test_when_every_number_is_taken_it_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "drawn_call_number", lambda: "111111")
    with closing(Records(tmp_path)) as records:
        records.open("one", START, NOW)
    assert "No free call number" in problem_of(tmp_path)


def test_publishing_is_refused_when_somebody_else_published(tmp_path: Path) -> None:
    with closing(Records(tmp_path)) as records:
        seen = records.open(REF, START, NOW)
        assert publishing(records, seen, "f1", "c1")
        records.published([(seen, "c1")])
        assert not publishing(records, seen, "f2", "c2")
        now = records.open(REF, START, NOW)
        assert (now.facts, now.content, now.edition, now.state) == ("f1", "c1", 1, "published")
        assert publishing(records, now, "f1", "c3")
        assert not publishing(records, now, "f1", "c4")
        last = records.open(REF, START, NOW)
        assert (last.content, last.edition, last.state) == ("c3", 2, "publishing")


def test_a_crash_while_the_same_is_put_again_does_not_forget_that_it_was_given(tmp_path: Path) -> None:
    with closing(Records(tmp_path)) as records:
        publishing(records, records.open(REF, START, NOW), "f", "c")
        records.published([(records.open(REF, START, NOW), "c")])
        publishing(records, records.open(REF, START, NOW), "f", "c")
        assert records.open(REF, START, NOW).state == "published"


def test_a_later_decision_takes_the_place_of_an_earlier_one(tmp_path: Path) -> None:
    with closing(Records(tmp_path)) as records:
        for choice in ("go-ahead", "call-first"):
            records.decide(Decision(REF, "digest", "iron", choice, "nurse"), NOW)
        records.decide(Decision(REF, "digest", "weekend", "go-ahead", "nurse"), NOW)
        assert records.decisions(REF, "digest") == {"iron": "call-first", "weekend": "go-ahead"}
        assert records.decisions(REF, "another") == {}


def test_a_file_that_is_no_database_is_told(tmp_path: Path) -> None:
    (tmp_path / "records.sqlite").write_bytes(b"date,ref\n" * 500)
    assert "restore its last copy" in problem_of(tmp_path)


def test_a_database_damaged_in_the_middle_is_told(tmp_path: Path) -> None:
    with closing(Records(tmp_path)) as records:
        for number in range(200):
            records.open(f"{REF}-{number}", START, NOW)
    path = tmp_path / "records.sqlite"
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xff" * (len(whole) - 4096))
    assert "restore its last copy" in problem_of(tmp_path)


@pytest.mark.parametrize("value", ["yesterday", b"\xff\xfe", 7])
def test_a_damaged_value_is_told_without_it(tmp_path: Path, value: object) -> None:
    with closing(Records(tmp_path)) as records:
        records.open(REF, START, NOW)
    with closing(sqlite3.connect(tmp_path / "records.sqlite")) as file, file:
        file.execute("UPDATE plans SET made = CAST(? AS TEXT)", (value,))
    said = problem_of(tmp_path)
    assert "restore its last copy" in said
    assert "yesterday" not in said


def test_a_file_of_another_version_is_told(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "records.sqlite")) as file:
        file.execute("CREATE TABLE bookings (ref TEXT PRIMARY KEY, token TEXT)")
    assert "another version" in problem_of(tmp_path)


def test_a_file_that_another_command_holds_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with closing(Records(tmp_path)) as records:
        records.open("one", START, NOW)
        monkeypatch.setattr(module, "_WAIT", 0.1)
        with closing(sqlite3.connect(tmp_path / "records.sqlite")) as other:
            other.execute("BEGIN EXCLUSIVE")
            assert "Wait for it to end" in problem_of(tmp_path)


def test_a_file_that_may_not_be_written_is_told(tmp_path: Path) -> None:
    with closing(Records(tmp_path)) as records, pytest.raises(BadRecords) as told:
        records.open("one", START, NOW)
        with records._engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA query_only=ON")
        records.open(REF, START, NOW)
    assert "may be written" in told.value.remedy


@pytest.mark.parametrize("name", ["records.sqlite", "."])
def test_a_folder_or_file_in_the_wrong_place_is_told(tmp_path: Path, name: str) -> None:
    if name == ".":
        (tmp_path / "data").write_text("a file")
    else:
        (tmp_path / "data" / name).mkdir(parents=True)
    assert "may be written" in problem_of(tmp_path / "data")
