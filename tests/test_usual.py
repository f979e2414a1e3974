"""The unit's usual times: used where the rules leave room, told where they do not."""

from __future__ import annotations

from typing import Any

from generator.finding import Verdict
from tests.nouns import at, plan, protocol_of, window


def dose(usual: dict[str, str], **more: Any) -> dict[str, Any]:
    return {
        "id": "dose", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15, "usual": usual,
        "window": [{"before": "procedure", "hours": 6}, {"before": "procedure", "hours": 4}], **more,
    }  # fmt: skip


def test_a_usual_time_is_used_and_is_the_reason() -> None:
    """T=10:00: the rules leave 04:00 to 06:00; kindest is 06:00 (late, not at night); the unit always says 05:30."""
    timetable = plan(protocol_of(dose({"10:00": "05:30"})), "2026-06-15T10:00+01:00")
    assert at(timetable, "dose") == "2026-06-15T05:30+01:00"
    assert window(timetable, "dose") == ("15 04:00", "15 06:00")
    reasons = [reason.rule for reason in timetable.step("dose").because if reason.binding]
    assert reasons == ["“dose” starts at the unit's usual time for this slot, 05:30"]


def test_another_slot_has_the_kindest_time() -> None:
    timetable = plan(protocol_of(dose({"10:30": "05:30"})), "2026-06-15T10:00+01:00")
    assert at(timetable, "dose") == "2026-06-15T06:00+01:00"


def test_a_usual_time_that_a_rule_forbids_is_told_and_not_used() -> None:
    timetable = plan(protocol_of(dose({"10:00": "06:30"})), "2026-06-15T10:00+01:00")
    assert at(timetable, "dose") == "2026-06-15T06:00+01:00"
    [finding] = timetable.findings
    assert finding.kind == "usual-time-forbidden"
    assert "04:00 to 06:00" in finding.problem
    assert timetable.verdict is Verdict.READY


def test_a_usual_time_on_the_evening_before_finds_its_day() -> None:
    evening = {
        "id": "evening", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15, "usual": {"10:00": "19:00"},
        "window": [{"at": "18:00", "day": -1}, {"at": "20:00", "day": -1}],
    }  # fmt: skip
    assert at(plan(protocol_of(evening), "2026-06-15T10:00+01:00"), "evening") == "2026-06-14T19:00+01:00"


def test_a_usual_time_many_days_before_finds_its_day() -> None:
    window = [{"at": "06:00", "day": -20}, {"at": "08:00", "day": -20}]
    enema = {"id": "enema", "kind": "enema", "minutes": 10, "window": window, "usual": {"09:00": "07:15"}}
    timetable = plan(protocol_of(enema), "2026-06-15T09:00+01:00")
    assert timetable.findings == ()
    assert at(timetable, "enema") == "2026-05-26T07:15+01:00"


def test_a_night_many_days_before_is_a_night() -> None:
    """The unit's night ends at 05:30, on the fifth day before and on the twentieth."""
    for day in (-5, -20):
        window = [{"at": "00:00", "day": day}, {"at": "08:00", "day": day}]
        enema = {"id": "enema", "kind": "enema", "minutes": 10, "window": window}
        assert at(plan(protocol_of(enema), "2026-06-15T09:00+01:00"), "enema").endswith("T05:30+01:00")
