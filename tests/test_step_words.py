"""What the steps say to the patient: both hours of a gap, what to do until someone answers, low sugar, last days.

The sentences are our own (common practice, no source, unless a test says more); what is checked is that the right
ones stand at the right step, with the right values, in every language.
"""

from __future__ import annotations

import datetime as dt
import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from generator.clinic.advice import Advice
from generator.clinic.booking import Booking
from generator.clinic.food import Food
from generator.clinic.instruction import instructions_from
from generator.clinic.protocol import Protocol
from generator.clinic.rows import DIETS, KINDS
from generator.materials.shipped import locales_folder
from generator.page.foods import verdicts
from generator.page.plan import Identity, Plan
from generator.page.step_words import title_of
from generator.page.views import PlanView, plan_view
from generator.plan.planning import timetable_for
from generator.plan.suited import Stated
from generator.plan.timetable import Step
from generator.words.speaker import Speaker
from generator.words.wording import wording_from
from tests.command import run
from tests.nouns import plan, protocol_of, unit_in
from tests.plans import built, copy_of_demo_unit

MONDAY = "2026-06-15T10:00+01:00"
DOSE = {"id": "dose", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15, "at": "05:00", "day": 0}
STOP = {"id": "stop", "kind": "stop-drinking", "before": "procedure", "hours": 2}
GAP = {"hours_before": 1, "hours_after": 0.5, "source": "s"}


def page_of(
    protocol: Protocol, tag: str = "en", start: str = MONDAY, stated: Stated | None = None, **more: Any
) -> PlanView:
    """What the template gets for a booking with this protocol, in one language."""
    raw = (locales_folder() / f"{tag}.po").read_bytes()
    wording, findings = wording_from(raw, tag, f"{tag}.po")
    assert wording is not None, findings
    stated, unit = stated or Stated(), unit_in()
    booking = Booking("r", dt.datetime.fromisoformat(start), "p", (tag,), **{"travel_minutes": 0, **more})
    timetable = timetable_for(booking, protocol, unit, None, stated)
    identity = Identity("t" * 26, "417", 1, "123456", dt.datetime(2026, 6, 1, tzinfo=dt.UTC))
    whole = Plan(unit, protocol, Advice(), booking, timetable, identity, (wording,), "", stated.instructions)
    return plan_view(whole, Speaker(wording), "a/")


def text(markup: str) -> str:
    """The words as a person reads them."""
    return re.sub("[\u2066-\u2069]|<[^>]*>", "", unescape(markup))


def said(page: PlanView) -> dict[str, list[str]]:
    """Step id -> its hour, its heading and its sentences."""
    return {
        step.id: [text(step.time), text(step.title), *map(text, step.lines)]
        for day in page.days
        for step in day.steps
    }


GAPS = {
    "en": (
        "From 04:00 until 06:30, swallow none of your own medicines, unless the unit said so.",
        "Those that you are to take: before 04:00, or from 06:30.",
    ),
    "es": (
        "Desde esta hora: 04:00, y hasta esta hora: 06:30, no tome por la boca ninguna de sus otras medicinas, "
        "salvo que la unidad se lo haya indicado.",
        "Las que debe tomar: antes de la primera hora (04:00), o a partir de la segunda (06:30).",
    ),
    "ar": (
        "من 04:00 حتى 06:30، يُمنع بلع أي من أدويتك الأخرى، إلا إذا أوصت الوحدة بذلك.",
        "الأدوية التي عليك تناولها: قبل 04:00، أو ابتداءً من 06:30.",
    ),
}


@pytest.mark.parametrize("tag", [pytest.param(tag, marks=pytest.mark.words_of(tag)) for tag in GAPS])
def test_a_gap_for_own_medicines_says_both_its_hours(tag: str) -> None:
    """A dose from 05:00 to 06:00, an hour before and half an hour after."""
    steps = said(page_of(protocol_of(DOSE, STOP, usual_medicines=GAP), tag))
    assert tuple(steps["usual-medicines-dose"][2:4]) == GAPS[tag]


def test_a_gap_that_would_end_when_nothing_may_be_taken_names_no_hour_to_take_them_from() -> None:
    """The dose ends at 05:30, half an hour must follow, and from 05:30 on nothing may be taken by mouth."""
    dose = {**DOSE, "at": "04:30"}
    steps = said(page_of(protocol_of(dose, STOP, usual_medicines=GAP), start="2026-06-15T07:30+01:00"))
    assert steps["usual-medicines-dose"][2:4] == [
        "From 03:30 on, swallow none of your own medicines, unless the unit said so.",
        "Those that you are to take: before 03:30, or ask the unit.",
    ]


def test_nothing_has_come_yet_says_what_the_table_of_signs_says() -> None:
    """No movement: unit, and nothing more until it answers. Hard belly: emergency number, as in that table."""
    check = {"id": "look", "kind": "check", "check": "movement", "at": "21:00", "day": -1}
    page = page_of(protocol_of(check))
    assert said(page)["look"][1:] == [
        "Has your bowel moved?",
        "Nothing has come yet? Call the unit now.",
        "Until someone answers, take no more of the bowel medicine.",
        "Vomiting? Take no more of the bowel medicine, and call the unit.",
        "Hard, swollen belly, or very bad pain? Stop, and ring the emergency number now: 9.",
    ]
    assert "Very bad belly pain, or a hard, swollen belly" in map(text, page.signs_emergency)
    assert {"You vomit the bowel medicine", "Hours after the first dose, nothing has come out"} <= set(
        map(text, page.signs_unit)
    )


def test_low_sugar_goes_before_nothing_by_mouth_wherever_that_is_said() -> None:
    """Stopping, leaving and arriving repeat the two lines below the table of signs."""
    page = page_of(protocol_of(STOP))
    steps = said(page)
    for step in ("stop", "leave", "arrive"):
        assert steps[step][-4:] == [
            f"{'From now on' if step == 'stop' else 'Still'} take nothing by mouth, not even water.",
            "Low blood sugar? Take glucose or sugar straight away, at any time. Then call.",
            "Too drowsy to swallow? Nothing by mouth. Ring the emergency number now: 9.",
            "Was your blood sugar low? Tell the staff as soon as you arrive.",
        ]


def test_who_may_still_drink_on_the_way_is_not_told_otherwise() -> None:
    """Nothing more from half an hour before, at home again an hour earlier: leaving says nothing of it."""
    late = {**STOP, "hours": 0.5}
    steps = said(page_of(protocol_of(late), travel_minutes=60))
    assert not [line for line in steps["leave"] if "by mouth" in line]


def iron(**more: int) -> Stated:
    """A unit with one instruction: iron off from the seventh day before."""
    told = "Iron: last on {last_day}, none from {first_day_without}." + (" Again: {again}." if more else "")
    table = {
        "id": "i",
        "medicine": "iron",
        "title": "t",
        "text": told,
        "source": "s",
        "first_day_without": -7,
    }
    instructions, findings = instructions_from({"instruction": [{**table, **more}]}, "i.toml")
    assert findings == []
    return Stated(instructions=instructions)


def test_an_instruction_stands_on_the_last_day_and_the_restart_is_short() -> None:
    """Monday 15 June, a week without: the last tablet on Sunday the 7th, again from Tuesday the 16th."""
    page = page_of(protocol_of(STOP), stated=iron(again_day=1), instructions=("i",))
    steps = said(page)
    assert steps["instruction-i"][:3] == [
        "On this day",
        "Last dose of one of your own medicines",
        "Iron: last on Sunday 7 June, none from Monday 8 June. Again: Tuesday 16 June.",
    ]
    assert steps["again-i"] == [
        "From this day",
        "Your own medicines again",
        "From Tuesday 16 June, take this medicine again: iron tablets.",
        "Start again only what the unit told you to.",
    ]
    first, *_ = page.days
    assert first.heading.translate({mark: None for mark in range(0x2066, 0x206A)}) == "Sunday 7 June"


@pytest.mark.parametrize(("now", "past"), [("2026-06-07T20:00", False), ("2026-06-08T00:00", True)])
def test_the_last_day_has_passed_when_it_is_over(now: str, past: bool) -> None:
    """On the evening of the 7th the last tablet can still be taken."""
    booking = Booking(
        "r", dt.datetime.fromisoformat(MONDAY), "p", ("en",), travel_minutes=0, instructions=("i",)
    )
    moment = dt.datetime.fromisoformat(f"{now}+01:00")
    timetable = timetable_for(booking, protocol_of(STOP), unit_in(), moment, iron())
    assert timetable.step("instruction-i").past is past
    assert ("short-notice" in {finding.kind for finding in timetable.findings}) is past


def test_clear_drinks_hold_salt_and_sugar() -> None:
    """Weir et al. 2014: much plain water with picosulfate can lower blood sodium."""
    rows = (
        {"id": "clear", "kind": "clear-fluids", "at": "13:30", "day": -1},
        {
            "id": "more",
            "kind": "extra-fluid",
            "glasses": 5,
            "ml": 250,
            "minutes": 30,
            "at": "19:00",
            "day": -1,
        },
    )
    steps = said(page_of(protocol_of(*rows)))
    for step in ("clear", "more"):
        assert "Take broth, or drinks with salt and sugar, not only water." in steps[step]


def test_an_order_of_the_list_names_the_hour_to_be_there() -> None:
    latest = dt.datetime.fromisoformat("2026-06-15T12:00+01:00")
    arrival = dt.datetime.fromisoformat("2026-06-15T09:15+01:00")
    steps = said(page_of(protocol_of(STOP), latest_start=latest, arrival=arrival))
    assert steps["procedure"][-1] == "It may begin as late as 12:00. Be there at 09:15 all the same."


def test_every_kind_of_step_and_every_diet_has_a_heading() -> None:
    moment = dt.datetime.fromisoformat(MONDAY)
    for kind in set(KINDS) - {"diet", "check"}:
        assert title_of(Step("s", kind, moment, None, None)).english
    for diet in DIETS:
        assert title_of(Step("s", "diet", moment, None, None, diet=diet)).english


def test_a_phase_of_liquids_ends_what_is_solid() -> None:
    """Low in fibre from 07:00, liquids from 12:00, clear from 18:00, nothing more from 08:00 on the day."""
    rows = (
        {"id": "low", "kind": "diet", "diet": "low-fibre", "at": "07:00", "day": -1},
        {"id": "thin", "kind": "diet", "diet": "full-liquids", "at": "12:00", "day": -1},
        {"id": "clear", "kind": "clear-fluids", "at": "18:00", "day": -1},
        STOP,
    )
    foods = (
        Food("water", True, True, True),
        Food("milk", True, False, True),
        Food("egg", True, False),
        Food("nuts-seeds", False, False),
    )

    def told(*kept: dict[str, Any]) -> list[tuple[str, str, str]]:
        found = verdicts(foods, plan(protocol_of(*kept), MONDAY).steps)
        return [(food.id, verdict.english, f"{moment:%d %H:%M}") for food, verdict, moment in found]

    until = "Until {when}: yes. After that: no."
    assert told(*rows) == [
        ("water", "Yes, until {when}.", "15 08:00"),
        ("milk", until, "14 18:00"),
        ("egg", until, "14 12:00"),
        ("nuts-seeds", "No, from {when}.", "14 07:00"),
    ]
    assert told(*rows[1:])[2:] == [
        ("egg", "No, from {when}.", "14 12:00"),
        ("nuts-seeds", "No, from {when}.", "14 12:00"),
    ]
    assert told(*rows[2:]) == []


ROWS = """
[[row]]
id = "told"
kind = "instruction"
at = "00:00"
day = -1
source = "s"

[[row]]
id = "liquids"
kind = "diet"
diet = "full-liquids"
at = "10:00"
day = -1
until = "clear-drinks"
source = "s"

[[row]]
id = "eat"
kind = "diet"
diet = "usual"
after = { row = "procedure", at_least = 1 }
source = "s"
"""
BUILT = {
    "DEMO-101": (
        ("From this day", "What the unit told you to do", "Do what the unit told you for this time."),
        ("Take liquids only, nothing solid", "Take only liquids that the food list on this page allows."),
        ("Eat as usual", "Eat and drink as you usually do."),
    ),
    "DEMO-105": (
        (
            "Desde este día",
            "Lo que le indicó la unidad",
            "Haga lo que la unidad le indicó para este momento.",
        ),
        (
            "Tome solo líquidos, nada sólido",
            "Tome solo los líquidos que permite la lista de comidas de esta página.",
        ),
        ("Coma como de costumbre", "Coma y beba como lo hace normalmente."),
    ),
    "DEMO-103": (
        ("ابتداءً من هذا اليوم", "ما أوصت به الوحدة", "يُرجى فعل ما أوصت به الوحدة لهذا الوقت."),
        (
            "تناول السوائل فقط، بلا طعام صلب",
            "يُرجى الاكتفاء بالسوائل التي تسمح بها قائمة الطعام في هذه الصفحة.",
        ),
        ("تناول الطعام كالمعتاد", "يُرجى تناول الطعام والشراب كالمعتاد."),
    ),
}


@pytest.mark.words_of("es")
@pytest.mark.words_of("ar")
def test_pages_with_an_instruction_of_the_protocol_and_every_diet_are_built(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    files = [f"protocols/{name}.toml" for name in ("peg-ascorbate-split", "picosulfate-split")]
    for file in files:
        with (unit / file).open("a", encoding="utf-8") as protocol:
            protocol.write(ROWS)
    sign = ("--unit", unit, "--role", "lead", "--review-by", "2036-01-05", "--now", "2026-03-10T08:00")
    assert run("protocol", "sign", *files, *sign).exit_code == 0
    plans = built(tmp_path / "out", unit=unit, now="2026-03-10T08:00")
    for ref, expected in BUILT.items():
        page = text((plans.folder(ref) / "index.html").read_text("utf-8"))
        for words in (words for step in expected for words in step):
            assert words in page, (ref, words)


def test_the_phase_of_clear_drinks_says_how_much_is_too_much() -> None:
    """Water intoxication is the danger of an uncapped phase: the row's own caps stand in its step."""
    phase = {"id": "clear", "kind": "clear-fluids", "at": "13:30", "day": -1, "until": "stop"}
    caps = {"most_ml": 4000, "most_ml_per_hour": 500}
    steps = said(page_of(protocol_of({**phase, **caps}, STOP)))
    assert steps["clear"][-2:] == [
        "Take no more than 4000\u00a0mL of them in all.",
        "Never take more than 500\u00a0mL in one hour, all drinks together.",
    ]
    assert len(said(page_of(protocol_of(phase, STOP)))["clear"]) == len(steps["clear"]) - 2
