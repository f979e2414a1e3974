"""A booking whose own moments or choices contradict each other gets no plan; each says what to mend."""

from __future__ import annotations

from typing import Any

import pytest

from generator.clinic.booking import OtherProcedure
from generator.clinic.unit import unit_from
from generator.finding import Severity
from tests.command import DEMO_UNIT, run_json
from tests.nouns import at, plan, protocol_of, unit_in
from tests.test_traps import moment

DOSE = {"id": "dose", "kind": "drink", "glasses": 2, "ml": 250, "minutes": 15, "at": "08:00", "day": 0}
START = "2026-06-16T12:00+01:00"
GASTROSCOPY = {"id": "gastroscopy", "nothing_by_mouth_hours": 6, "source": "the unit's fasting rule"}
ASK = (
    "timetable",
    "--unit",
    DEMO_UNIT,
    "--protocol",
    "peg-ascorbate-split",
    "--procedure",
    "2026-06-16T09:00",
)


def refusals(**booking: Any) -> list[str]:
    unit = unit_in(visit_procedure=[GASTROSCOPY, GASTROSCOPY | {"id": "dose"}])
    timetable = plan(protocol_of(DOSE), START, unit, **booking)
    told = [finding.kind for finding in timetable.findings if finding.severity is Severity.REFUSE]
    assert bool(told) is (timetable.steps == ())
    return told


@pytest.mark.parametrize(
    ("booking", "kind"),
    [
        ({"arrival": moment("2026-06-16T12:05+01:00")}, "arrival-after-procedure"),
        ({"latest_start": moment("2026-06-16T11:55+01:00")}, "latest-start-wrong"),
        ({"latest_start": moment("2026-06-17T13:00+01:00")}, "latest-start-wrong"),
    ],
)
def test_moments_out_of_order(booking: dict[str, Any], kind: str) -> None:
    assert refusals(**booking) == [kind]


def test_moments_in_order() -> None:
    assert refusals(arrival=moment(START), latest_start=moment(START)) == []


@pytest.mark.parametrize(
    ("name", "starts", "kind"),
    [
        ("gastroscopy", ["2026-06-17T12:00+01:00"], "visit-day-differs"),
        ("gastroscopy", ["2026-06-16T15:00+01:00", "2026-06-16T15:30+01:00"], "procedure-doubled"),
        ("dose", ["2026-06-16T15:00+01:00"], "procedure-doubled"),
    ],
)
def test_another_procedure_that_is_none_of_this_visit(name: str, starts: list[str], kind: str) -> None:
    others = tuple(OtherProcedure(name, moment(start)) for start in starts)
    assert kind in refusals(others=others)


def test_a_visit_procedure_may_not_be_called_as_what_every_plan_has() -> None:
    table = {"visit_procedure": [GASTROSCOPY | {"id": "arrival"}]}
    assert "unit.toml visit_procedure arrival id" in {
        finding.where for finding in unit_from(table, "unit.toml")[1]
    }


def test_a_fasting_rule_never_loosens_a_stop_that_hangs_on_a_row() -> None:
    """Nothing more half an hour after the dose began, 08:30; six hours before 15:00 would be 09:00."""
    stop = {"id": "stop", "kind": "stop-drinking", "before": "dose", "hours": -0.5}
    others = (OtherProcedure("gastroscopy", moment("2026-06-16T15:00+01:00")),)
    unit = unit_in(visit_procedure=[GASTROSCOPY])
    assert at(plan(protocol_of(DOSE, stop), START, unit, others=others), "stop") == "2026-06-16T08:30+01:00"
    sooner = (OtherProcedure("gastroscopy", moment("2026-06-16T14:00+01:00")),)  # nothing from 08:00
    assert plan(protocol_of(DOSE, stop), START, unit, others=sooner).steps == ()


def test_an_instruction_and_the_line_to_call_first_are_not_both_chosen() -> None:
    told = run_json(*ASK, "--factor", "iron", "--instruction", "iron-week", "--call-first", "iron")
    assert told["steps"] == []
    assert "instruction-and-call-first" in {finding["kind"] for finding in told["findings"]}


def test_a_step_begun_at_two_moments() -> None:
    begun = ("--begun", "evening-dose=2026-06-15T18:00", "--begun", "evening-dose=2026-06-15T19:00")
    [finding] = run_json(*ASK, *begun, "--now", "2026-06-15T20:00")["findings"]
    assert finding["kind"] == "begun-twice"
    assert "18:00" in finding["problem"] and "19:00" in finding["problem"]
