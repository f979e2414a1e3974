"""On the day, honest numbers, afterwards: what stands on pages comes from the unit's signed files alone.

Values 53 to 58 of the clinical background: Reumkens et al. 2016 (harms in 10,000), leaflets (24 hours from
discharge), Paszat et al. 2021 (14 days) and Park et al. 2018 (7 and 30 days); 38.0 °C is 100.4 °F by definition.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

import pytest

from generator.clinic import aftercare, day, figures
from generator.clinic.advice import Advice
from generator.clinic.aftercare import Aftercare, Waits, Watch
from generator.clinic.booking import OtherProcedure
from generator.clinic.figures import Figure, Figures
from generator.clinic.rows import SEDATIONS
from generator.materials.unit_folder import read_unit_folder
from generator.page import after_words, companion_words, day_words, figure_view, symptoms
from generator.page.booklet import booklet_for
from generator.page.figure_view import figures_view
from generator.page.life import Life, source_wording
from generator.page.plan import Plan
from generator.page.views import plan_view
from generator.plan.homeward import examined_at, ready_at, waited
from generator.plan.moments import zone_named
from generator.words.speaker import Speaker
from tests.command import DEMO_UNIT, run, run_json
from tests.notices import Office, office
from tests.plans import copy_of_demo_unit
from tests.test_life import text_of

Part = TypeVar("Part")
LONDON = zone_named("Europe/London")
ADVICE = read_unit_folder(DEMO_UNIT).advice


def stated(part: Part | None) -> Part:
    assert part is not None
    return part


DAY_ADVICE, AFTERCARE = stated(ADVICE.day), stated(ADVICE.aftercare)
LANGUAGES = {"en": "DEMO-101", "es": "DEMO-102", "ar": "DEMO-103"}


@pytest.fixture(scope="module")
def unit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("advice")) as open_office:
        yield open_office


def planned(
    unit: Office,
    arrival: dt.datetime = dt.datetime(2026, 6, 15, 11, 30, tzinfo=LONDON),
    advice: Advice = ADVICE,
    **more: Any,
) -> Plan:
    """The first plan of the demonstration on another day: an examination half an hour after arrival."""
    plan = unit.plans["DEMO-101"]
    values = {"start": arrival + dt.timedelta(minutes=30), "arrival": arrival, **more}
    booking = replace(plan.booking, **values)
    return replace(plan, booking=booking, timetable=unit.desk.cases.timetable(booking, None), advice=advice)


def afterwards(plan: Plan) -> list[str]:
    """Every sentence under “Afterwards”, in English."""
    view = plan_view(plan, Speaker(plan.wordings[0]), "").after
    said = [line for group in view.groups for line in (*group.before, *group.listed, *group.after)]
    return [plain(line) for line in (*said, *view.emergency, *view.unit)]


def on_the_day(plan: Plan) -> list[str]:
    """Every sentence under “On the day”, below its first two, in English."""
    view = plan_view(plan, Speaker(plan.wordings[0]), "").day
    assert view is not None
    return [plain(line) for group in view.groups for line in (*group.before, *group.listed, *group.after)]


def companion(plan: Plan) -> list[str]:
    """The companion's card, in English."""
    view = plan_view(plan, Speaker(plan.wordings[0]), "").day
    assert view is not None
    card = view.companion
    return [plain(line) for line in (*card.before, *card.listed, *card.after)]


def plain(markup: str) -> str:
    return re.sub("[\u2066-\u2069]|<[^>]*>", "", markup).replace("\u00a0", " ")


def section(page: str, name: str) -> str:
    """One section of a document, as a person reads it."""
    found = re.search(rf'<section id="{name}".*?</section>', page, re.DOTALL)
    assert found is not None, name
    return plain(found[0])


# The figures ----------------------------------------------------------------------------------------------------


def lines_of_figure(per_10000: float, tag: str = "en", unit: Office | None = None) -> list[str]:
    wording = source_wording() if unit is None else unit.desk.wordings[tag]
    counted = Figures("Counted.", (Figure("perforation", per_10000, dt.date(2025, 12, 31)),))
    view = figures_view(counted, Speaker(wording))
    assert view is not None
    return [plain(line) for line in view.figures[0].lines]


@pytest.mark.parametrize(
    ("per_10000", "said"),
    [
        (5, ["It happened to 5 of 10,000. It did not happen to the other 9,995.", "That is 1 of 2,000."]),
        (
            26,
            ["It happened to 26 of 10,000. It did not happen to the other 9,974.", "That is about 1 of 385."],
        ),
        (0.29, ["It happened to fewer than 1 of 10,000.", "More exactly: about 3 of 100,000."]),
        # Consent forms of the trade: perforation 0.1 to 0.3 %, bleeding 0.5 to 1 %.
        (10, ["It happened to 10 of 10,000. It did not happen to the other 9,990.", "That is 1 of 1,000."]),
        (
            30,
            ["It happened to 30 of 10,000. It did not happen to the other 9,970.", "That is about 1 of 333."],
        ),
        (50, ["It happened to 50 of 10,000. It did not happen to the other 9,950.", "That is 1 of 200."]),
        (100, ["It happened to 100 of 10,000. It did not happen to the other 9,900.", "That is 1 of 100."]),
        (0.004, ["It happened to fewer than 1 of 10,000.", "More exactly: about 4 of 10,000,000."]),
        (9999, ["It happened to 9,999 of 10,000. It did not happen to the other 1."]),
    ],
)
def test_one_denominator_and_both_sides(per_10000: float, said: list[str]) -> None:
    """Values 53, 54, 55 (Reumkens 2016), and what consent forms state; the rest worked out by hand."""
    assert lines_of_figure(per_10000) == said


def test_numbers_are_grouped_as_each_language_groups_them(unit: Office) -> None:
    """CLDR: a point in Spanish, from five digits on; a comma in Arabic with these digits."""
    assert "5 de 10.000" in lines_of_figure(5, "es", unit)[0]
    assert "5 من كل 10,000" in lines_of_figure(5, "ar", unit)[0]


@pytest.mark.parametrize(
    ("per_10000", "drawn"),
    [
        (5, ['d="M0 0h15v2H0z"']),
        (26, ['d="M0 0h78v2H0z"']),
        (3100, ['d="M0 0h300v62H0z"']),
        (250, ['d="M0 0h300v4H0z"', 'd="M0 4h150v2H0z"']),
        (0.29, []),
    ],
)
def test_as_many_dashes_are_heavy_as_the_number_says(
    unit: Office, per_10000: float, drawn: list[str]
) -> None:
    """A dash is 3 wide and 2 high, 100 in a row: 5 are 15 wide, 3100 are 31 rows."""
    counted = Figures("Counted.", (Figure("bleeding", per_10000, dt.date(2025, 12, 31)),))
    page = page_of(planned(unit, advice=replace(ADVICE, figures=counted)), unit)
    field = re.search(r'<svg class="field".*?</svg>', page, re.DOTALL)
    assert field is not None
    assert re.findall(r'fill="url\(#heavy\)" (d="[^"]*")', field[0]) == drawn
    assert 'viewBox="0 0 300 200"' in field[0]
    assert len(field[0]) < 3000
    assert "style=" not in field[0], "the page's policy forbids it"


def page_of(plan: Plan, unit: Office, name: str = "index.html") -> str:
    """A document of the plan's booklet."""
    return booklet_for(plan, unit.desk.parts).files[name].decode()


def test_the_figures_wait_behind_a_tap_with_their_date_and_who_was_counted(unit: Office) -> None:
    page = page_of(unit.plans["DEMO-101"], unit)
    shown, hidden = re.search(r'<section id="figures".*?</section>', page, re.DOTALL)[0].split("<details>")  # type: ignore[index]
    assert not re.search(r"\d", plain(shown).split("How often", 1)[1])
    assert "It happened to 5 of 10,000." in plain(hidden)
    assert "Counted up to December 2025." in plain(hidden)
    assert "Our own count of everybody examined here from 2023 to 2025." in plain(hidden)


def test_published_figures_stand_beside_the_units_for_the_lead_and_on_no_page(unit: Office) -> None:
    told = run("protocol", "check", "figures.toml", "aftercare.toml", "day.toml", "--unit", DEMO_UNIT)
    assert told.exit_code == 0
    for published in (
        "This file states 5 in 10,000. Published: Reumkens 2016: 5 (4 to 7).",
        "This file states 5 in 10,000. Published: consent forms of the trade: 10 to 30 (0.1 to 0.3 %).",
        "This file states 26 in 10,000. Published: consent forms of the trade: 50 to 100 (0.5 to 1 %).",
        "This file states 0.29 in 10,000. Published: Reumkens 2016: 0.29 (0.11 to 0.55)",
    ):
        assert published in " ".join(told.output.split()), published
    files = run_json("protocol", "check", "figures.toml", "--unit", DEMO_UNIT)["files"]
    assert {finding["severity"] for finding in files[0]["findings"]} == {"note"}
    page = page_of(unit.plans["DEMO-101"], unit)
    assert not re.search("Reumkens|consent forms|Paszat", page)


def test_after_care_shorter_than_usual_is_told_to_the_lead(tmp_path: Path) -> None:
    folder = copy_of_demo_unit(tmp_path)
    change(folder, "aftercare.toml", "propofol = { drive = 24", "propofol = { drive = 12")
    change(folder, "aftercare.toml", "polyp = 14", "polyp = 10")
    change(folder, "aftercare.toml", "fever_celsius = 38.0", "fever_celsius = 38.5")
    [file] = run_json("protocol", "check", "aftercare.toml", "--unit", folder)["files"]
    assert [(finding["severity"], finding["where"]) for finding in file["findings"]] == [
        ("note", "aftercare.toml hours propofol"),
        ("note", "aftercare.toml watch_days polyp"),
        ("note", "aftercare.toml fever_celsius"),
    ]


def change(folder: Path, file: str, old: str, new: str) -> None:
    text = (folder / file).read_text("utf-8")
    assert old in text
    (folder / file).write_text(text.replace(old, new), "utf-8")


# Afterwards -----------------------------------------------------------------------------------------------------


def test_a_day_after_discharge_and_never_before(unit: Office) -> None:
    """Value 56: discharge on 15 June at 15:30, 24 hours: 16 June at 15:30. Four hours' visit from 11:30."""
    said = afterwards(planned(unit, sedation="conscious"))
    assert "For 24 hours after you leave the unit:" in said
    assert (
        "This lasts until at least: Tuesday 16 June, 15:30. Leaving the unit later? Then it lasts longer."
        in said
    )


def test_days_of_watching_end_on_the_day_counted(unit: Office) -> None:
    """Value 57: from 15 June 7 days are 22 June, 14 days 29 June, 30 days 15 July."""
    said = afterwards(planned(unit))
    for line in (
        "After tissue was taken: until Monday 22 June.",
        "After a polyp was taken away: until Monday 29 June.",
        "After a polyp was taken away, with a blood thinner: until Wednesday 15 July.",
        "Not told what was done? Watch until Wednesday 15 July.",
        "No letter by Monday 6 July? Call the unit.",
    ):
        assert line in said, line


@pytest.mark.parametrize(
    ("scale", "said"), [("celsius", "38 °C"), ("fahrenheit", "100.4 °F"), ("both", "38 °C (100.4 °F)")]
)
def test_a_fever_is_the_units_number(unit: Office, scale: str, said: str) -> None:
    """Value 58."""
    advice = replace(ADVICE, aftercare=replace(AFTERCARE, fever_scale=scale))
    assert f"Fever of {said} or more, or you shiver" in afterwards(planned(unit, advice=advice))


DONTS = (
    "Do not drive or ride a bicycle.",
    "Do not drink alcohol.",
    "Do not sign anything important.",
    "Do not stay alone, or care for children alone.",
)
UNTIL_TOLD = "Did you have medicine that makes you sleepy? Until the unit allows it:"
NO_WAIT = "After what is planned there is no waiting time, unless the staff say so."
PLANNED = "The times below hold for what is planned. Given something else? Ask the staff."
LONGEST = "This page does not know what you were given. So it states the longest times."


@pytest.mark.parametrize(
    ("sedation", "begins"),
    [
        ("none", ["No medicine that makes you sleepy: you are awake.", NO_WAIT, UNTIL_TOLD, *DONTS]),
        (
            "gas",
            [
                "A gas that you breathe in when you need it. You stay awake.",
                PLANNED,
                "For 1 hour after you leave the unit:",
                *DONTS[:3],
                "This lasts until at least: Monday 15 June, 16:30. Leaving the unit later? Then it lasts longer.",
                UNTIL_TOLD,
                *DONTS,
            ],
        ),
        *(
            (
                kind,
                [
                    name,
                    PLANNED,
                    "For 24 hours after you leave the unit:",
                    *DONTS,
                    "This lasts until at least: Tuesday 16 June, 15:30. Leaving the unit later? Then it lasts longer.",
                    "Not told",
                ],
            )
            for kind, name in (
                ("conscious", "A medicine into a vein that makes you calm and sleepy."),
                ("propofol", "A medicine into a vein that lets you sleep."),
                ("general", "A general anaesthetic: you sleep deeply."),
            )
        ),
        (None, [LONGEST, "For 24 hours after you leave the unit:", *DONTS]),
    ],
)
def test_each_kind_of_sedation_has_its_own_waits(
    unit: Office, sedation: str | None, begins: list[str]
) -> None:
    """Hours of the demonstration's file: none 0, gas 1 (and alone 0), every other 24; not known: the longest."""
    said = afterwards(planned(unit, sedation=sedation))
    wanted = [line for line in begins if line != "Not told"]
    assert said[: len(wanted)] == wanted
    if "Not told" in begins:
        assert UNTIL_TOLD not in said


def test_every_kind_is_tried_above() -> None:
    assert set(SEDATIONS) == {"none", "gas", "conscious", "propofol", "general"}


def test_a_kind_that_the_file_leaves_out_has_no_number_of_another(unit: Office) -> None:
    waits = {kind: hours for kind, hours in AFTERCARE.waits.items() if kind != "general"}
    advice = replace(ADVICE, aftercare=replace(AFTERCARE, waits=waits))
    said = afterwards(planned(unit, advice=advice, sedation="general"))
    assert said[0] == UNTIL_TOLD
    assert not [line for line in said if "hours" in line]


def test_not_told_is_for_each_line_the_most_careful_answer() -> None:
    waits = {"gas": Waits(1, 30, 0, 0), "propofol": Waits(12, 12, 24, 6)}
    assert replace(AFTERCARE, waits=waits).waits_for(None) == Waits(12, 30, 24, 6)


def test_hours_that_differ_stand_apart_the_longest_first(unit: Office) -> None:
    waits = {"propofol": Waits(12, 12, 24, 6)}
    advice = replace(ADVICE, aftercare=replace(AFTERCARE, waits=waits))
    said = afterwards(planned(unit, advice=advice, sedation="propofol"))
    hours = [line for line in said if line.startswith("For ")]
    assert hours == [
        "For 24 hours after you leave the unit:",
        "For 12 hours after you leave the unit:",
        "For 6 hours after you leave the unit:",
    ]
    assert said[said.index(hours[1]) + 1 :][:2] == list(DONTS[:2])


def test_hours_from_the_last_dose_end_a_day_after_the_examination_at_the_earliest(unit: Office) -> None:
    """From 12:00 at most 30 minutes: 12:30; 24 hours later 12:30."""
    advice = replace(ADVICE, aftercare=replace(AFTERCARE, counted_from="last-dose"))
    said = afterwards(planned(unit, advice=advice, sedation="conscious"))
    assert "For 24 hours after your last dose of that medicine:" in said
    assert (
        "This lasts until at least: Tuesday 16 June, 12:30. Ask when the last sleepy medicine was given."
        in said
    )


def test_without_the_units_usual_lengths_no_moment_is_named(unit: Office) -> None:
    """When somebody goes home is not known then: a moment could be too early."""
    said = afterwards(planned(unit, advice=replace(ADVICE, day=None), sedation="conscious"))
    assert "For 24 hours after you leave the unit:" in said
    assert not [line for line in said if "at least" in line]


@pytest.mark.parametrize(
    ("arrival", "more", "ready"),
    [
        ("2026-06-15T11:30", {}, "15 15:30"),
        ("2026-06-15T11:35", {}, "15 16:00"),  # the later half hour
        ("2026-06-15T11:05", {}, "15 15:30"),
        ("2026-06-15T11:30", {"latest_start": "2026-06-15T14:00"}, "15 17:30"),
        ("2026-06-15T11:30", {"others": "2026-06-15T13:00"}, "15 16:30"),
    ],
)
def test_ready_is_rounded_to_later_and_counts_from_the_latest_start(
    unit: Office, arrival: str, more: dict[str, str], ready: str
) -> None:
    values: dict[str, Any] = {}
    for name, text in more.items():
        moment = dt.datetime.fromisoformat(text).replace(tzinfo=LONDON)
        values[name] = (OtherProcedure("gastroscopy", moment),) if name == "others" else moment
    plan = planned(unit, dt.datetime.fromisoformat(arrival).replace(tzinfo=LONDON))
    booking = replace(plan.booking, **values)
    found = ready_at(plan.timetable, booking, DAY_ADVICE)
    assert f"{found:%d %H:%M}" == ready
    assert examined_at(plan.timetable, booking, DAY_ADVICE) <= found


def test_a_day_is_24_hours_also_when_the_clocks_go_forward() -> None:
    """On 29 March 2026 London's clocks go from 01:00 to 02:00 (Directive 2000/84/EC's rule)."""
    discharge = dt.datetime(2026, 3, 28, 15, 30, tzinfo=LONDON)
    assert f"{waited(discharge, 24):%d %H:%M}" == "29 16:30"


@pytest.mark.parametrize("counted_from", ["discharge", "last-dose"])
@pytest.mark.parametrize("minute", [0, 5, 25, 30, 55])
def test_no_moment_is_ever_too_early(unit: Office, counted_from: str, minute: int) -> None:
    arrival = dt.datetime(2026, 6, 15, 11, minute, tzinfo=LONDON)
    advice = replace(ADVICE, aftercare=replace(AFTERCARE, counted_from=counted_from))
    [line] = [line for line in afterwards(planned(unit, arrival, advice)) if "at least" in line]
    found = re.search(r"Tuesday 16 June, (\d\d):(\d\d)", line)
    assert found is not None
    until = dt.datetime(2026, 6, 16, int(found[1]), int(found[2]), tzinfo=LONDON)
    end = dt.timedelta(hours=4) if counted_from == "discharge" else dt.timedelta(minutes=60)
    assert until - (arrival + end) >= dt.timedelta(hours=24)


# Bleeding: one table --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("call_over", "emergency_over", "call", "emergency"),
    [
        ("spoon", "half-cup", "Blood clots, more than a spoonful, or", "You bleed more than half a cup"),
        ("streaks", "spoon", "Blood clots, more than streaks of blood, or", "You bleed more than a spoonful"),
        ("spoon", "cup", "Blood clots, more than a spoonful, or", "You bleed more than a cup"),
    ],
)  # fmt: skip
def test_bleeding_is_judged_alike_on_the_plan_and_afterwards(
    unit: Office, call_over: str, emergency_over: str, call: str, emergency: str
) -> None:
    """Panel: streaks are watched; clots, more, or again: a call; half a cup, faint, or on a thinner: an emergency."""
    signed = replace(AFTERCARE, call_over=call_over, emergency_over=emergency_over)
    advice = replace(ADVICE, aftercare=signed)
    plan = page_of(planned(unit, advice=advice), unit)
    ended = text_of(unit.booklet(unit.notice(Life.ENDED, advice=advice)))
    for text in (section(plan, "afterwards"), ended):
        ring, _, unit_now = text.partition("Ring the unit now")
        assert emergency in ring
        assert call in unit_now
        for sign in ("You feel faint, or your heart races", "You bleed at all and take a blood thinner"):
            assert text.count(sign) == 1
            assert sign in ring
        assert "Streaks of blood on the paper, if you take no blood thinner" in text
        assert len(re.findall("bleed more than|bleeding again", text)) == 2


# Unsigned -------------------------------------------------------------------------------------------------------


def unsigned(unit: Office, ref: str) -> Plan:
    plan = unit.plans[ref]
    return replace(plan, advice=Advice(foods=plan.advice.foods))


OURS = re.compile(
    r"24|38|14 |half a cup|spoon|cucharad|taza|ملعقة|\bكوب|a day or two|10.000|fever of|Reumkens",
    re.IGNORECASE,
)


@pytest.mark.parametrize("tag", LANGUAGES)
def test_unsigned_pages_state_no_number_of_ours(unit: Office, tag: str) -> None:
    plan = unsigned(unit, LANGUAGES[tag])
    page = page_of(plan, unit)
    assert f'<html lang="{tag}"' in page[:400]
    assert '<section id="figures"' not in page
    assert '<section id="companion"' not in page
    for name in ("day", "afterwards"):
        text = section(page, name).replace("01632 960 999", "").replace("SGLT2", "").split(">", 1)[-1]
        assert not re.search(r"\d", text), (name, text)
        assert not OURS.search(text), (name, OURS.search(text))
    call = section(page, "call")
    assert not re.search("spoon|cucharad|ملعقة", call)
    assert booklet_for(plan, unit.desk.parts).missing == {}


@pytest.mark.parametrize("tag", LANGUAGES)
def test_the_page_of_an_examination_that_is_over_needs_no_file(unit: Office, tag: str) -> None:
    booklet = unit.booklet(unit.notice(Life.ENDED, LANGUAGES[tag]))
    assert booklet.missing == {}
    page = booklet.files["index.html"].decode()
    assert f'<html lang="{tag}"' in page[:400]
    text = section(page, "afterwards")
    assert not re.search(r"\d", text), text
    call = section(page, "call")
    for number in re.findall(r"\b\d{6}\b", call):  # the call number is drawn
        call = call.replace(number, "")
    assert not OURS.search(call.replace("01632 960 145", "").replace("24:00", ""))


def test_unsigned_lines_say_until_the_unit_allows_it_and_to_ask(unit: Office) -> None:
    page = page_of(unsigned(unit, "DEMO-101"), unit)
    after, day = section(page, "afterwards"), section(page, "day")
    for line in (
        UNTIL_TOLD,
        *DONTS,
        "Watch for the signs below. Ask the unit until which day.",
        "You bleed a lot",
        "Blood clots, more than streaks of blood, or bleeding again",
        "Fever, or you shiver",
        "Do you want to fly or travel far? Call the unit first.",
        "Ask how and when the results come.",
    ):
        assert after.count(line) == 1, line
    for line in (
        "Bring your letter, a list of your medicines, and your glasses or hearing aids.",
        "Have an adult ready to take you home and stay with you.",
        "Ask the unit what else to bring, and how long it all takes.",
        "Ask how you may go home.",
    ):
        assert day.count(line) == 1, line


@pytest.mark.parametrize("file", ["day.toml", "figures.toml", "aftercare.toml"])
def test_one_changed_figure_takes_a_file_off_the_pages(tmp_path: Path, file: str) -> None:
    folder = copy_of_demo_unit(tmp_path)
    part = file.removesuffix(".toml")
    today = dt.date(2026, 3, 16)
    assert getattr(read_unit_folder(folder).advice_for(today), part) is not None
    changes = {
        "day.toml": ("visit_hours = 4", "visit_hours = 5"),
        "figures.toml": ("per_10000 = 26", "per_10000 = 2"),
        "aftercare.toml": ("polyp = 14", "polyp = 15"),
    }
    change(folder, file, *changes[file])
    changed = read_unit_folder(folder)
    assert getattr(changed.advice_for(today), part) is None
    assert [finding.where for finding in changed.unsigned_findings(today)] == [file]


def test_the_starter_states_no_figure_and_is_not_signed() -> None:
    starter = read_unit_folder(DEMO_UNIT.parents[1] / "templates" / "unit")
    assert starter.advice.figures is None
    assert starter.signoffs == ()
    advice = starter.advice_for(dt.date(2026, 3, 16))
    assert (advice.day, advice.figures, advice.aftercare) == (None, None, None)


# When it is over ------------------------------------------------------------------------------------------------


def test_over_with_signed_advice_names_the_longest_times_and_the_days(unit: Office) -> None:
    """The examination was on 18 March 2026: 30 days later is 17 April. What was given is not known any more."""
    page = unit.booklet(unit.notice(Life.ENDED, advice=ADVICE)).files["index.html"].decode()
    text = section(page, "afterwards")
    assert "For 24 hours after you leave the unit:" in text
    assert LONGEST in text
    assert "Not told what was done? Watch until Friday 17 April." in text
    assert "No letter by Wednesday 8 April? Call the unit." in text
    assert "at least" not in text


def test_over_without_the_plan_that_was_given_asks_for_the_days(unit: Office) -> None:
    notice = unit.notice(Life.ENDED, advice=ADVICE, replaces=None)
    text = section(unit.booklet(notice).files["index.html"].decode(), "afterwards")
    assert "Watch for the signs below. Ask the unit until which day." in text
    assert "until " not in text.split("How long to watch")[1].split("What is usual")[0].replace(
        "until which", ""
    )


def test_over_in_words_that_nobody_has_reviewed_a_real_unit_says_the_careful_ones(unit: Office) -> None:
    notice = unit.notice(Life.ENDED, advice=ADVICE)
    real = replace(notice, unit=replace(notice.unit, demonstration=False))
    text = section(unit.booklet(real).files["index.html"].decode(), "afterwards")
    assert UNTIL_TOLD in text
    assert not re.search(r"\d", text)


def test_over_where_the_units_own_sentence_is_lost_the_language_stays(unit: Office) -> None:
    """A sentence changed in the file has no translation: the page keeps its language and states no number."""
    advice = replace(ADVICE, aftercare=replace(AFTERCARE, results="Another sentence."))
    booklet = unit.booklet(unit.notice(Life.ENDED, "DEMO-102", advice=advice))
    page = booklet.files["index.html"].decode()
    assert '<html lang="es"' in page[:400]
    assert booklet.missing == {}
    assert not re.search(r"\d", section(page, "afterwards"))
    english = booklet.files["en.html"].decode()
    assert "Another sentence." in section(english, "afterwards")


@pytest.mark.parametrize("what", [Life.HELD, Life.CANCELLED, Life.FAREWELL])
def test_other_pages_in_a_plans_place_say_nothing_of_the_advice(unit: Office, what: Life) -> None:
    # Levels for warning signs alone may be raised.
    with_advice = unit.booklet(unit.notice(what, advice=replace(ADVICE, levels={})))
    assert with_advice.files == unit.booklet(unit.notice(what)).files


def test_a_page_that_comes_down_before_the_watching_ends_is_refused(tmp_path: Path) -> None:
    folder = copy_of_demo_unit(tmp_path)
    change(folder, "unit.toml", "aftercare_days = 30", "aftercare_days = 20")
    told = run("list", "--unit", folder, "--out", tmp_path / "data")
    assert told.exit_code != 0
    findings = getattr(told.exception, "findings", ())
    assert [(finding.kind, finding.where) for finding in findings] == [
        ("aftercare-too-short", "unit.toml aftercare_days")
    ]


def test_the_days_of_watching_stand_in_one_place(unit: Office) -> None:
    """With aftercare.toml the step of the protocol points there; without, it says the protocol's own days."""

    def watch(plan: Plan) -> list[str]:
        view = plan_view(plan, Speaker(plan.wordings[0]), "")
        [step] = [step for day in view.days for step in day.steps if step.id == "watch"]
        return [plain(line) for line in step.lines]

    assert watch(planned(unit)) == ["Watch for the signs under “Afterwards”. It says until which day."]
    without = planned(unit, advice=Advice(foods=ADVICE.foods))
    assert watch(without) == ["For 14 days, watch for the signs under “Afterwards”."]


# On the day -----------------------------------------------------------------------------------------------------


def test_the_day_says_when_what_and_how_long(unit: Office) -> None:
    page = page_of(planned(unit), unit)
    found = re.search(r'<section id="day".*?</section>', page, re.DOTALL)
    assert found is not None
    assert plain(re.search(r'<p class="arrive">.*?(?=<p>)', found[0])[0]) == (  # type: ignore[index]
        "Be at the unit on Monday 15 June at 11:30 (11:30 in the morning)."
    )
    text = plain(found[0])
    for line in (
        "The examination is at about 12:00.",
        "It may begin later than planned. The staff tell you.",
        "The examination usually takes 15 to 30 minutes.",
        "The whole visit takes about 4 hours.",
        "Your hearing aids. Keep them in until the staff tell you.",
        "From the main door take the lift to the second floor, and ring at the glass door.",
        "Most bowel cancers grow from polyps. Taking polyps away can prevent cancer.",
        "This page is not the consent form.",
        "You may say stop at any time.",
    ):
        assert text.count(line) == 1, line


@pytest.mark.parametrize(
    ("sedation", "alone"), [("none", True), ("gas", True), ("conscious", False), (None, False)]
)
def test_only_who_is_known_to_have_nothing_sleepy_may_go_home_alone(
    unit: Office, sedation: str | None, alone: bool
) -> None:
    said = on_the_day(planned(unit, sedation=sedation))
    assert ("You may go home alone if you were given nothing that makes you sleepy." in said) is alone
    assert "An adult must take you home, by car or taxi. No bus or train." in said
    assert "An adult must stay with you, all night too." in said


def test_a_unit_that_lets_nobody_go_alone_says_so_to_nobody(unit: Office) -> None:
    advice = replace(ADVICE, day=replace(DAY_ADVICE, alone_after=()))
    for sedation in (None, *SEDATIONS):
        said = on_the_day(planned(unit, advice=advice, sedation=sedation))
        assert not [line for line in said if "alone" in line]


def test_the_sedation_that_is_planned_or_what_the_unit_has(unit: Office) -> None:
    said = on_the_day(planned(unit, sedation="gas"))
    at = said.index("Planned for you:")
    assert said[at + 1] == "A gas that you breathe in when you need it. You stay awake."
    said = on_the_day(planned(unit))
    assert "Planned for you:" not in said
    assert "A medicine into a vein that makes you calm and sleepy." in said
    assert "A general anaesthetic: you sleep deeply." not in said, "the demonstration's unit has none"


def test_the_companions_card(unit: Office) -> None:
    assert companion(planned(unit, sedation="conscious")) == [
        "Show this part to that person, or send the link to this page.",
        "Be reachable by phone on Monday 15 June from 11:30.",
        "The patient is ready at about: Monday 15 June, 15:30. It may be later.",
        "Come to Marl Bay Health Centre, second floor.",
        "Take the patient home by car or taxi. No bus or train.",
        "Stay with the patient, all night too.",
        "Somebody must be with the patient until at least: Tuesday 16 June, 15:30.",
        "Ask for a written sheet. The patient may forget what the doctor says.",
        "Watch for the signs under “Afterwards”, such as bleeding, bad pain, fever.",
        "Are you unsure? Call the unit, at any number under “When to call”.",
        "An emergency? Ring 01632 960 999.",
        "What is ticked on the other phone is not seen here.",
    ]


def test_the_card_is_one_tap_away_in_each_language_of_the_booklet(unit: Office) -> None:
    booklet = booklet_for(unit.plans["DEMO-103"], unit.desk.parts)
    assert booklet.missing == {}
    arabic, english = (booklet.files[name].decode() for name in ("index.html", "en.html"))
    assert 'href="en.html#companion" lang="en"' in arabic
    assert 'href="./#companion" lang="ar" dir="rtl"' in english
    for page in (arabic, english):
        assert page.count('id="companion"') == 1


def test_a_copy_in_one_file_has_the_card_and_links_to_no_other(unit: Office) -> None:
    copies = booklet_for(unit.plans["DEMO-103"], unit.desk.parts, copies=True).copies
    for page in copies.values():
        text = page.decode()
        assert 'id="companion"' in text
        assert not re.search(r'href="[^"]*#companion', text)


def test_words_of_every_choice_are_there() -> None:
    """A choice that a file may make and that has no words would break a page on the day it is made."""
    assert set(day_words.BRING) == set(day.BRING)
    assert set(day_words.TELL) == set(day.TELL)
    assert set(day_words.HOME) == set(companion_words.HOME) == set(day.HOME)
    assert set(day_words.STAY) == set(companion_words.STAY) == set(day.STAY)
    assert set(day_words.SEDATION) == set(SEDATIONS)
    assert set(figure_view.TITLES) == {*figures.HARMS, *figures.BENEFITS}
    assert set(after_words.MEALS) == set(aftercare.MEALS)
    assert set(after_words.DONTS) == set(aftercare.WAITS)
    for call in aftercare.BLOOD[:2]:
        for emergency in aftercare.BLOOD[1:]:
            told = replace(AFTERCARE, call_over=call, emergency_over=emergency)
            assert len(symptoms.bleeding_signs(told)) == 2


def test_the_demonstration_states_what_is_usual() -> None:
    """Common practice and the studies named at the top; a slip here would be in every demonstration."""
    assert isinstance(AFTERCARE, Aftercare)
    assert AFTERCARE.watch == Watch(7, 14, 30)
    assert AFTERCARE.waits["conscious"] == Waits(24, 24, 24, 24)
    assert (DAY_ADVICE.shortest, DAY_ADVICE.longest, DAY_ADVICE.visit_minutes) == (15, 30, 240)
