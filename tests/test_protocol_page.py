"""The page on protocols: its examples are read and planned, and it names every key there is."""

from __future__ import annotations

import datetime as dt
import re
import tomllib

from generator.clinic.answer import answers_from
from generator.clinic.booking import Booking
from generator.clinic.factor import factors_from
from generator.clinic.instruction import MEDICINE_CLASSES, instructions_from
from generator.clinic.protocol import protocol_from
from generator.clinic.rows import ENGINE_KINDS, KINDS, SEDATIONS
from generator.clinic.symptoms import levels_from
from generator.page.questions import ANSWERABLE
from generator.page.symptoms import SIGN_LEVELS
from generator.plan.planning import timetable_for
from tests.command import ROOT
from tests.nouns import unit_in

PAGE = (ROOT / "templates" / "unit" / "PROTOCOLS.md").read_text("utf-8")
PROTOCOL, FACTORS, INSTRUCTIONS, ANSWERS, SYMPTOMS = (
    tomllib.loads(block) for block in re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
)


def test_the_worked_example_gives_the_times_of_its_table() -> None:
    protocol, findings = protocol_from(PROTOCOL, "example", "example.toml")
    assert findings == []
    start = dt.datetime.fromisoformat("2026-06-16T09:00+01:00")
    booking = Booking("r", start, "example", ("en",), travel_minutes=30)
    timetable = timetable_for(booking, protocol, unit_in(arrival_lead_minutes=30), None)
    told = {step.id: f"{step.start:%A %-d %B, %H:%M}" for step in timetable.steps}
    table = dict(re.findall(r"^\| ([a-z-]+) \| (\w+ \d+ \w+, \d\d:\d\d)", PAGE, re.MULTILINE))
    assert set(table) == {row.id for row in protocol.rows}
    assert {name: told[name] for name in table} == table
    own = timetable.step("usual-medicines-morning-dose")
    assert own.end is not None
    assert f"not between {own.start:%H:%M} and {own.end:%H:%M}" in PAGE
    ends = {step.id: f"{step.end:%H:%M}" for step in timetable.steps if step.kind == "drink" and step.end}
    assert ends == {"evening-dose": "19:00", "morning-dose": "06:00"}


def test_the_examples_of_the_other_files_are_read() -> None:
    _, findings = factors_from(FACTORS, ["peg-ascorbate-split"], "factors.toml")
    assert findings == []
    _, findings = instructions_from(INSTRUCTIONS, "instructions.toml")
    assert findings == []
    _, findings = answers_from(ANSWERS, ANSWERABLE, "answers.toml")
    assert findings == []
    assert levels_from(SYMPTOMS, SIGN_LEVELS, "symptoms.toml") == ({"unit.heart": "emergency"}, [])


def test_every_key_that_is_known_is_explained() -> None:
    """The keys a file may hold are those that its reader asks for, which stand in its complaint about others."""
    rows = [
        {
            "id": kind,
            "kind": kind,
            "source": "s",
            "at": "1:00",
            "no-such-key": 1,
            "glasses": 1,
            "ml": 1,
            "minutes": 1,
        }
        for kind in sorted(set(KINDS) - set(ENGINE_KINDS))
    ]
    _, findings = protocol_from({**PROTOCOL, "row": rows, "no-such-key": 1}, "p", "p.toml")
    known = {
        key
        for finding in findings
        if finding.kind == "key-unknown" and "Known here:" in finding.remedy
        for key in re.findall(r"[a-z_]+", finding.remedy.partition("Known here:")[2])
    }
    assert {
        "at",
        "windows",
        "instead",
        "keeps_hours",
        "room_minutes",
        "usual_medicines",
        "label_pieces",
    } <= known
    explained = {
        key for key in known if re.search(rf"`[^`]*\b{key}\b[^`]*`|^{key} = |\[{key}\]", PAGE, re.MULTILINE)
    }
    assert explained == known


def test_every_kind_and_word_is_explained() -> None:
    for word in (*KINDS, *SEDATIONS, *MEDICINE_CLASSES):
        assert re.search(rf"\b{word}\b", PAGE), word
