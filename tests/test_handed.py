"""What was given over of a plan: in the trail, as ids and actions."""

from __future__ import annotations

from pathlib import Path

from generator.desk import move
from generator.records import calls, trail
from generator.records.handed import handed, record_handed
from tests.lives import ROWS, Office, build


def test_what_was_given_over_is_found_again_and_names_nobody(tmp_path: Path) -> None:
    office = Office()
    with office.desk(tmp_path, "2026-03-16T08:00") as desk:
        build(desk, ROWS[:2])
        one, other = desk.records.every()
        assert record_handed(
            desk.records, [(one, "first"), (other, "handout")], "printed", "clerk", desk.now
        ) == [
            True,
            True,
        ]
        found = handed(desk.records)
        assert [(it.kind, it.way, it.version, it.role) for it in found[one.id]] == [
            ("first", "printed", 1, "clerk")
        ]
        assert found[one.id][0].at == desk.now
        assert list(handed(desk.records, other.id)) == [other.id]
        actions = [str(line["action"]) for line in trail.lines(desk.records)]
        assert actions[-2:] == ["handed:first:printed", "handed:handout:printed"]
        assert trail.broken_line(desk.records) is None


def test_a_call_that_reached_the_patient_counts_and_a_try_does_not(tmp_path: Path) -> None:
    office = Office()
    with office.desk(tmp_path, "2026-03-16T08:00") as desk:
        build(desk, ROWS[:1])
        move(desk, "DEMO-101", {"start": office.moment("2026-03-19T10:00"), "arrival": None}, "clerk")
        [record] = desk.records.every()
        calls.tried(desk.records, "DEMO-101", "no-answer", "clerk", desk.now)
        assert not handed(desk.records)
        calls.tried(desk.records, "DEMO-101", "told-patient", "clerk", desk.now)
        assert [(it.kind, it.way, it.version) for it in handed(desk.records)[record.id]] == [
            ("call", "told-patient", 2)
        ]


def test_what_no_longer_holds_is_not_recorded_as_given(tmp_path: Path) -> None:
    office = Office()
    with office.desk(tmp_path, "2026-03-16T08:00") as desk:
        build(desk, ROWS[:1])
        [seen] = desk.records.every()
        move(desk, "DEMO-101", {"start": office.moment("2026-03-19T10:00"), "arrival": None}, "clerk")
        assert record_handed(desk.records, [(seen, "first")], "copied", "clerk", desk.now) == [False]
        assert not handed(desk.records)
