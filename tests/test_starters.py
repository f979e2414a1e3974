"""The starter protocols: unsigned, without a fault, and no further from published rules than their own remarks say.

Each is planned for every quarter of an hour from 07:30 to 18:00 and four ways, on the weekends of 29 March and 25
October 2026 on which London's clocks go forward and back, and judged by tests/rule_checker.py, which shares no line
with the software.
"""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

import pytest

from generator.clinic.booking import Booking
from generator.clinic.plausible import implausible_findings
from generator.finding import Severity, Verdict
from generator.materials.unit_folder import read_unit_folder
from generator.plan.cases import Cases
from generator.plan.moments import instants_of, minutes_between
from generator.plan.timetable import Timetable
from tests.command import ROOT
from tests.rule_checker import Fixed, broken_rules
from tests.test_protocol_check import announced, checked

STARTER = ROOT / "templates" / "unit"
FOLDER = read_unit_folder(STARTER)
CASES = Cases(FOLDER.unit, FOLDER.regimens, FOLDER.stated)
FILES = {path.stem: path for path in sorted((STARTER / "protocols").glob("*.toml"))}
ROWS = {name: tomllib.loads(path.read_text("utf-8"))["row"] for name, path in FILES.items()}
WEEKEND = [dt.date(2026, 3, day) for day in (28, 29, 30)]
AUTUMN = [dt.date(2026, 10, day) for day in (24, 25, 26)]
WAYS = (0, 30, 60, 90)
# No plan on the day on which the clocks go back. Picosulfate: 18 h before a start after 14:00 is later than 21:00, and
# the first sachet may be taken neither before that nor after 21:00. Sulfate: the second bottle, 12 h after 20:30 at
# most, is then at 07:30 at most, and 5 h before 12:45 is 07:45.
COLLIDING = {
    ("picosulfate-split", AUTUMN[1]): [dt.time(14, 15), dt.time(14, 30), dt.time(14, 45)],
    ("sulfate-split", AUTUMN[1]): [dt.time(12, 45)],
}
UNSOURCED = "common practice, no source"
KNOWN_SOURCES = ("label", "Label", "ESGE", "USMSTF", "ASA", "et al.", UNSOURCED)
UNITS = {
    "fastest_minutes": "min", "wait_minutes": "min", "settle_minutes": "min", "room_minutes": "min",
    "keeps_hours": "h", "most_ml_per_hour": "mL", "least_ml": "mL", "most_ml": "mL", "mix_ml": "mL",
    "packets": "", "tablets": "", "days": "",
}  # fmt: skip
WORDS = {
    "quarter of an hour": 0.25, "half an hour": 0.5, "half a litre": 0.5, "a litre": 1, "each litre": 1,
    "one litre": 1, "an hour": 1, "one": 1, "both": 2, "two": 2, "three": 3,
}  # fmt: skip
ERRANDS = ("collect", "call", "confirm")  # moved to a working day, which the judge does not know
# By composition; figures in millilitres of bowel medicine and of the clear drinks that belong to it.
LABELS = {
    "peg-els-4l-split": (4000, 0),  # UK label: 4 L
    "peg-els-4l-intensified": (4000, 0),
    "peg-els-3l-split": (3000, 0),  # Shi et al., BMC Gastroenterol 2023: twice 1.5 L
    "peg-ascorbate-split": (2000, 1000),  # labels: twice a litre, half a litre after each
    "peg-ascorbate-same-day": (2000, 1000),
    "peg-1l-ascorbate-split": (1000, 1000),  # EU label: twice half a litre, half a litre after each
    "peg-1l-ascorbate-same-day": (1000, 1000),
    "picosulfate-split": (300, 2000),  # labels: 150 mL and five glasses, 150 mL and three
    "picosulfate-evening": (300, 2000),
    "sulfate-split": (1000, 2000),  # EU label: twice half a litre, a litre after each
}


def quarters(step: int = 15) -> list[dt.time]:
    return [dt.time(minute // 60, minute % 60) for minute in range(7 * 60 + 30, 18 * 60 + 1, step)]


def planned(name: str, day: dt.date, at: dt.time, travel: int) -> Timetable:
    start = instants_of(FOLDER.unit.zone, day, at)[0]
    return CASES.timetable(Booking("r", start, name, ("en",), travel_minutes=travel), None)


def faults_of(name: str, timetable: Timetable) -> list[str]:
    """What the judge finds in a timetable, without rows that it does not know: errands, and checks that settle."""
    rows: list[dict[str, Any]] = [
        row for row in ROWS[name] if row["kind"] not in ERRANDS and "settle_minutes" not in row
    ]
    fixed = Fixed(timetable.procedure, timetable.arrival, timetable.leaving, timetable.zone)
    return broken_rules(rows, {row["id"]: timetable.step(row["id"]).start for row in rows}, fixed)


def judged(name: str, days: Iterable[dt.date], times: Iterable[dt.time], ways: Iterable[int]) -> Counter[str]:
    """How many starts were planned and refused; each keeps its rules or says what collides."""
    found: Counter[str] = Counter()
    for day, at, travel in [(day, at, travel) for day in days for at in times for travel in ways]:
        timetable = planned(name, day, at, travel)
        if timetable.verdict is Verdict.REFUSED:
            [worst] = [one for one in timetable.findings if one.severity is Severity.REFUSE]
            inside = FOLDER.regimens[name].slots.hold(at)
            assert worst.kind == ("rules-collide" if inside else "slot-outside"), (day, at, travel)
            assert worst.problem
            assert worst.remedy
            found["collides" if inside else "outside"] += 1
        else:
            assert faults_of(name, timetable) == [], (day, at, travel)
            found["kept"] += 1
    return found


def test_every_starter_is_one_of_a_known_composition() -> None:
    assert set(FILES) == set(LABELS)


@pytest.mark.parametrize("name", FILES)
def test_a_starter_has_no_fault_and_only_the_departures_it_announces(name: str) -> None:
    told = checked(STARTER, f"protocols/{name}.toml")
    departs = {f"{one['yardstick']}: {one['rule']}" for one in told["departures"]}
    assert (told["findings"], departs) == ([], set(announced(FILES[name])))


@pytest.mark.parametrize("name", FILES)
def test_the_amounts_are_those_of_the_label(name: str) -> None:
    rows = FOLDER.regimens[name].rows
    drunk = {
        kind: sum(row.glasses.total_ml for row in rows if row.kind == kind and row.glasses)
        for kind in ("drink", "extra-fluid")
    }
    assert (drunk["drink"], drunk["extra-fluid"]) == LABELS[name]


def test_none_holds_phosphate_or_is_signed() -> None:
    assert not (STARTER / "signoffs.csv").exists()
    for protocol in FOLDER.regimens.values():
        assert list(implausible_findings(protocol)) == []
        assert "phosphate" not in protocol.composition.casefold()


@pytest.mark.parametrize("name", FILES)
def test_every_figure_stands_in_its_source_or_is_said_to_have_none(name: str) -> None:
    untraced = [
        (row["id"], figure, source)
        for row in ROWS[name]
        for figure, source in figures(row)
        if UNSOURCED not in source and not values_of(figure) & numbers_in(source)
    ]
    assert untraced == []
    assert all(any(word in row["source"] for word in KNOWN_SOURCES) for row in ROWS[name])


def figures(row: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every figure of a row with its unit, or an hour of the clock, beside what states it."""
    source = row["source"]
    for end in (row, *row.get("window", ())):
        yield from ((figure, source) for figure in moment(end))
    for window in row.get("windows", ()):
        for end in ("since", "until"):
            yield from ((figure, window.get("source", source)) for figure in moment(window.get(end, {})))
    for rule in (*listed(row.get("after")), *listed(row.get("end_by"))):
        lengths = [f"{rule[key]} h" for key in ("at_least", "at_most") if rule.get(key)]
        yield from ((figure, rule.get("source", source)) for figure in (*lengths, *moment(rule)))
    if "glasses" in row:
        yield f"{row['glasses'] * row['ml']} mL", source
        yield f"{row['minutes']} min", source
    for key, unit in UNITS.items():
        if key in row:
            yield f"{row[key]} {unit}", source


def moment(table: dict[str, Any]) -> list[str]:
    return [
        *([table["at"]] if "at" in table else []),
        *([f"{table['hours']} h"] if table.get("hours") else []),
    ]


def listed(value: Any) -> list[dict[str, Any]]:
    return [value] if isinstance(value, dict) else value or []


def values_of(figure: str) -> set[float]:
    """What a figure may be written as: 15 min or 0.25 h, 500 mL or 0.5 L; an hour of the clock is always in words."""
    value, _, unit = figure.partition(" ")
    if ":" in value:
        return set()
    number = abs(float(value))
    return {number, number * {"h": 60, "min": 1 / 60, "mL": 1 / 1000}.get(unit, 1)}


def numbers_in(source: str) -> set[float]:
    for words, number in WORDS.items():
        source = source.replace(words, f"{number} ")
    return {float(found) for found in re.findall(r"\d+(?:\.\d+)?", source)}


@pytest.mark.parametrize("name", FILES)
def test_who_has_had_no_movement_can_call_and_the_look_leaves_half_an_hour(name: str) -> None:
    """As for the demonstration's protocols: at least 2 h after the first dose began, half an hour before the second."""
    for at in quarters(60):
        for travel in (0, 90):
            if not FOLDER.regimens[name].slots.hold(at):
                continue
            timetable = planned(name, dt.date(2026, 6, 15), at, travel)
            first, second = (step for step in timetable.steps if step.kind == "drink")
            check, look = timetable.step("no-movement"), timetable.step("look")
            assert minutes_between(first.start, check.start) >= 120
            assert minutes_between(check.start, second.start) >= 30
            assert minutes_between(look.start, timetable.step("nothing-more").start) >= 30
            assert look.start <= timetable.leaving


@pytest.mark.parametrize("name", FILES)
def test_each_keeps_its_rules_on_the_days_of_the_clock_changes(name: str) -> None:
    assert judged(name, (WEEKEND[1], AUTUMN[1]), quarters(60), (0, 90)) == expected(
        name, (WEEKEND[1], AUTUMN[1]), quarters(60), (0, 90)
    )


def expected(
    name: str, days: Iterable[dt.date], times: Iterable[dt.time], ways: Iterable[int]
) -> Counter[str]:
    """Every start inside the protocol's band is kept, but for those that cannot be."""
    found: Counter[str] = Counter()
    for day, at, _ in [(day, at, way) for day in days for at in times for way in ways]:
        inside = FOLDER.regimens[name].slots.hold(at)
        collides = at in COLLIDING.get((name, day), ())
        found["collides" if collides else "kept" if inside else "outside"] += 1
    return found


@pytest.mark.long
@pytest.mark.parametrize("weekend", [WEEKEND, AUTUMN], ids=["forward", "back"])
@pytest.mark.parametrize("name", FILES)
def test_each_keeps_its_rules_all_the_weekend_or_says_what_collides(
    name: str, weekend: list[dt.date]
) -> None:
    assert judged(name, weekend, quarters(), WAYS) == expected(name, weekend, quarters(), WAYS)


def test_a_colliding_start_says_what_collides() -> None:
    """Three and a half hours' way: the last two litres would have to end before they may begin."""
    timetable = planned("peg-els-4l-split", WEEKEND[1], dt.time(8), 210)
    [worst] = [one for one in timetable.findings if one.severity is Severity.REFUSE]
    assert worst.kind == "rules-collide"
    assert "“morning-dose” has ended by leaving home" in worst.problem
    assert "ESGE 2019: last dose starts within 5 h" in worst.problem
