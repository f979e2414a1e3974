"""What a nurse reads of `daybefore timetable`: days and nights, rooms, gaps, changes, and words in place of ids."""

from __future__ import annotations

import datetime as dt

import pytest

from generator.plan.moment_text import moment_text, when_text
from generator.plan.timetable import Step
from tests.command import EXAMPLES, run, run_json

WORDS = EXAMPLES / "units" / "words"
ASK = ("timetable", "--unit", WORDS, "--protocol", "split", "--procedure")
EARLY = "2026-12-01T08:00"


def lines(*words: str) -> list[str]:
    outcome = run(*ASK, *words)
    assert outcome.exit_code == 0, outcome.output
    return outcome.output.splitlines()


def below(told: list[str], heading: str) -> list[str]:
    """The lines of the section with that heading, to the next empty line."""
    since = told.index(heading) + 1
    return told[since : told.index("", since)]


def test_a_night_has_a_heading_of_both_days_and_ends_in_the_morning() -> None:
    """By hand: 21:00 to 06:00 is night. The dose of 05:30 stands in it, the look at 06:30 does not."""
    told = lines("2026-12-03T09:30", "--now", EARLY)
    headings = [line for line in told if line.endswith("December") and not line.startswith(" ")]
    assert headings == [
        "Wednesday 2 December",
        "In the night from Wednesday to Thursday, 2 to 3 December",
        "Thursday 3 December",
    ]
    night = [line[2:7] for line in below(told, headings[1]) if line[2:4].isdigit()]
    assert night == ["21:00", "04:30", "05:30"]
    assert below(told, headings[2])[0] == "  06:30          Look into the toilet bowl"


def test_a_night_between_two_months_names_both() -> None:
    assert "In the night from Monday to Tuesday, 30 November to 1 December" in lines("2026-12-01T09:30")


def test_a_dose_says_from_when_to_when_it_may_start_and_by_when_it_is_finished() -> None:
    """By the protocol from 18:00 to 19:30, and from 5 h to 4 h before 09:30; nothing more from 2 h before."""
    told = [line.strip() for line in lines("2026-12-03T09:30", "--now", EARLY)]
    assert "may start 18:00-19:30; finished by Thursday 3 December, 07:30" in told
    assert "may start 04:30-05:30; finished by 07:30" in told
    assert "because: chosen from 18:00-19:30 (earliest) [the unit's night and quiet time]" in told
    assert "because: chosen from 04:30-05:30 (latest) [the unit's night and quiet time]" in told


def test_the_gap_for_own_medicines_says_no_first() -> None:
    told = lines("2026-12-03T09:30", "--now", EARLY)
    assert "  17:00-19:00    NO own medicines 17:00-19:00 (before 17:00, or from 19:00)" in told


def test_rules_name_steps_as_the_list_does() -> None:
    told = "\n".join(lines("2026-12-03T09:30", "--now", EARLY))
    assert "because: is 15 min before “Drink the bowel medicine (1 of 2)”" in told
    assert "because: is 2 h before the procedure" in told
    assert "evening-dose" not in told
    assert "“evening-dose”" in str(run_json(*ASK, "2026-12-03T09:30")["steps"])  # machines keep the ids


def test_the_head_says_what_it_was_reckoned_from_and_whom_to_call() -> None:
    told = lines(
        "2026-12-03T09:30", "--factor", "slow", "--call-first", "iron", "--sedation", "propofol",
        "--now", EARLY,
    )  # fmt: skip
    head = told[: told.index("CHECK: somebody looks at the findings first")]
    assert head[1:5] == [
        "Examination Thursday 3 December 2026, 09:30 (Europe/London)",
        "  Sedation     propofol",
        "  Factor       Opens the bowels seldom",
        "  Call first   “Call the unit before you change this medicine”: iron tablets",
    ]
    assert "  Phone        01632 960 002: day and night, on closed days too (preparation, illness)" in head
    hours = "mon-fri 08:00-17:00, sat 08:00-12:00, not on closed days"
    assert f"  Phone        01632 960 001: {hours} (preparation, illness)" in head
    assert head[-1] == "  Emergency    01632 960 999"
    assert "  Sedation     not known: the rules for every kind hold" in lines(
        "2026-12-03T09:30", "--now", EARLY
    )


def test_it_ends_by_saying_that_nobody_has_cleared_the_patient() -> None:
    assert lines("2026-12-03T09:30", "--now", EARLY)[-1] == "Times only. Nobody has cleared this patient."


def test_a_move_tells_each_step_in_one_line() -> None:
    """From Thursday 09:30 to Monday 12:00, told on Wednesday at 20:00: what was due, and what is to come."""
    told = lines("2026-12-07T12:00", "--moved-from", "2026-12-03T09:30", "--now", "2026-12-02T20:00")
    changes = below(told, "What changes for the patient")
    assert len(changes) == 12
    assert (
        "  Drink the bowel medicine (1 of 2): was Wednesday 2 December, 18:00-19:00, already due; "
        "is now Sunday 6 December, 18:00-19:00, to come"
    ) in changes
    assert (
        "  Drink the bowel medicine (2 of 2): was Thursday 3 December, 05:30-06:30 (in the night from Wednesday to "
        "Thursday), not yet due; is now Monday 7 December, 08:00-09:00, to come"
    ) in changes
    begun = next(line for line in told if "may have begun already" in line)
    assert begun.endswith("“Drink the bowel medicine (1 of 2)” (Wednesday 2 December, 18:00-19:00).")


def test_a_move_says_what_stays_what_is_new_and_what_falls_away() -> None:
    """The start stays and the protocol changes: the way is the same, the doses are others."""
    told = lines(
        "2026-12-03T09:30", "--moved-from", "2026-12-03T09:30", "--former-protocol", "once",
        "--now", EARLY,
    )  # fmt: skip
    changes = below(told, "What changes for the patient")
    assert "  Leave home: stays Thursday 3 December, 08:30, to come" in changes
    assert (
        "  Drink the bowel medicine (1 of 2): was not in the old plan; "
        "is now Wednesday 2 December, 18:00-19:00, to come"
    ) in changes
    assert changes[-1] == (
        "  Drink the bowel medicine: was Wednesday 2 December, 17:00-19:00, not yet due; falls away"
    )


def test_a_dose_cannot_have_been_begun_after_now() -> None:
    begun = ("--begun", "evening-dose=2026-12-02T18:00")
    told = run_json(*ASK, "2026-12-03T09:30", *begun, "--now", "2026-12-02T05:00")
    [finding] = told["findings"]
    assert finding["kind"] == "begun-in-future"
    assert finding["problem"] == (
        "“evening-dose” cannot have been begun on Wednesday 2 December, 18:00: now it is Wednesday 2 December, "
        "05:00 (in the night from Tuesday to Wednesday)."
    )
    assert run_json(*ASK, "2026-12-03T09:30", *begun, "--now", "2026-12-02T18:00")["steps"] != []


def test_a_step_of_the_former_protocol_is_no_dose_of_this_one() -> None:
    told = run_json(
        *ASK, "2026-12-03T09:30", "--begun", "whole-dose=2026-12-02T18:00", "--now", "2026-12-02T20:00",
        "--moved-from", "2026-12-04T09:30", "--former-protocol", "once",
    )  # fmt: skip
    [finding] = told["findings"]
    assert finding["kind"] == "row-of-former-protocol"
    assert finding["problem"] == (
        "“whole-dose” (Drink the bowel medicine) is a step of the former protocol once; split has no such step."
    )
    assert "dose" not in finding["remedy"]  # nothing that could be taken for the name of another one


def test_a_refused_plan_names_the_steps_that_collide_and_hands_out_no_times() -> None:
    """Leaving at 05:00 for 09:30: the dose starts at 04:30 at the earliest and takes an hour."""
    outcome = run(*ASK, "2026-12-03T09:30", "--travel", "240", "--now", EARLY)
    assert outcome.exit_code == 1
    assert "REFUSED: there is no plan" in outcome.output
    assert "“Drink the bowel medicine (2 of 2)” has ended by leaving home" in outcome.output
    assert "Times only" not in outcome.output


@pytest.mark.parametrize(
    ("moment", "told"),
    [
        ("2026-12-02T20:59+00:00", "Wednesday 2 December, 20:59"),
        ("2026-12-02T21:00+00:00", "Wednesday 2 December, 21:00 (in the night from Wednesday to Thursday)"),
        ("2026-12-03T05:59+00:00", "Thursday 3 December, 05:59 (in the night from Wednesday to Thursday)"),
        ("2026-12-03T06:00+00:00", "Thursday 3 December, 06:00"),
    ],
)
def test_from_nine_to_six_both_days_are_named(moment: str, told: str) -> None:
    """The hours are the design's: nobody is woken a day early or late."""
    assert moment_text(dt.datetime.fromisoformat(moment)) == told


def test_a_step_over_midnight_says_both_its_days() -> None:
    start, end = (dt.datetime.fromisoformat(f"2026-12-0{at}+00:00") for at in ("2T23:30", "3T06:15"))
    assert when_text(Step("a", "pause", start, end, None)) == (
        "Wednesday 2 December, 23:30 (in the night from Wednesday to Thursday), until Thursday 3 December, 06:15"
    )
