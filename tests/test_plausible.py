"""Slips of the pen in a protocol, and foods and fasting hours that depart from guidance."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from generator.clinic.food import Food
from generator.clinic.plausible import implausible_findings
from generator.clinic.protocol import Protocol, protocol_from
from generator.finding import Severity, Verdict
from generator.page.foods import FOOD_IDS
from generator.plan.guidance import ASA, ESA, fasting_departures, food_departures, guidance_departures
from generator.plan.samples import sample_findings, samples_of
from tests.nouns import plan, protocol_of, unit_in

DOSE = {"id": "dose", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15, "at": "18:00", "day": -1}


def kinds(protocol: Protocol) -> list[str]:
    return [finding.kind for finding in implausible_findings(protocol)]


def mixes(*packets: int) -> list[dict[str, Any]]:
    return [
        {"id": f"m{number}", "kind": "mix", "at": f"1{number}:00", "day": -1, "packets": count}
        for number, count in enumerate(packets)
    ]


def test_238_milligrams_of_powder() -> None:
    """A slip seen in print: such bottles hold 238 g."""
    [finding] = implausible_findings(protocol_of(DOSE, composition="Macrogol (PEG) 3350 238 mg"))
    assert finding.kind == "amount-implausible"
    assert "238 mg" in finding.problem
    assert "Was 238 g meant?" in finding.remedy
    assert kinds(protocol_of(DOSE, composition="Macrogol (PEG) 3350 238 g")) == []


def test_three_sachets_where_the_label_states_two() -> None:
    """Labels of sodium picosulfate with magnesium citrate: two sachets of 10 mg."""
    composition = "Sodium picosulfate 10 mg, magnesium oxide 3.5 g, citric acid 12 g, per sachet"
    two = protocol_of(*mixes(1, 1), composition=composition, pieces=2)
    assert kinds(two) == []
    three = protocol_of(*mixes(1, 1, 1), composition=composition, pieces=3, label_pieces=2)
    assert set(kinds(three)) == {"amount-over-label"}
    assert "30 mg" in next(implausible_findings(three)).problem


def test_the_box_and_the_rows_must_agree() -> None:
    assert kinds(protocol_of(*mixes(1, 1), pieces=3)) == ["pieces-differ"]


def test_five_laxative_tablets() -> None:
    tablets = {
        "id": "t",
        "kind": "tablets",
        "tablets": 5,
        "contains": "bisacodyl 5 mg",
        "at": "16:00",
        "day": -1,
    }
    assert kinds(protocol_of(tablets)) == ["amount-over-label"]
    assert kinds(protocol_of({**tablets, "tablets": 2})) == []
    assert kinds(protocol_of({**tablets, "contains": "bisacodyl 50 mg"})) == ["amount-implausible"]


def test_phosphate_is_never_a_matter_of_course() -> None:
    """US boxed warning of December 2008: acute phosphate nephropathy. Without a reason in the file there is no plan."""
    stated = {"composition": "Sodium phosphate solution, 45 mL"}
    bare, reasoned = protocol_of(DOSE, **stated), protocol_of(DOSE, **stated, override={"phosphate": "why"})
    for protocol, severity in ((bare, Severity.REFUSE), (reasoned, Severity.WARN)):
        [told] = [one for one in implausible_findings(protocol) if one.kind == "phosphate"]
        assert told.severity is severity
    assert plan(bare, "2026-06-15T14:00+01:00").steps == ()
    assert plan(reasoned, "2026-06-15T14:00+01:00").verdict is not Verdict.REFUSED


def test_tablets_of_one_kind_are_counted_over_all_rows() -> None:
    """Trade: 5 to 15 mg of bisacodyl; a leaflet's slip, four tablets of 10 mg in two rows, is 40 mg."""
    rows = [
        {"id": name, "kind": "tablets", "tablets": 2, "contains": "bisacodyl 10 mg", "at": at, "day": -1}
        for name, at in (("one", "15:00"), ("two", "20:00"))
    ]
    assert kinds(protocol_of(DOSE, *rows)) == ["amount-over-label"]
    assert kinds(protocol_of(DOSE, rows[0])) == []


def test_water_without_a_limit() -> None:
    """Weir et al., Am J Gastroenterol 2014: low blood sodium with picosulfate; every drink besides it needs a cap."""
    water = {
        "id": "w",
        "kind": "extra-fluid",
        "glasses": 4,
        "ml": 250,
        "minutes": 30,
        "at": "20:00",
        "day": -1,
    }
    composition = "Sodium picosulfate 10 mg"
    assert kinds(protocol_of(water, composition=composition)) == ["fluid-uncapped"]
    capped = {**water, "most_ml": 1500, "most_ml_per_hour": 500}
    assert kinds(protocol_of(capped, composition=composition)) == []
    # 4.5 L in 8 hours, which is 562 mL an hour, ended in a coma (case report, ESA-SRB 2023).
    for hourly, told in ((550, []), (560, ["fluid-cap-high"]), (750, ["fluid-cap-high"])):
        swift = {**capped, "most_ml_per_hour": hourly}
        assert kinds(protocol_of(swift, composition=composition)) == told


def test_a_phase_of_clear_drinks_without_a_limit() -> None:
    """What is drunk before, between and after the sachets counts like the rest."""
    phase = {"id": "clear", "kind": "clear-fluids", "at": "13:30", "day": -1}
    composition = "Sodium picosulfate 10 mg"
    assert kinds(protocol_of(phase, composition=composition)) == ["fluid-uncapped"]
    capped = {**phase, "most_ml": 4000, "most_ml_per_hour": 500}
    assert kinds(protocol_of(capped, composition=composition)) == []
    assert kinds(protocol_of(phase, composition="Macrogol 100 g")) == []


def test_a_litre_and_a_half_in_one_hour() -> None:
    """A sheet in use: 1.5 L of water within the hour."""
    unit = unit_in()
    fast = protocol_of({**DOSE, "glasses": 6, "minutes": 10})
    [finding] = [one for one in sample_findings(samples_of(fast, unit), fast, unit) if "hour" in one.kind]
    assert (finding.kind, "1500 mL" in finding.problem) == ("much-in-an-hour", True)
    assert sample_findings(samples_of(protocol_of(DOSE), unit), protocol_of(DOSE), unit) == []


def test_250_ml_an_hour_for_eight_hours_are_not_four_litres() -> None:
    """A sheet in use asks for both; 8 h at 250 mL are 2 L."""
    row = {
        "id": "w", "kind": "extra-fluid", "source": "s", "glasses": 8, "ml": 250, "minutes": 60, "least_ml": 4000,
        "at": "12:00", "day": -1,
    }  # fmt: skip
    table = {
        "title": "t", "composition": "c", "product": "p", "pieces": 1, "sources": ["s"],
        "slots": {"since": "00:00", "until": "23:59"}, "row": [row],
    }  # fmt: skip
    _, findings = protocol_from(table, "p", "p.toml")
    assert [finding.kind for finding in findings] == ["amount-below-least"]
    assert "2000 mL" in findings[0].problem


def test_a_mixture_older_than_it_keeps() -> None:
    """Mixed at 10:00, keeps 6 h, drunk from 18:00 to 19:00: refused, and the check names the rule."""
    mix = {"id": "mix", "kind": "mix", "at": "10:00", "day": -1, "keeps_hours": 6, "for": ["dose"]}
    protocol = protocol_of(DOSE, mix)
    timetable = plan(protocol, "2026-06-15T14:00+01:00")
    [finding] = timetable.findings
    assert finding.kind == "rules-collide"
    assert "keeps 6 h" in finding.problem
    assert "180 minutes" in finding.remedy  # it would have to keep until 19:00
    unit = unit_in()
    assert {one.kind for one in sample_findings(samples_of(protocol, unit), protocol, unit)} == {
        "slot-does-not-fit"
    }
    kept = plan(protocol_of(DOSE, {**mix, "keeps_hours": 9}), "2026-06-15T14:00+01:00")
    assert kept.findings == ()


def test_a_mixture_that_must_stand_is_mixed_early_enough() -> None:
    mix = {"id": "mix", "kind": "mix", "before": "dose", "hours": 0.25, "wait_minutes": 30}
    timetable = plan(protocol_of(DOSE, mix), "2026-06-15T14:00+01:00")
    [finding] = timetable.findings
    assert "has stood 30 min before “dose”" in finding.problem
    assert "15 minutes" in finding.remedy


def test_a_look_that_comes_too_late_to_do_anything() -> None:
    """Nothing more from 12:00; a look at 11:45 leaves a quarter of an hour where the unit needs half an hour."""
    stop = {"id": "stop", "kind": "stop-drinking", "before": "procedure", "hours": 2}
    look = {"id": "look", "kind": "check", "before": "procedure", "hours": 2.25, "room_minutes": 30}
    unit, late = unit_in(), protocol_of(DOSE, stop, look)
    assert {one.kind for one in sample_findings(samples_of(late, unit), late, unit)} == {"check-too-late"}
    early = protocol_of(DOSE, stop, {**look, "hours": 2.5})
    assert sample_findings(samples_of(early, unit), early, unit) == []


T14 = dt.datetime.fromisoformat("2026-06-15T14:00+01:00")


@pytest.mark.parametrize(
    ("intake", "clock"),
    [("milk", "08:00"), ("light-meal", "08:00"), ("fatty-meal", "06:00"), ("clear", "12:00")],
)
def test_fasting_hours_of_the_asa(intake: str, clock: str) -> None:
    """ASA 2017 (Anesthesiology 2017;126:376-393), reaffirmed 2023; T=14:00."""
    assert f"{ASA.latest(intake, T14):%H:%M}" == clock


def test_tea_with_a_fifth_of_milk() -> None:
    """ESA 2011 (Eur J Anaesthesiol 2011;28:556-569) counts it as clear, 2 h; the ASA does not, 6 h."""
    assert f"{ESA.latest('tea-with-milk', T14):%H:%M}" == "12:00"
    assert f"{ASA.latest('tea-with-milk', T14):%H:%M}" == "08:00"


def test_fasting_guidance_finds_departures_and_makes_no_row() -> None:
    rows = (
        {"id": "meal", "kind": "last-meal", "before": "procedure", "hours": 5},
        {"id": "stop", "kind": "stop-drinking", "before": "procedure", "hours": 1},
    )
    timetable = plan(protocol_of(*rows), "2026-06-15T14:00+01:00")
    found = list(fasting_departures(timetable))
    assert [guidance for guidance, _, _ in found] == ["asa-2023", "asa-2023"]
    assert [("meal" in problem, "stop" in problem) for _, _, problem in found] == [
        (True, False),
        (False, True),
    ]
    assert {step.id for step in timetable.steps} == {"meal", "stop", "leave", "arrive", "procedure"}
    assert [yardstick.id for yardstick in timetable.yardsticks] == ["esge-2019", "usmstf-2025"]


def test_red_jelly_is_no_clear_drink() -> None:
    """Labels of the medicines: nothing red or purple, it can be taken for blood."""
    told = list(
        food_departures([Food("red-drinks", True, True), Food("water", True, True), Food("milk", True, True)])
    )
    assert [(guidance, "red-drinks" in problem) for guidance, _, problem in told] == [
        ("labels", True),
        ("asa-2023", False),
    ]


@pytest.mark.parametrize(
    ("food", "guidance"),
    [
        ("red-jelly", "labels"),
        ("red-juice", "labels"),
        ("blackcurrant-cordial", "labels"),
        ("tea-with-milk", "asa-2023"),
        ("ice-cream", "asa-2023"),
        ("kefir", "asa-2023"),
    ],
)
def test_what_is_red_or_has_milk_in_it_is_no_clear_drink(food: str, guidance: str) -> None:
    """Labels of the medicines, and ASA: milk counts as a light meal."""
    assert food in FOOD_IDS
    assert [found for found, _, _ in food_departures([Food(food, True, True, True)])] == [guidance]
    assert list(food_departures([Food(food, True, False)])) == []


def test_a_diet_of_three_days_departs_from_one_guideline() -> None:
    """USMSTF 2025: limit the change of diet to the day before, at low risk. ESGE 2019: low fibre on the day before."""
    diet = {"id": "diet", "kind": "diet", "diet": "low-fibre", "at": "07:00", "day": -3}
    meal = {"id": "meal", "kind": "last-meal", "at": "12:30", "day": -1}
    long = plan(protocol_of(diet, meal), "2026-06-15T14:00+01:00")
    assert [guidance for guidance, _, _ in guidance_departures(long)] == ["usmstf-2025"]
    ordinary = plan(protocol_of({**diet, "day": -1}, meal), "2026-06-15T14:00+01:00")
    assert list(guidance_departures(ordinary)) == []
    none = plan(protocol_of(meal), "2026-06-15T14:00+01:00")
    assert [guidance for guidance, _, _ in guidance_departures(none)] == ["esge-2019"]


@pytest.mark.parametrize(("clock", "departs"), [("11:30", True), ("13:30", False)])
def test_all_doses_on_the_day_of_a_morning_examination(clock: str, departs: bool) -> None:
    """USMSTF 2025: same-day is an alternative in the afternoon, and inferior in the morning."""
    dose = {**DOSE, "at": "06:00", "day": 0}
    told = list(guidance_departures(plan(protocol_of(dose), f"2026-06-15T{clock}+01:00")))
    assert (told != []) is departs
