"""Labels and trade rules for whole regimens, with values worked out by hand; each names its source.

T is the procedure's start. Labels are by composition: their figures differ between countries.
"""

from __future__ import annotations

from typing import Any

import pytest

from generator.finding import Verdict
from tests.nouns import at, plan, protocol_of, unit_in, window

T14 = "2026-06-15T14:00+01:00"


def before(hours: float) -> dict[str, Any]:
    return {"before": "procedure", "hours": hours}


def drink(name: str, glasses: int, ml: int, minutes: int, **more: Any) -> dict[str, Any]:
    kind = more.pop("kind", "drink")
    return {"id": name, "kind": kind, "glasses": glasses, "ml": ml, "minutes": minutes, **more}


def sachet(name: str, **more: Any) -> dict[str, Any]:
    return drink(name, 1, 150, 5, **more)


def test_picosulfate_extra_fluids_are_sums_of_whole_glasses() -> None:
    """US label: at least five and three glasses of 8 fl oz (237 mL); the second dose about 5 h before."""
    first = sachet("first", at="18:00", day=-1)
    five = drink("five", 5, 237, 60, kind="extra-fluid", after={"row": "first", "at_least": 0})
    second = sachet("second", **before(5))
    three = drink(
        "three", 3, 237, 30, kind="extra-fluid", after={"row": "second", "at_least": 0}, end_by=before(2)
    )
    timetable = plan(protocol_of(first, five, second, three), T14)
    assert timetable.step("five").amounts["total_ml"] == 1185
    assert timetable.step("three").amounts["total_ml"] == 711
    assert at(timetable, "second") == "2026-06-15T09:00+01:00"
    ends = timetable.step("five").end
    assert ends is not None
    assert f"{ends:%H:%M}" <= "23:05"  # within five hours of the dose


@pytest.mark.parametrize(("second", "fits"), [("06:00", True), ("10:00", False)])
def test_five_hours_between_sachets(second: str, fits: bool) -> None:
    """UK label A: at least 5 h between sachets; from 18:00 to 06:00 is 12 h, from 06:00 to 10:00 is 4 h."""
    first = ("18:00", -1) if fits else ("06:00", 0)
    rows = (
        sachet("first", at=first[0], day=first[1]),
        sachet("second", at=second, day=0, after={"row": "first", "at_least": 5, "counted_from": "start"}),
    )
    timetable = plan(protocol_of(*rows), T14)
    assert (timetable.verdict is Verdict.REFUSED) is not fits
    if not fits:
        assert "60 minutes" in timetable.findings[-1].remedy


def test_picosulfate_windows_of_the_other_uk_label() -> None:
    """UK label B, T=14:00: first sachet 10 to 18 h before, 20:00 to 04:00; second 4 to 6 h before, 08:00 to 10:00."""
    timetable = plan(
        protocol_of(
            sachet("first", window=[before(18), before(10)]), sachet("second", window=[before(6), before(4)])
        ),
        T14,
    )
    assert window(timetable, "first") == ("14 20:00", "15 04:00")
    assert window(timetable, "second") == ("15 08:00", "15 10:00")


def test_picosulfate_the_day_before() -> None:
    """US label: first dose from 16:00 to 18:00, the second about six hours later, from 22:00 to midnight."""
    evening = [{"at": "16:00", "day": -1}, {"at": "18:00", "day": -1}]
    gap = {"row": "first", "at_least": 6, "at_most": 6, "counted_from": "start"}
    timetable = plan(protocol_of(sachet("first", window=evening), sachet("second", after=gap)), T14)
    assert window(timetable, "second") == ("14 22:00", "15 00:00")


def test_oral_sulfate_amounts_and_gap() -> None:
    """US label: each dose 16 fl oz, then 32 within the hour: 473 and 946 mL; the second 10 to 12 h after the first.

    T=08:00: dose 2 at 05:00 ends at 06:00, exactly two hours before, and that is kept.
    """
    gap = {"row": "first", "at_least": 10, "at_most": 12, "counted_from": "start"}
    rows = (
        drink("first", 1, 473, 20, at="18:00", day=-1),
        drink("first-water", 2, 473, 20, kind="extra-fluid", after={"row": "first", "at_least": 0}),
        drink("second", 1, 473, 20, after=gap, windows=[{"until": {"at": "05:00", "day": 0}}]),
        drink(
            "second-water",
            2,
            473,
            20,
            kind="extra-fluid",
            after={"row": "second", "at_least": 0},
            end_by=before(2),
        ),
    )
    timetable = plan(protocol_of(*rows), "2026-06-15T08:00+01:00")
    totals = [
        timetable.step(name).amounts["total_ml"]
        for name in ("first", "first-water", "second", "second-water")
    ]
    assert sum(totals[:2]) == 1419
    assert sum(totals) == 2838
    assert window(timetable, "second") == ("15 04:00", "15 05:00")
    last = timetable.step("second-water").end
    assert last is not None
    assert f"{last:%H:%M}" == "06:00"


def litre(*deadlines: dict[str, Any]) -> dict[str, Any]:
    return drink("last", 4, 250, 15, window=[before(5), before(1)], end_by=list(deadlines))


def test_where_label_and_guideline_differ_the_earlier_cut_off_binds() -> None:
    """2 L PEG with ascorbate, T=10:00. EU label without anaesthesia: 1 h before. ESGE 2019: at least 2 h before."""
    morning = "2026-06-15T10:00+01:00"
    label = {**before(1), "source": "EU label: 1 h before"}
    esge = {**before(2), "source": "ESGE 2019"}
    both = plan(protocol_of(litre(label, esge)), morning).step("last")
    assert both.window is not None
    assert both.window.end_by is not None
    assert f"{both.window.end_by:%H:%M}" == "08:00"
    alone = plan(protocol_of(litre(label)), morning)
    last = alone.step("last")
    assert last.window is not None
    assert last.window.end_by is not None
    assert f"{last.window.end_by:%H:%M}" == "09:00"
    [esge_verdict] = [yardstick for yardstick in alone.yardsticks if yardstick.id == "esge-2019"]
    assert esge_verdict.met is False
    assert "2 h at least" in esge_verdict.departures[0]


def test_one_litre_in_the_morning_keeps_an_hour_between_doses() -> None:
    """EU label, 1 L PEG with ascorbate, morning only: doses at least 1 h apart, so after 05:00 from 06:00 on."""
    gap = {"row": "first", "at_least": 1, "counted_from": "start"}
    rows = (
        drink("first", 1, 500, 30, at="05:00", day=0),
        drink("second", 1, 500, 30, after=gap, window=[{"at": "05:00", "day": 0}, {"at": "09:00", "day": 0}]),
    )
    assert window(plan(protocol_of(*rows), T14), "second") == ("15 06:00", "15 09:00")


@pytest.mark.parametrize(("day", "begins"), [(-1, "2026-06-14T00:00+01:00"), (-3, "2026-06-12T00:00+01:00")])
def test_days_of_diet_are_counted_back_from_the_procedure(day: int, begins: str) -> None:
    """One day (ESGE 2019, US Task Force 2025): 14 June for Monday 15 June; three days (some units): Friday 12."""
    diet = {"id": "diet", "kind": "diet", "diet": "low-fibre", "at": "00:00", "day": day}
    assert at(plan(protocol_of(diet), T14), "diet") == begins


@pytest.mark.parametrize(
    ("procedure", "day", "date"),
    [
        ("2026-06-15T09:00+01:00", -7, "2026-06-08"),  # a Monday: seven days before is the Monday before
        ("2028-03-01T09:00+00:00", -1, "2028-02-29"),  # a leap day
        ("2027-01-03T09:00+00:00", -7, "2026-12-27"),  # another year
    ],
)
def test_days_are_counted_on_the_calendar(procedure: str, day: int, date: str) -> None:
    row = {"id": "row", "kind": "instruction", "at": "00:00", "day": day}
    assert at(plan(protocol_of(row), procedure), "row").startswith(date)


def test_a_zone_with_a_quarter_of_an_hour() -> None:
    """Kathmandu, +05:45, T=14:00: the last dose starts from 08:00 to 10:00 local time (US Task Force 2025)."""
    rows = drink("last", 4, 250, 15, window=[before(6), before(4)])
    timetable = plan(protocol_of(rows), "2026-06-15T14:00+05:45", unit_in("Asia/Kathmandu"))
    assert window(timetable, "last") == ("15 08:00", "15 10:00")


def test_two_litres_with_ascorbate_are_three_litres_in_all() -> None:
    """Label: 500 mL of clear fluid after each litre: 2 x (1,000 + 500) = 3,000 mL."""
    rows = (
        drink("one", 4, 250, 15, at="18:00", day=-1),
        drink("one-more", 2, 250, 15, kind="extra-fluid", after={"row": "one", "at_least": 0}),
        drink("two", 4, 250, 15, **before(5)),
        drink("two-more", 2, 250, 15, kind="extra-fluid", after={"row": "two", "at_least": 0}),
    )
    timetable = plan(protocol_of(*rows), T14)
    assert sum(step.amounts.get("total_ml", 0) for step in timetable.steps) == 3000


def test_clocks_going_forward_between_doses() -> None:
    """Berlin, 29 March 2026, T=08:00: the evening keeps 19:00; T-6 h is 01:00 CET, T-5 h 03:00 CEST, T-2 h 06:00."""
    rows = (
        drink("evening", 4, 250, 15, at="19:00", day=-1),
        {"id": "six", "kind": "check", **before(6)},
        {"id": "five", "kind": "check", **before(5)},
        {"id": "stop", "kind": "stop-drinking", **before(2)},
    )
    timetable = plan(protocol_of(*rows), "2026-03-29T08:00+02:00", unit_in("Europe/Berlin"))
    assert [at(timetable, name) for name in ("evening", "six", "five", "stop")] == [
        "2026-03-28T19:00+01:00", "2026-03-29T01:00+01:00", "2026-03-29T03:00+02:00", "2026-03-29T06:00+02:00",
    ]  # fmt: skip


def test_clocks_going_back_between_doses() -> None:
    """Berlin, 25 October 2026, T=07:30: 02:30 happens twice, at T-6 h in summer time and at T-5 h in winter time."""
    rows = ({"id": "six", "kind": "check", **before(6)}, {"id": "five", "kind": "check", **before(5)})
    timetable = plan(protocol_of(*rows), "2026-10-25T07:30+01:00", unit_in("Europe/Berlin"))
    assert [at(timetable, name) for name in ("six", "five")] == [
        "2026-10-25T02:30+02:00", "2026-10-25T02:30+01:00",
    ]  # fmt: skip


def test_a_dose_across_midnight() -> None:
    """2 L from 22:30 at 250 mL every 15 min: the last glass begins at 00:15 and ends at 00:30 on the day itself."""
    dose = plan(protocol_of(drink("dose", 8, 250, 15, at="22:30", day=-1)), T14).step("dose")
    assert dose.amounts["last_glass_after"] == 105
    assert dose.end is not None
    assert dose.end.isoformat(timespec="minutes") == "2026-06-15T00:30+01:00"


def test_nothing_after_midnight_collides_with_a_dose_across_it() -> None:
    stop = {"id": "stop", "kind": "stop-drinking", "at": "00:00", "day": 0}
    timetable = plan(protocol_of(drink("dose", 8, 250, 15, at="22:30", day=-1), stop), T14)
    assert timetable.verdict is Verdict.REFUSED
    assert "30 minutes" in timetable.findings[-1].remedy


def test_early_slot_and_long_way() -> None:
    """T=07:30, be there at 07:00, 90 minutes' way: leave at 05:30. 1.5 L from 02:30 ends at 04:00: 90 quiet minutes."""
    rows = drink("last", 6, 250, 15, windows=[{"since": before(5)}, {"until": before(4)}], end_by=before(2))
    unit = unit_in(arrival_lead_minutes=30, quiet_minutes=90)
    timetable = plan(protocol_of(rows), "2026-06-15T07:30+01:00", unit, travel_minutes=90)
    assert timetable.leaving.isoformat(timespec="minutes") == "2026-06-15T05:30+01:00"
    assert at(timetable, "last") == "2026-06-15T02:30+01:00"


def test_same_day_for_a_late_afternoon_slot() -> None:
    """T=16:30, two litres on the day: the second starts no earlier than 11:30 (ESGE 2019) and ends by 14:30."""
    rows = (
        drink("first", 6, 250, 15, window=[{"at": "07:00", "day": 0}, {"at": "11:00", "day": 0}]),
        drink("second", 6, 250, 15, windows=[{"since": before(5)}], end_by=before(2)),
    )
    timetable = plan(protocol_of(*rows), "2026-06-15T16:30+01:00")
    assert at(timetable, "first") == "2026-06-15T07:00+01:00"
    assert window(timetable, "second") == ("15 11:30", "15 13:00")


def test_counting_from_leaving_home_is_found_to_depart_from_both_rules() -> None:
    """ "5 h before you leave", 90 minutes' way, there 30 minutes early, T=09:00: leave 07:00, start 02:00, T-7 h."""
    unit = unit_in(arrival_lead_minutes=30)
    rows = drink("last", 4, 250, 15, before="leaving", hours=5)
    timetable = plan(protocol_of(rows), "2026-06-15T09:00+01:00", unit, travel_minutes=90)
    assert at(timetable, "last") == "2026-06-15T02:00+01:00"
    assert {yardstick.met for yardstick in timetable.yardsticks} == {False}
    assert "7 h before" in timetable.yardsticks[0].departures[0]


def test_clear_fluids_thirty_hours_before() -> None:
    """T=07:30: 30 h before is 01:30 on the day before."""
    row = {"id": "clear", "kind": "clear-fluids", **before(30)}
    assert at(plan(protocol_of(row), "2026-06-18T07:30+01:00"), "clear") == "2026-06-17T01:30+01:00"
