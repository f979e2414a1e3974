"""Days on which timetables go wrong, each worked out by hand.

R-EU is ESGE 2019 (Endoscopy 2019;51:775-794): the last dose starts within 5 h and ends at least 2 h before. R-US is
the US Multi-Society Task Force 2025 (Am J Gastroenterol 2025;120:738-764): it starts 4 to 6 h before and ends at
least 2 h before. T is the start of the procedure.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from generator.clinic.booking import Booking, OtherProcedure
from generator.clinic.instruction import instructions_from
from generator.finding import Severity, Verdict
from generator.plan.change import What, change_findings, changes_between
from generator.plan.planning import timetable_for
from generator.plan.suited import Stated
from generator.plan.timetable import Timetable
from tests.nouns import at, plan, protocol_of, unit_in, window

R_EU = {"since": {"before": "procedure", "hours": 5}}
R_US = {"since": {"before": "procedure", "hours": 6}, "until": {"before": "procedure", "hours": 4}}
TWO_HOURS = {"before": "procedure", "hours": 2}
EVENING = {"id": "one", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15, "at": "18:00", "day": -1}


def last(glasses: int, *windows: dict[str, Any], minutes: int = 15, **more: Any) -> dict[str, Any]:
    return {
        "id": "last", "kind": "drink", "glasses": glasses, "ml": 250, "minutes": minutes, "windows": list(windows),
        "end_by": TWO_HOURS, **more,
    }  # fmt: skip


def moment(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text)


def kinds(timetable: Timetable) -> list[str]:
    return [finding.kind for finding in timetable.findings]


def iron(days: int) -> Stated:
    """A unit that states one instruction: iron off so many days before."""
    text = "Last iron on {last_day}, none from {first_day_without}."
    table = {
        "instruction": [
            {
                "id": "iron", "medicine": "iron", "title": "t", "text": text, "first_day_without": -days, "source": "s",
            }
        ]
    }  # fmt: skip
    instructions, findings = instructions_from(table, "i.toml")
    assert findings == []
    return Stated(instructions=instructions)


def test_the_tuesday_after_easter() -> None:
    """7 April 2026, 07:30. Good Friday is 3 April, Easter Monday 6 April: everything is shut from Friday to Monday."""
    unit = unit_in(closed_days=[dt.date(2026, 4, 3), dt.date(2026, 4, 6)])
    rows = (
        {"id": "collect", "kind": "collect", "at": "18:00", "day": -2},
        {"id": "ring", "kind": "call", "at": "12:00", "day": -1},
        {"id": "confirmed", "kind": "confirm", "at": "14:00", "day": -1, "minutes": 180},
    )
    start = moment("2026-04-07T07:30+01:00")
    booking = Booking("r", start, "p", ("en",), travel_minutes=0, instructions=("iron",))
    timetable = timetable_for(booking, protocol_of(*rows), unit, None, iron(7))
    assert at(timetable, "collect") == "2026-04-02T18:00+01:00"  # Thursday
    assert at(timetable, "ring") == "2026-04-02T12:00+01:00"
    confirmed = timetable.step("confirmed")
    assert confirmed.end is not None
    assert (f"{confirmed.start:%d %H:%M}", f"{confirmed.end:%d %H:%M}") == ("02 14:00", "02 17:00")
    assert at(timetable, "instruction-iron") == "2026-03-30T00:00+01:00"  # Monday: the last day with it
    assert any("closed" in reason.rule for reason in timetable.step("collect").because)


def test_an_ordinary_saturday_is_no_working_day_unless_the_unit_says_so() -> None:
    row = {"id": "collect", "kind": "collect", "at": "10:00", "day": -2}
    monday = "2026-06-15T09:00+01:00"
    assert at(plan(protocol_of(row), monday), "collect") == "2026-06-12T10:00+01:00"
    six_days = unit_in(working_days=["mon", "tue", "wed", "thu", "fri", "sat"])
    assert at(plan(protocol_of(row), monday, six_days), "collect") == "2026-06-13T10:00+01:00"


def late_plan(now: str) -> Timetable:
    """An ordinary split plan for 16 June 2026, 08:30, made at `now`; iron off 7 days before."""
    rows = (
        {"id": "diet", "kind": "diet", "diet": "low-fibre", "at": "07:00", "day": -2},
        {"id": "lunch", "kind": "last-meal", "at": "12:00", "day": -1},
        {**EVENING, "window": [{"at": "18:00", "day": -1}, {"at": "19:30", "day": -1}]},
        {"id": "mix", "kind": "mix", "before": "one", "hours": 0.25},
        last(4, R_EU, R_US),
    )
    del rows[2]["at"], rows[2]["day"]
    booking = Booking(
        "r", moment("2026-06-16T08:30+01:00"), "p", ("en",), travel_minutes=0, instructions=("iron",)
    )
    return timetable_for(booking, protocol_of(*rows), unit_in(), moment(now), iron(7))


def test_booked_at_14_for_tomorrow_morning() -> None:
    """The week of iron, the diet and the lunch limit are past; the dose at 18:00 lies ahead."""
    timetable = late_plan("2026-06-15T14:00+01:00")
    assert timetable.verdict is Verdict.CHECK
    [told] = [finding for finding in timetable.findings if finding.kind == "short-notice"]
    assert told.decision
    assert told.where == "instruction-iron, lunch"
    assert {step.id for step in timetable.steps if step.past} == {"instruction-iron", "diet", "lunch"}
    assert at(timetable, "one") == "2026-06-15T18:00+01:00"


def test_booked_when_the_evening_has_begun() -> None:
    """At 18:20 the dose may still start until 19:30, and a quarter of an hour of mixing comes first: 19:00."""
    timetable = late_plan("2026-06-15T18:20+01:00")
    assert at(timetable, "mix") == "2026-06-15T18:45+01:00"
    assert at(timetable, "one") == "2026-06-15T19:00+01:00"
    assert not timetable.step("one").past
    # At 19:20 the dose itself can still be begun at 19:20; mixing it beforehand cannot, and that is told.
    later = late_plan("2026-06-15T19:20+01:00")
    assert f"{later.step('one').start:%H:%M}" == "19:30"
    [told] = [finding for finding in later.findings if finding.kind == "short-notice"]
    assert "mix" in told.where


def test_asleep_from_21_to_05() -> None:
    """T 09:00: 1.5 L from 05:00 to 06:30 keep both rules. T 08:00: from 05:00 only R-EU. T 07:30: must wake."""
    asleep = unit_in(night={"since": "21:00", "until": "05:00"}, quiet_minutes=0)
    nine = plan(protocol_of(last(6, R_EU, R_US)), "2026-06-15T09:00+01:00", asleep)
    assert at(nine, "last") == "2026-06-15T05:00+01:00"
    assert [yardstick.met for yardstick in nine.yardsticks] == [True, True]
    eight = plan(protocol_of(last(4, R_EU)), "2026-06-15T08:00+01:00", asleep)
    assert at(eight, "last") == "2026-06-15T05:00+01:00"
    assert [yardstick.met for yardstick in eight.yardsticks] == [True, False]
    half_past_seven = plan(protocol_of(last(4, R_EU)), "2026-06-15T07:30+01:00", asleep)
    assert window(half_past_seven, "last") == ("15 02:30", "15 04:30")
    assert at(half_past_seven, "last") == "2026-06-15T04:30+01:00"


def moved() -> tuple[Timetable, Timetable]:
    """11:00 becomes 08:00 on the evening before, at 20:30; the first dose was drunk at 18:00."""
    protocol, unit = protocol_of(EVENING, last(6, R_EU)), unit_in()
    old, new = (
        Booking("r", moment(f"2026-06-16T{clock}+01:00"), "p", ("en",), travel_minutes=0)
        for clock in ("11:00", "08:00")
    )
    before = timetable_for(old, protocol, unit, moment("2026-06-01T09:00+01:00"))
    now, begun = moment("2026-06-15T20:30+01:00"), {"one": moment("2026-06-15T18:00+01:00")}
    return before, timetable_for(new, protocol, unit, now, begun=begun)


def test_moved_three_hours_earlier_after_the_first_dose() -> None:
    """R-EU for 08:00: 1.5 L may start from 03:00 to 04:30 and end by 06:00. Nobody is moved without a call."""
    old, new = moved()
    assert window(old, "last")[0] == "16 06:00"
    assert window(new, "last") == ("16 03:00", "16 04:30")
    end_by = new.step("last").window
    assert end_by is not None
    assert end_by.end_by == moment("2026-06-16T06:00+01:00")
    changes = {change.step: change for change in changes_between(old, new, moment("2026-06-15T20:30+01:00"))}
    assert (changes["one"].what, changes["one"].due) == (What.SAME, True)
    assert (changes["last"].what, changes["last"].past) == (What.MOVED, False)
    told = list(change_findings(old, tuple(changes.values())))
    assert [finding.kind for finding in told] == ["preparation-begun"]
    assert told[0].decision


def test_moved_so_late_that_the_new_time_has_passed() -> None:
    """Told at 05:00 on the day: for 08:00 the last dose had to begin by 04:30."""
    old, _ = moved()
    now = moment("2026-06-16T05:00+01:00")
    booking = Booking("r", moment("2026-06-16T08:00+01:00"), "p", ("en",), travel_minutes=0)
    new = timetable_for(booking, protocol_of(EVENING, last(6, R_EU)), unit_in(), now)
    [told] = [finding for finding in new.findings if finding.decision]
    assert (told.kind, told.where) == ("short-notice", "one, last")
    # The last moments that their rules left: the stated one, and 3.5 h before.
    assert [at(new, name)[11:16] for name in ("one", "last")] == ["18:00", "04:30"]
    assert new.step("last").past
    changes = changes_between(old, new, now)
    assert {"preparation-begun", "new-time-passed"} == {
        finding.kind for finding in change_findings(old, changes)
    }


def test_moved_later_after_the_last_dose() -> None:
    """08:00 becomes 11:00, and the last dose was drunk at 04:00: 7 h before is outside R-EU, and a nurse decides."""
    booking = Booking("r", moment("2026-06-16T11:00+01:00"), "p", ("en",), travel_minutes=0)
    begun = {"last": moment("2026-06-16T04:00+01:00")}
    new = timetable_for(booking, protocol_of(EVENING, last(4, R_EU)), unit_in(), None, begun=begun)
    [told] = [finding for finding in new.findings if finding.kind == "begun-against-rules"]
    assert told.decision
    assert "Tuesday 16 June, 04:00" in told.problem
    assert at(new, "last") == "2026-06-16T04:00+01:00"  # what was drunk was drunk: never a second time


def test_four_litres_and_a_slow_drinker() -> None:
    """Eight glasses at 25 minutes are 3 h 20: from 18:00 to 21:20; from 03:00 to 06:20, past the cut-off at 06:00."""
    evening = {**EVENING, "glasses": 8, "minutes": 25}
    end = plan(protocol_of(evening), "2026-06-15T08:00+01:00").step("one").end
    assert end == moment("2026-06-14T21:20+01:00")
    morning = last(8, {"since": {"before": "procedure", "hours": 5}}, minutes=25)
    timetable = plan(protocol_of(morning), "2026-06-15T08:00+01:00")
    assert kinds(timetable) == ["rules-collide"]
    assert "20 minutes" in timetable.findings[0].remedy


def test_list_order_without_hours() -> None:
    """Be there at 08:00, start between 08:45 and 11:00: planned for the first on the list, cut-off 06:45."""
    stop = {"id": "stop", "kind": "stop-drinking", **TWO_HOURS}
    timetable = plan(
        protocol_of(last(4, R_EU, R_US), stop),
        "2026-06-15T08:45+01:00",
        arrival=moment("2026-06-15T08:00+01:00"),
        latest_start=moment("2026-06-15T11:00+01:00"),
    )
    assert at(timetable, "stop") == "2026-06-15T06:45+01:00"
    assert window(timetable, "last") == ("15 03:45", "15 04:45")
    assert kinds(timetable) == ["list-order", "night-awake", "late-start-departs"]
    assert "11:00" in timetable.findings[0].problem
    assert timetable.verdict is Verdict.READY


@pytest.mark.parametrize(("now", "kind"), [("13:59", "short-notice"), ("14:00", "past")])
def test_a_procedure_that_has_begun_has_no_plan(now: str, kind: str) -> None:
    """Refused timetables have no steps: nobody follows a plan under the word “refused”."""
    booking = Booking("r", moment("2026-06-15T14:00+01:00"), "p", ("en",), travel_minutes=0)
    planned = timetable_for(booking, protocol_of(EVENING), unit_in(), moment(f"2026-06-15T{now}+01:00"))
    assert kinds(planned) == [kind]
    assert (planned.steps == ()) is (kind == "past")


def gastroscopy_first(fasting: float) -> Timetable:
    """Gastroscopy 13:15, colonoscopy 13:45; the unit's fasting rule for gastroscopy in hours."""
    rule = {"id": "gastroscopy", "nothing_by_mouth_hours": fasting, "source": "the unit's fasting rule"}
    stop = {"id": "stop", "kind": "stop-drinking", **TWO_HOURS}
    return plan(
        protocol_of(last(6, R_EU), stop),
        "2026-06-15T13:45+01:00",
        unit_in(visit_procedure=[rule]),
        others=(OtherProcedure("gastroscopy", moment("2026-06-15T13:15+01:00")),),
    )


def test_two_procedures_in_one_visit() -> None:
    """Everything counts from the first: R-EU from 08:15, all drunk by 11:15. Six hours of fasting collide with that."""
    timetable = gastroscopy_first(2)
    assert window(timetable, "last") == ("15 08:15", "15 09:45")  # 1.5 L take 1 h 30
    assert at(timetable, "stop") == "2026-06-15T11:15+01:00"
    assert at(timetable, "gastroscopy") == "2026-06-15T13:15+01:00"
    collided = gastroscopy_first(6)
    [told] = collided.findings
    assert told.kind == "rules-collide"
    assert "the unit's fasting rule" in told.problem
    assert "5 h before the procedure" in told.problem
    assert "150 minutes" in told.remedy  # may start from 08:15; would have to start by 05:45


def test_another_procedure_that_the_unit_states_no_rule_for() -> None:
    others = (OtherProcedure("bronchoscopy", moment("2026-06-15T13:15+01:00")),)
    assert kinds(plan(protocol_of(EVENING), "2026-06-15T13:45+01:00", others=others)) == ["procedure-unknown"]


def test_a_phone_or_list_in_another_zone_moves_nothing() -> None:
    """08:00 in Madrid is 07:00 in Lisbon: the plan is the same, on the unit's clocks."""
    protocol, unit = protocol_of(EVENING, last(4, R_EU)), unit_in("Europe/Madrid")
    home, away = (
        plan(protocol, start, unit) for start in ("2026-06-15T08:00+02:00", "2026-06-15T07:00+01:00")
    )
    assert home.as_json() == away.as_json()
    assert at(away, "last") == "2026-06-15T05:00+02:00"


@pytest.mark.parametrize(("pick_up", "kind"), [("06:10", None), ("08:40", "pick-up-late")])
def test_the_hour_of_a_fixed_transport(pick_up: str, kind: str | None) -> None:
    """The transport leaves at 06:10: nothing is left for the road, so that a litre begins by 05:10."""
    unit = unit_in(arrival_lead_minutes=30, travel_minutes=30)
    timetable = plan(
        protocol_of(last(4, R_EU)),
        "2026-06-15T09:00+01:00",
        unit,
        travel_minutes=None,
        pick_up=moment(f"2026-06-15T{pick_up}+01:00"),
    )
    if kind is not None:
        assert kinds(timetable) == [kind]
        return
    assert kinds(timetable) == ["quiet-short", "night-awake"]  # no way was assumed
    assert at(timetable, "leave") == "2026-06-15T06:10+01:00"
    assert window(timetable, "last") == ("15 04:00", "15 05:10")


def test_a_time_that_is_not_confirmed_is_said_to_be_so() -> None:
    timetable = plan(protocol_of(EVENING), "2026-06-15T09:00+01:00", provisional=True)
    assert (kinds(timetable), timetable.verdict) == (["time-provisional"], Verdict.CHECK)


@pytest.mark.parametrize(
    ("clock", "fits"), [("10:29", False), ("10:30", True), ("12:59", True), ("13:00", False)]
)
def test_the_border_of_a_slot_belongs_to_one_protocol_only(clock: str, fits: bool) -> None:
    """Units draw the line at 10:30 or 13:00, and a start at exactly that hour must not fall between two sheets."""
    protocol = protocol_of(EVENING, slots={"since": "10:30", "until": "13:00"})
    timetable = plan(protocol, f"2026-06-15T{clock}+01:00")
    assert (kinds(timetable) == ["slot-outside"]) is not fits


def test_from_14_to_08_after_the_first_dose() -> None:
    """All later steps are reckoned anew: both rules leave 03:00 to 04:00, cut-off 06:00; at 04:30 that has passed."""
    stop = {"id": "stop", "kind": "stop-drinking", **TWO_HOURS}
    protocol, unit = protocol_of(EVENING, last(4, R_EU, R_US), stop), unit_in()
    begun = {"one": moment("2026-06-15T18:00+01:00")}
    old, new = (
        Booking("r", moment(f"2026-06-16T{clock}+01:00"), "p", ("en",), travel_minutes=0)
        for clock in ("14:00", "08:00")
    )
    before = timetable_for(old, protocol, unit, None)
    assert window(before, "last") == ("16 09:00", "16 10:00")
    now = moment("2026-06-15T21:00+01:00")
    after = timetable_for(new, protocol, unit, now, begun=begun)
    assert window(after, "last") == ("16 03:00", "16 04:00")
    told = {change.step: change.what for change in changes_between(before, after, now)}
    assert told == {
        "one": What.SAME, "last": What.MOVED, "stop": What.MOVED, "leave": What.MOVED, "arrive": What.MOVED,
        "procedure": What.MOVED,
    }  # fmt: skip
    night = moment("2026-06-16T04:30+01:00")
    too_late = timetable_for(new, protocol, unit, night, begun=begun)
    findings = change_findings(before, changes_between(before, too_late, night))
    assert "new-time-passed" in [finding.kind for finding in findings]
    assert at(too_late, "last") == "2026-06-16T04:00+01:00"  # the last moment that the rules left


@pytest.mark.parametrize(
    ("zone", "start", "hours", "shown"),
    [
        ("Europe/London", "2026-03-29T08:00+01:00", 6, "2026-03-29T02:00+01:00"),
        ("Europe/London", "2026-03-29T08:00+01:00", 6.5, "2026-03-29T00:30+00:00"),
        ("America/New_York", "2026-03-08T09:00-04:00", 6.5, "2026-03-08T01:30-05:00"),
        ("Australia/Sydney", "2026-04-05T07:30+10:00", 5, "2026-04-05T02:30+10:00"),
        ("Australia/Sydney", "2026-04-05T07:30+10:00", 6, "2026-04-05T02:30+11:00"),
    ],
)
def test_hours_are_elapsed_hours_where_clocks_change(zone: str, start: str, hours: float, shown: str) -> None:
    """By hand, from the published changes of 2026: 29 March in the UK, 8 March in the US, 5 April in Sydney."""
    row = {"id": "x", "kind": "check", "before": "procedure", "hours": hours}
    assert at(plan(protocol_of(row), start, unit_in(zone)), "x") == shown


def test_seven_hours_from_nine_do_not_fit_half_past_four() -> None:
    """A sheet in use: start at 09:00, takes 7 h. For 16:30 all must be drunk by 14:30: 90 minutes too many."""
    dose = {
        "id": "all", "kind": "drink", "glasses": 28, "ml": 140, "minutes": 15, "at": "09:00", "day": 0,
        "end_by": TWO_HOURS,
    }  # fmt: skip
    timetable = plan(protocol_of(dose), "2026-06-15T16:30+01:00")
    assert kinds(timetable) == ["rules-collide"]
    assert "90 minutes" in timetable.findings[0].remedy


def test_a_pause_keeps_drinks_apart() -> None:
    """A sheet in use: nothing to drink from 16:00 to 18:00, then the dose; drinks before it have ended by 16:00."""
    rows = (
        {
            "id": "drinks", "kind": "extra-fluid", "glasses": 4, "ml": 250, "minutes": 30,
            "window": [{"at": "12:00", "day": -1}, {"at": "18:00", "day": -1}],
        },
        {"id": "pause", "kind": "pause", "minutes": 120, "at": "16:00", "day": -1},
        {
            "id": "dose", "kind": "drink", "glasses": 8, "ml": 250, "minutes": 15,
            "window": [{"at": "17:00", "day": -1}, {"at": "20:00", "day": -1}],
        },
    )  # fmt: skip
    timetable = plan(protocol_of(*rows), "2026-06-15T14:00+01:00")
    assert window(timetable, "drinks") == ("14 12:00", "14 14:00")
    assert window(timetable, "dose") == ("14 18:00", "14 20:00")


def test_the_same_dose_twice_asks_for_its_gap_within_one_hour() -> None:
    """Two litres in two sessions of a litre an hour, 1,000 mL an hour at most: the second an hour after the first."""
    rows = [
        {
            "id": name, "kind": "drink", "glasses": 4, "ml": 250, "minutes": 10, "most_ml_per_hour": 1500,
            "window": [{"at": "16:00", "day": -1}, {"at": "20:00", "day": -1}],
        }
        for name in ("one", "two")
    ]  # fmt: skip
    slow = {**rows[1], "most_ml_per_hour": 1000, "minutes": 15}
    timetable = plan(protocol_of(rows[0], slow), "2026-06-15T14:00+01:00")
    assert timetable.verdict is Verdict.READY
    gap = timetable.step("two").start - timetable.step("one").start
    assert gap >= dt.timedelta(hours=1)


def test_nothing_counts_from_a_dose_that_was_missed() -> None:
    """The evening dose had to begin by 19:30; at 20:00 a second one, four hours after it, would hang in the air."""
    after = {"id": "two", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15}
    after["after"] = {"row": "one", "at_least": 4}
    booking = Booking("r", moment("2026-06-16T11:00+01:00"), "p", ("en",), travel_minutes=0)
    now = moment("2026-06-15T20:00+01:00")
    late = timetable_for(booking, protocol_of(EVENING, after), unit_in(), now)
    assert kinds(late) == ["dose-missed"]
    assert late.steps == ()
    # Begun at 18:00 and said so, it is 1 h long: 23:00 is four hours after it.
    begun = {"one": moment("2026-06-15T18:00+01:00")}
    told = timetable_for(booking, protocol_of(EVENING, after), unit_in(), now, begun=begun)
    assert at(told, "one") == "2026-06-15T18:00+01:00"
    assert kinds(told) == ["night-awake"]
    assert at(told, "two") == "2026-06-15T23:00+01:00"


def test_what_was_begun_too_early_for_the_next_dose_leaves_no_times() -> None:
    """Begun at 14:00; the second had to follow within ten hours of its end, and only from 05:00: a person decides."""
    second = last(4, R_EU) | {"after": {"row": "one", "at_least": 4, "at_most": 10}}
    booking = Booking("r", moment("2026-06-16T10:00+01:00"), "p", ("en",), travel_minutes=0)
    begun = {"one": moment("2026-06-15T14:00+01:00")}
    told = timetable_for(booking, protocol_of(EVENING, second), unit_in(), None, begun=begun)
    [finding] = [finding for finding in told.findings if finding.severity is Severity.REFUSE]
    assert finding.kind == "begun-against-rules"
    assert "Monday 15 June, 14:00" in finding.problem
    assert told.steps == ()


def test_an_errand_after_the_procedure_waits_for_the_next_working_day() -> None:
    """Friday 19 June 2026, 14:00; the call of the day after is due on a Saturday: not before the examination."""
    row = {"id": "ring", "kind": "call", "at": "10:00", "day": 1}
    start = moment("2026-06-19T14:00+01:00")
    timetable = timetable_for(Booking("r", start, "p", ("en",)), protocol_of(EVENING, row), unit_in(), None)
    assert at(timetable, "ring") == "2026-06-22T10:00+01:00"  # Monday
    assert "the first working day after it" in timetable.step("ring").because[-1].rule
