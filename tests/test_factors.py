"""Factors, instructions and sedation: what is special about a patient asks, forbids and adds; it never switches."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from generator.clinic.booking import Booking
from generator.clinic.factor import factors_from
from generator.clinic.instruction import instructions_from
from generator.clinic.protocol import Protocol
from generator.finding import Severity, Verdict
from generator.plan.planning import timetable_for
from generator.plan.suited import Stated
from generator.plan.timetable import Timetable
from tests.command import DEMO_UNIT, run, run_json
from tests.nouns import at, plan, protocol_of, unit_in, window

MONDAY = "2026-06-15T14:00+01:00"
DIET = {"id": "diet", "kind": "diet", "diet": "low-fibre", "at": "07:00", "day": -1}
DOSE = {"id": "dose", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15, "at": "18:00", "day": -1}


def stated(factor: dict[str, Any] | None = None, instruction: dict[str, Any] | None = None) -> Stated:
    """A unit's files with one factor, one instruction."""
    table = {"factor": [{"id": "f", "title": "A factor", "source": "why", **factor}]} if factor else {}
    factors, findings = factors_from(table, ["p", "other"], "factors.toml")
    rows = [{"id": "i", "title": "t", "source": "s", **instruction}] if instruction else []
    instructions, more = instructions_from({"instruction": rows}, "instructions.toml")
    assert findings + more == []
    return Stated(factors, instructions)


def planned(what: Stated, protocol: Protocol | None = None, start: str = MONDAY, **more: Any) -> Timetable:
    booking = Booking("r", dt.datetime.fromisoformat(start), "p", ("en",), travel_minutes=0, **more)
    return timetable_for(booking, protocol or protocol_of(DIET, DOSE), unit_in(), None, what)


@pytest.mark.parametrize(
    ("factor", "kind", "verdict"),
    [
        ({"block": "By weight."}, "factor-blocks:f", Verdict.REFUSED),
        ({"forbid": ["p"]}, "factor-forbids:f", Verdict.REFUSED),
        ({"forbid": ["other"]}, None, Verdict.READY),
        ({"allow": ["other"]}, "factor-forbids:f", Verdict.REFUSED),
        ({"allow": ["p"]}, None, Verdict.READY),
        ({"propose": ["other"]}, "factor-proposes:f", Verdict.CHECK),
        ({"propose": ["p"]}, None, Verdict.READY),
        ({"ask": "Which?"}, "factor-asks:f", Verdict.CHECK),
        ({"warn": "Mind."}, "factor-warns:f", Verdict.CHECK),
        ({"note": "Mind."}, "factor-notes:f", Verdict.READY),
        ({"note": "Mind.", "only_with": ["p"]}, "factor-notes:f", Verdict.READY),
        ({"block": "No.", "only_with": ["other"]}, None, Verdict.READY),
    ],
)
def test_what_a_factor_says(factor: dict[str, Any], kind: str | None, verdict: Verdict) -> None:
    timetable = planned(stated(factor), factors=("f",))
    assert [finding.kind for finding in timetable.findings] == ([kind] if kind else [])
    assert timetable.verdict is verdict
    if kind:
        [finding] = timetable.findings
        assert "A factor" in finding.problem
        assert "why" in finding.problem  # its source
        asks = kind.startswith(("factor-proposes", "factor-asks"))
        assert finding.decision is asks
    # Nothing was switched: the steps are the protocol's own, or there are none.
    assert {step.id for step in timetable.steps} <= {"diet", "dose", "leave", "arrive", "procedure"}


def test_a_factor_adds_and_lengthens_rows() -> None:
    tablets = {
        "id": "tablets", "kind": "tablets", "tablets": 2, "at": "20:00", "day": -2, "above": "dose", "source": "s",
    }  # fmt: skip
    factor = {"lengthen": [{"row": "diet", "days": 2}], "row": [tablets]}
    timetable = planned(stated(factor), factors=("f",))
    assert at(timetable, "diet") == "2026-06-12T07:00+01:00"  # Friday instead of Sunday
    assert timetable.step("tablets").amounts["tablets"] == 2
    assert at(timetable, "tablets") == "2026-06-13T20:00+01:00"


def test_what_a_factor_asks_about_waits_for_yes() -> None:
    """A question is not its answer: nothing is added before somebody says yes. The longer diet names its own source."""
    factor = {"ask": "Longer?", "lengthen": [{"row": "diet", "days": 2, "source": "the lead"}]}
    asked = planned(stated(factor), factors=("f",))
    assert at(asked, "diet") == "2026-06-14T07:00+01:00"  # Sunday, the protocol's own day
    [finding] = asked.findings
    assert "“diet” begins 2 day(s) earlier (the lead)" in finding.remedy
    agreed = planned(stated(factor), factors=("f",), agreed=("f",))
    assert at(agreed, "diet") == "2026-06-12T07:00+01:00"
    assert [reason.source for reason in agreed.step("diet").because] == ["the lead"]


def test_a_factor_may_not_hide_a_class_of_medicine() -> None:
    table = {"factor": [{"id": "lithium", "title": "Lithium", "ask": "Level?", "source": "s"}]}
    _, [finding] = factors_from(table, ["p"], "factors.toml")
    assert (finding.kind, finding.where) == ("value-invalid", "factors.toml factor lithium id")


@pytest.mark.parametrize(
    "factor",
    [
        {"lengthen": [{"row": "none", "days": 2}]},
        {"row": [{"id": "x", "kind": "wake", "at": "06:00", "day": 0, "above": "none", "source": "s"}]},
    ],
)
def test_a_row_that_the_protocol_does_not_have_is_told(factor: dict[str, Any]) -> None:
    assert [finding.kind for finding in planned(stated(factor), factors=("f",)).findings] == [
        "factor-without-row:f"
    ]


def test_an_added_row_may_not_take_an_ids_place() -> None:
    factor = {"row": [{"id": "dose", "kind": "wake", "at": "06:00", "day": 0, "source": "s"}]}
    assert [finding.kind for finding in planned(stated(factor), factors=("f",)).findings] == ["row-doubled"]


def test_faults_of_a_factors_file_are_told_at_once() -> None:
    table = {
        "factor": [
            {"id": "a", "title": "A", "source": "s"},
            {"id": "b", "title": "B", "source": "s", "forbid": ["peg-splitt"], "lenghten": []},
        ]
    }
    _, findings = factors_from(table, ["peg-split"], "factors.toml")
    assert [finding.kind for finding in findings] == ["factor-empty", "value-invalid", "key-unknown"]
    assert "peg-split" in findings[1].remedy
    assert "lengthen" in findings[2].remedy


def test_iron_seven_days_before() -> None:
    """T = Monday 15 June 2026: the first day without is the 8th, the last tablet on the 7th; both are shown."""
    text = "Last on {last_day}, none from {first_day_without}, again from {again}."
    table = {"medicine": "iron", "text": text, "first_day_without": -7, "again_day": 1}
    timetable = planned(stated(instruction=table), instructions=("i",), medicines=("iron",))
    step = timetable.step("instruction-i")
    assert at(timetable, "instruction-i") == "2026-06-07T00:00+01:00"  # read while there is a tablet to take
    assert step.dates == {
        "first_day_without": dt.date(2026, 6, 8),
        "last_day": dt.date(2026, 6, 7),
        "again": dt.date(2026, 6, 16),
    }
    assert at(timetable, "again-i") == "2026-06-16T00:00+01:00"


def test_last_dose_three_days_before() -> None:
    """A unit's line for a blood thinner, "last dose 3 days before": Friday 12 June, none from Saturday."""
    text = "Last on {last_day}, none from {first_day_without}."
    table = {"medicine": "anticoagulant", "text": text, "last_day": -3}
    dates = planned(stated(instruction=table), instructions=("i",)).step("instruction-i").dates
    assert dates == {"last_day": dt.date(2026, 6, 12), "first_day_without": dt.date(2026, 6, 13)}


def test_72_hours_after_are_counted_in_hours() -> None:
    """Restart 72 h after 14:00 on Friday 27 March 2026: 15:00 on Monday, since the clocks went forward on Sunday."""
    table = {"medicine": "other", "text": "Again from {again}.", "again_hours": 72, "day": -1}
    table["medicine"] = "diabetes"
    timetable = planned(stated(instruction=table), start="2026-03-27T14:00+00:00", instructions=("i",))
    assert at(timetable, "again-i") == "2026-03-30T15:00+01:00"


def test_a_flagged_medicine_without_an_instruction_gets_no_date() -> None:
    """No class of medicine has a default: refused until a nurse picks a line."""
    timetable = planned(Stated(), medicines=("sglt2",))
    [finding] = timetable.findings
    assert (finding.kind, timetable.steps) == ("needs-unit-instruction:sglt2", ())
    assert "call the unit before you change this medicine" in finding.remedy
    assert planned(Stated(), medicines=("sglt2",), call_first=("sglt2",)).verdict is Verdict.READY


@pytest.mark.parametrize(
    ("table", "kind"),
    [
        ({"text": "None from {first_day_without}.", "last_day": -3}, "instruction-dates"),
        ({"text": "Again from {again}."}, "instruction-dates"),
        ({"text": "Last on {lastday}."}, "instruction-dates"),
        ({"text": "x", "last_day": -3, "first_day_without": -2}, "value-invalid"),
        ({"text": "x", "again_day": 1, "again_hours": 72}, "value-invalid"),
        ({"text": "x", "medicine": "irn"}, "value-invalid"),
    ],
)
def test_faults_of_an_instruction(table: dict[str, Any], kind: str) -> None:
    entry = {"id": "i", "title": "t", "medicine": "iron", "source": "s", **table}
    _, findings = instructions_from({"instruction": [entry]}, "instructions.toml")
    assert kind in {finding.kind for finding in findings}
    assert all(finding.severity is Severity.REFUSE and finding.remedy for finding in findings)


def test_cut_offs_by_sedation() -> None:
    """EU label of PEG with ascorbate: 1 h before without anaesthesia; ESGE 2019: 2 h. Unknown: the stricter."""
    hour = {"before": "procedure", "hours": 1}
    two = {"before": "procedure", "hours": 2}
    stop = {
        "id": "stop", "kind": "stop-drinking", **two,
        "instead": [{**hour, "sedation": ["none", "gas"], "source": "EU"}],
    }  # fmt: skip
    dose = {
        "id": "dose", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15,
        "window": [{"before": "procedure", "hours": 5}, hour],
        "end_by": [{**hour, "source": "EU"}, {**two, "sedation": ["conscious", "propofol", "general"], "source": "E"}],
    }  # fmt: skip
    told = {}
    for sedation in (None, "none", "propofol"):
        timetable = plan(protocol_of(dose, stop), "2026-06-15T10:00+01:00", sedation=sedation)
        told[sedation] = (at(timetable, "stop")[11:16], window(timetable, "dose")[1])
    assert told == {
        None: ("08:00", "15 07:00"),
        "none": ("09:00", "15 08:00"),
        "propofol": ("08:00", "15 07:00"),
    }


def test_the_patients_own_medicines_around_a_dose() -> None:
    """05:00 to 06:00, an hour before and half an hour after: take them by 04:00 or from 06:30."""
    gap = {"hours_before": 1, "hours_after": 0.5, "source": "s"}
    morning = {**DOSE, "at": "05:00", "day": 0}
    timetable = plan(protocol_of(morning, usual_medicines=gap), "2026-06-15T10:00+01:00")
    step = timetable.step("usual-medicines-dose")
    assert step.end is not None
    assert (step.kind, f"{step.start:%H:%M}", f"{step.end:%H:%M}") == ("medicine", "04:00", "06:30")
    assert [finding.kind for finding in timetable.findings] == [
        "night-awake"
    ]  # that there is time is no finding


def test_when_no_time_is_left_for_them_a_nurse_decides() -> None:
    """The dose ends at 05:30, an hour must follow, and from 05:30 nothing more may be taken; before it is night."""
    gap = {"hours_before": 1, "hours_after": 1, "source": "s"}
    stop = {"id": "stop", "kind": "stop-drinking", "before": "procedure", "hours": 2}
    morning = {**DOSE, "at": "04:30", "day": 0}
    timetable = plan(protocol_of(morning, stop, usual_medicines=gap), "2026-06-15T07:30+01:00")
    [finding] = [finding for finding in timetable.findings if finding.decision]
    assert finding.kind == "no-time-for-medicines"
    assert timetable.step("usual-medicines-dose").end is None


def test_doses_that_follow_each_other_share_one_gap() -> None:
    gap = {"hours_before": 1, "hours_after": 1, "source": "s"}
    second = {**DOSE, "id": "second", "at": "20:30"}
    timetable = plan(protocol_of(DOSE, second, usual_medicines=gap), MONDAY)
    [step] = [step for step in timetable.steps if step.kind == "medicine"]
    assert step.end is not None
    assert (step.id, f"{step.start:%H:%M}", f"{step.end:%H:%M}") == ("usual-medicines-dose", "17:00", "22:30")


def test_the_command_line_takes_factors_medicines_and_instructions() -> None:
    ask = (
        "timetable",
        "--unit",
        DEMO_UNIT,
        "--protocol",
        "picosulfate-split",
        "--procedure",
        "2026-12-03T09:00",
    )
    assert "factor-blocks:under-18" in kinds(run_json(*ask, "--factor", "under-18"))
    assert "factor-forbids:weak-kidneys" in kinds(run_json(*ask, "--factor", "weak-kidneys"))
    assert "needs-unit-instruction:iron" in kinds(run_json(*ask, "--factor", "iron"))
    told = run_json(*ask, "--factor", "iron", "--instruction", "iron-week")
    [step] = [step for step in told["steps"] if step["kind"] == "instruction"]
    assert step["dates"] == {
        "first_day_without": "2026-11-26",
        "last_day": "2026-11-25",
        "again": "2026-12-04",
    }
    unknown = run_json(*ask, "--factor", "constipated")
    assert unknown["findings"][0]["kind"] == "factor-unknown"
    assert "constipation" in unknown["findings"][0]["remedy"]
    longer = run_json(*ask, "--factor", "constipation", "--agreed", "constipation")
    assert [step["start"][:10] for step in longer["steps"] if step["kind"] == "diet"] == ["2026-11-30"]
    assert "factor-unknown" in kinds(run_json(*ask, "--agreed", "constipation"))  # it was not stated
    words = run(*ask, "--factor", "iron", "--instruction", "iron-week").output
    assert "take your last tablet on Wednesday 25 November" in words


def kinds(told: Any) -> set[str]:
    return {finding["kind"] for finding in told["findings"]}


def test_a_factor_stated_twice_lengthens_once() -> None:
    factor = {"lengthen": [{"row": "diet", "days": 2}]}
    assert at(planned(stated(factor), factors=("f", "f")), "diet") == "2026-06-12T07:00+01:00"
    ask = ("--unit", DEMO_UNIT, "--protocol", "peg-ascorbate-split", "--procedure", "2026-06-16T09:00")
    twice = ("--factor", "constipation", "--factor", "constipation", "--agreed", "constipation")
    steps = run_json("timetable", *ask, *twice)["steps"]
    assert [step["start"] for step in steps if step["id"] == "low-fibre"] == ["2026-06-13T07:00+01:00"]


def test_of_two_factors_that_lengthen_a_row_the_longest_holds() -> None:
    """Two days and three: three, not five, which nobody states."""
    factors = [
        {"id": name, "title": "F", "source": "s", "lengthen": [{"row": "diet", "days": days, "source": name}]}
        for name, days in (("two", 2), ("three", 3), ("one", 1))
    ]
    found, findings = factors_from({"factor": factors}, ["p"], "factors.toml")
    assert findings == []
    timetable = planned(Stated(found), factors=("two", "three", "one"))
    assert at(timetable, "diet") == "2026-06-11T07:00+01:00"
    assert [reason.source for reason in timetable.step("diet").because] == ["three"]


def test_a_factor_lengthens_the_time_that_holds_for_the_sedation() -> None:
    diet = DIET | {"instead": [{"sedation": ["none"], "at": "09:00", "day": -1}]}
    factor = {"lengthen": [{"row": "diet", "days": 2}]}
    booking: dict[str, Any] = {"sedation": "none", "factors": ("f",)}
    timetable = planned(stated(factor), protocol_of(diet, DOSE), **booking)
    assert at(timetable, "diet") == "2026-06-12T09:00+01:00"


def test_a_step_begun_that_only_an_unanswered_factor_would_add() -> None:
    row = {"id": "tablets", "kind": "tablets", "tablets": 2, "at": "20:00", "day": -2, "source": "s"}
    unanswered = stated({"ask": "Tablets?", "row": [row]})
    booking = Booking("r", dt.datetime.fromisoformat(MONDAY), "p", ("en",), travel_minutes=0, factors=("f",))
    begun = {"tablets": dt.datetime.fromisoformat("2026-06-13T20:00+01:00")}
    timetable = timetable_for(booking, protocol_of(DIET, DOSE), unit_in(), None, unanswered, begun)
    assert [finding.kind for finding in timetable.findings] == ["factor-asks:f", "begun-not-in-plan"]
