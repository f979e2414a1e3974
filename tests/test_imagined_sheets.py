"""Sheets of our own imagination, written from PROTOCOLS.md alone, with rules that no other example has: three sittings,
enemas at home and at the unit, a long rest, one evening, tablets; and what is read or told of near misses.

What each must give follows from the sheet's own sentences, worked out by hand beside it. 30 minutes' way, there 30
minutes early.
"""

from __future__ import annotations

import datetime as dt
import tomllib

import pytest

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol, protocol_from
from generator.desk.shown import messages_of
from generator.finding import Finding, Severity
from generator.materials.shipped import read_shipped
from generator.materials.unit_folder import read_protocol, read_unit_folder
from generator.page.booklet import parts_from
from generator.plan.moments import instants_of
from generator.plan.planning import timetable_for
from generator.plan.timetable import Timetable
from tests.command import EXAMPLES, ROOT

IMAGINED = EXAMPLES / "imagined"
FOLDER = read_unit_folder(ROOT / "templates" / "unit")
DAY = dt.date(2026, 6, 17)

# Sheet -> start, sedation, then row -> when it starts and ends; "-" before an hour: on the day before.
PLANS = {
    # The second litre early, two hours after the first has ended; the third late, at four hours before, on the hour.
    "three-sessions": ("10:00", None, {
        "tea-time-litre": ("-17:00", "-18:00"), "bedtime-litre": ("-20:00", "-21:00"),
        "broth": ("-21:15", "-21:45"), "morning-litre": ("06:00", "07:00"), "dry": ("08:00", None),
    }),
    # Leaving is at 12:00, arriving at 12:30.
    "enemas": ("13:00", None, {
        "four-tablets": ("-20:00", None), "first-enema": ("10:00", "10:15"), "dry": ("11:00", None),
        "second-enema": ("12:45", "12:55"), "eat-again": ("15:00", None),
    }),
    # The second half as late as four hours before leave it, the first an hour and a half and at most an hour earlier.
    "long-pause": ("15:00", None, {
        "first-half": ("07:30", "08:00"), "rest": ("08:00", "09:30"), "second-half": ("10:30", "11:00"),
        "dry": ("11:00", None),
    }),
    "evening-only": ("08:00", None, {
        "mixing": ("-17:30", None), "first-litre": ("-18:00", "-19:00"), "second-litre": ("-20:00", "-21:00"),
        "midnight": ("00:00", None), "up": ("06:00", None),
    }),
    # Water by 09:00, so its hour from 07:00 to 08:00 leaves two before going at 10:00; tablets end an hour before it.
    "twelve-tablets": ("11:00", None, {
        "evening-water": ("-19:30", "-20:30"), "morning-water": ("07:00", "08:00"), "dry": ("09:00", None),
    }),
}  # fmt: skip


def sheet(name: str) -> Protocol:
    signed, findings = read_protocol(IMAGINED / f"{name}.toml", f"{name}.toml")
    assert findings == []
    return signed.protocol


def planned(name: str, at: str, sedation: str | None = None) -> Timetable:
    start = instants_of(FOLDER.unit.zone, DAY, dt.time.fromisoformat(at))[0]
    booking = Booking("r", start, name, ("en",), travel_minutes=30, sedation=sedation)
    return timetable_for(booking, sheet(name), FOLDER.unit, None)


def clock(moment: dt.datetime | None) -> str | None:
    if moment is None:
        return None
    return f"{'-' if moment.date() < DAY else ''}{moment:%H:%M}"


@pytest.mark.parametrize("name", PLANS)
def test_it_is_planned_as_the_sheet_says(name: str) -> None:
    at, sedation, rows = PLANS[name]
    timetable = planned(name, at, sedation)
    steps = {row: timetable.step(row) for row in rows}
    assert {row: (clock(step.start), clock(step.end)) for row, step in steps.items()} == rows


def test_there_is_a_plan_for_every_sheet() -> None:
    assert {path.stem for path in IMAGINED.glob("*.toml")} == set(PLANS)


def test_the_glasses_of_a_litre_are_four_and_the_rest() -> None:
    amounts = planned("three-sessions", "10:00").step("morning-litre").amounts
    assert (amounts["glasses"], amounts["ml"], amounts["last_ml"], amounts["total_ml"]) == (5, 240, 40, 1000)


def test_who_is_not_sedated_may_drink_for_longer() -> None:
    assert clock(planned("long-pause", "15:00", "gas").step("dry").start) == "14:00"
    assert clock(planned("long-pause", "15:00", "propofol").step("dry").start) == "11:00"


def test_the_tablets_keep_their_distance() -> None:
    """Five to eight hours before 11:00, not before 04:30; six hours after the first; an hour before the water."""
    timetable = planned("twelve-tablets", "11:00")
    first, second = timetable.step("evening-tablets"), timetable.step("morning-tablets")
    assert "04:30" <= f"{second.start:%H:%M}" <= "06:00"
    assert second.start - first.start >= dt.timedelta(hours=6)
    assert timetable.step("morning-water").start - second.start >= dt.timedelta(minutes=80)
    early = planned("twelve-tablets", "09:00")  # five hours before is 04:00, and nobody is woken before 04:30
    assert [one.kind for one in early.findings if one.severity is Severity.REFUSE] == ["rules-collide"]


def test_tablets_alone_are_held_against_the_published_hours_of_the_last_dose() -> None:
    """05:40 is 5 h 20 min before 11:00: more than the 5 h of ESGE, inside the 4 to 6 h of the US task force."""
    timetable = planned("twelve-tablets", "11:00")
    assert clock(timetable.step("morning-tablets").start) == "05:40"
    assert {one.id: one.met for one in timetable.yardsticks} == {"esge-2019": False, "usmstf-2025": True}
    assert {one.met for one in planned("enemas", "13:00").yardsticks} == {None}


@pytest.mark.parametrize("name", PLANS)
def test_its_pages_can_be_made(name: str) -> None:
    shipped = read_shipped()
    parts = parts_from(shipped.templates, shipped.style, shipped.assets, shipped.drawn, shipped.worker)
    shown = {message.id for message in messages_of(FOLDER, sheet(name), parts)}
    assert "A.step.enema" in shown if name == "enemas" else "A.step.stop" in shown


HEAD = """title = "T"
composition = "Macrogol (PEG) 3350 60 g, per litre"
product = "P"
pieces = 2
slots = { since = "07:30", until = "18:30" }
sources = ["s"]
[[row]]
id = "dose"
kind = "drink"
glasses = 4
ml = 250
minutes = 15
source = "s"
"""
WINDOW = 'window = [{ at = "18:00", day = -1 }, { at = "19:00", day = -1 }]'


def told(written: str, instead: str) -> list[Finding]:
    text = f"{HEAD}{WINDOW}\n"
    assert text.count(written) >= 1
    return protocol_from(tomllib.loads(text.replace(written, instead, 1)), "p", "p.toml")[1]


@pytest.mark.parametrize(
    ("written", "instead"),
    [
        ('at = "18:00"', 'at = "9:00"'),
        ('at = "18:00"', "at = 18:00:00"),
        ("glasses = 4", "glasses = 4.0"),
        ("glasses = 4", "total_ml = 1000"),
        ("ml = 250", "ml = 250.0"),
        (WINDOW, 'before = "procedure"\nhours = 5.0'),
        (WINDOW, 'windows = [{ since = { before = "arrival", hours = 4.5 } }]'),
    ],
)
def test_what_is_plain_is_read(written: str, instead: str) -> None:
    assert told(written, instead) == []


@pytest.mark.parametrize(
    ("written", "instead", "kinds", "remedy"),
    [
        ("minutes = 15", "pace = 15", ["key-missing", "key-unknown"], "Did you mean “minutes”?"),
        ("glasses = 4", "volume_ml = 1000", ["key-missing", "key-unknown"], "Did you mean “total_ml”?"),
        ("glasses = 4", "glass = 4", ["key-missing", "key-unknown"], "Did you mean “glasses”?"),
        ("ml = 250", 'ml = "250 mL"', ["value-invalid"], "without quotes"),
        ("day = -1", 'day = "-1"', ["value-invalid"], "without quotes"),
        ('kind = "drink"', 'kind = "laxative"', ["value-invalid"], "Did you mean “drink”?"),
        ('kind = "drink"', 'kind = "stop"', ["value-invalid"], "Did you mean “stop-drinking”?"),
        ('id = "dose"', 'id = "Evening dose"', ["value-invalid"], "Such as evening-dose."),
        ('source = "s"\n', 'source = ["a", "b"]\n', ["value-invalid"], "one text in quotes"),
        (WINDOW, 'before = "exam"\nhours = 5', ["row-unknown"], "Did you mean “procedure”?"),
        (WINDOW, 'window = ["18:00", "19:00"]', ["value-invalid"], 'Write [{ at = "18:00", day = -1 }'),
        (WINDOW, 'after = "first"', ["value-invalid"], "a table, { … }"),
        (WINDOW, 'after = { row = "dose", at_least = 1 }', ["row-unknown"], "Name one of: arrival"),
        (WINDOW, 'at = "18:00"\nday = -1\nbefore = "procedure"\nhours = 4', ["row-time"], "Keep one of them."),
        (WINDOW, "", ["row-time"], "Give it “at” with “day”"),
        ('at = "19:00"', 'at = "17:00"', ["window-reversed"], "State the earlier moment first"),
        (WINDOW, 'window = [{ before = "procedure", hours = 4 }, { before = "procedure", hours = 6 }]',
         ["window-reversed"], "State the earlier moment first"),
        ('slots = { since = "07:30", until = "18:30" }\n', "", ["key-missing"], "Add slots = { … }."),
        ("[[row]]", "[[rows]]", ["key-unknown", "key-missing"], "Did you mean “row”?"),
        ("[[row]]", "[row]", ["value-invalid", "key-missing"], "[[row]]"),
    ],
)  # fmt: skip
def test_a_near_miss_has_its_own_fault_and_no_other(
    written: str, instead: str, kinds: list[str], remedy: str
) -> None:
    found = told(written, instead)
    assert [one.kind for one in found] == kinds
    assert any(remedy in one.remedy for one in found), [one.remedy for one in found]


def test_a_slot_band_in_other_words_leads_to_ours() -> None:
    found = told('since = "07:30", until = "18:30"', 'from = "07:30", to = "18:30"')
    assert [one.remedy for one in found if one.kind == "key-unknown"] == [
        "Did you mean “since”?",
        "Did you mean “until”?",
    ]
    assert "value-invalid" not in {one.kind for one in found}
