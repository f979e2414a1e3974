"""The calendar files, judged by two libraries of other people: Python's icalendar and JavaScript's ical.js."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT, ROOT, run
from tests.lives import HEADING
from tests.plans import Built, built

SCRIPT = ROOT / "tests" / "calendars.mjs"
# Clocks go forward on Sunday 29 March 2026 at 01:00 UTC and back on Sunday 25 October at 01:00 UTC (tz database,
# Europe/London): both lie in the night before these examinations.
CHANGES = HEADING + (
    "DEMO-201,29/03/2026,09:30,09:00,COLON,PEGASC2,ar,20,\nDEMO-202,25/10/2026,09:30,09:00,COLON,PEGASC2,en,20,\n"
)


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The demonstration's plans and two over a change of clocks; of the first, one has moved, one is cancelled."""
    folder = tmp_path_factory.mktemp("calendars")
    changes = folder / "changes.csv"
    changes.write_text(CHANGES)
    plans = built(folder / "data", lists=(DEMO_LIST, changes))
    asked = ("--unit", DEMO_UNIT, "--out", plans.data, "--now", "2026-03-16T09:00", "--role", "clerk")
    moved = run("move", "--ref", "DEMO-103", "--procedure", "2026-03-20T10:15", *asked)
    assert moved.exit_code == 0, moved.output
    assert run("cancel", "--ref", "DEMO-102", *asked).exit_code == 0
    return plans


def files_of(plans: Built) -> list[Path]:
    """Every calendar file that is up."""
    return sorted((plans.data / "public" / "p").glob("*/*.ics"))


def by_python(raw: bytes) -> Any:
    """What the icalendar package reads, in the form of calendars.mjs."""
    calendar = Calendar.from_ical(raw)
    return {"method": str(calendar["METHOD"]), "events": [event_of(one) for one in calendar.walk("VEVENT")]}


def event_of(event: Any) -> dict[str, Any]:
    """An entry as plain values; moments as ISO with Z, as they stand in the file."""
    moments = {
        name: event[key].dt.isoformat().replace("+00:00", "Z")
        for name, key in (("start", "DTSTART"), ("end", "DTEND"), ("stamp", "DTSTAMP"))
    }
    return {
        "uid": str(event["UID"]),
        "sequence": int(event["SEQUENCE"]),
        "summary": str(event["SUMMARY"]),
        "description": str(event["DESCRIPTION"]),
        "status": str(event.get("STATUS", "")),
        "alarms": [
            [str(one["ACTION"]), one["TRIGGER"].dt.total_seconds(), str(one["DESCRIPTION"])]
            for one in event.walk("VALARM")
        ],
        **moments,
    }


def events_of(plans: Built, ref: str, name: str = "plan.ics") -> dict[str, dict[str, Any]]:
    """Step id -> entry of one file."""
    read = by_python((plans.folder(ref) / name).read_bytes())
    return {event["uid"].split("@")[0].split("-", 1)[1]: event for event in read["events"]}


def test_two_libraries_read_the_same(plans: Built) -> None:
    node = shutil.which("node")
    if node is None or not (ROOT / "tests" / "node_modules" / "ical.js").is_dir():
        missing = "Node or ical.js is missing: install Node, then run tests/run."
        if os.environ.get("CI"):
            pytest.fail(missing)
        pytest.skip(missing)
    files = files_of(plans)
    told = subprocess.run([node, SCRIPT, *files], capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    read = json.loads(told.stdout)
    assert read == [by_python(file.read_bytes()) for file in files]
    # Eight bookings in their own languages, of which all but English have an English one beside it.
    assert len(files) == 12
    assert {one["method"] for one in read} == {"PUBLISH"}
    events = [event for one in read for event in one["events"]]
    assert len(events) == 12 * 7


def test_each_file_keeps_the_rules_of_the_format(plans: Built) -> None:
    """RFC 5545, 3.1: lines of at most 75 octets, each ended by CR and LF; folding never cuts a character."""
    for file in files_of(plans):
        raw = file.read_bytes()
        lines = raw.split(b"\r\n")
        assert lines.pop() == b""
        assert max(map(len, lines)) <= 75
        assert b"\n" not in b"".join(lines)
        for line in lines:
            line.decode("utf-8")  # would fail on a character that is cut
        assert not re.search(rb"ATTENDEE|ORGANIZER|TZID|VTIMEZONE|REQUEST", raw)
        # A calendar that reads alarms only from the end of an entry must find them there.
        assert raw.count(b"END:VALARM\r\nEND:VEVENT") == raw.count(b"BEGIN:VALARM")
    assert any(b"\r\n " in file.read_bytes() for file in files_of(plans))


def test_the_hours_are_right_in_the_nights_of_the_clock_changes(plans: Built) -> None:
    """Procedure 09:30: first dose at 18:00 on the clocks of the evening, last dose at 05:30 on those of the morning.

    In March that is 18:00 and, in summer time, 04:30 UTC; in October, from summer time, 17:00 and 05:30 UTC.
    """
    march, october = events_of(plans, "DEMO-201"), events_of(plans, "DEMO-202")
    assert march["evening-dose"]["start"] == "2026-03-28T18:00:00Z"
    assert march["morning-dose"]["start"] == "2026-03-29T04:30:00Z"
    assert october["evening-dose"]["start"] == "2026-10-24T17:00:00Z"
    assert october["morning-dose"]["start"] == "2026-10-25T05:30:00Z"
    # A phone in another zone shows another hour: the text says the unit's, and names both days of a night.
    assert october["morning-dose"]["description"] == (
        "Open your plan. By the unit’s clock: in the night from Saturday to Sunday, 05:30. "
        "Demonstration. Do not follow."
    )


def test_an_entry_names_no_step_and_no_examination_and_bears_the_code(plans: Built) -> None:
    """Calendars are synced, shared, and shown on lock screens."""
    code = re.search(r"Plan code .*?(\d{3})", (plans.folder("DEMO-106") / "index.html").read_text())
    assert code is not None
    events = events_of(plans, "DEMO-106")
    assert {event["summary"] for event in events.values()} == {
        f"Your plan {code[1]}: next step",
        f"Your plan {code[1]}: appointment",
    }
    for event in events.values():
        assert event["alarms"] == [["DISPLAY", 0.0, event["summary"]]]
        assert event["stamp"] == f"{DEMO_NOW}:00Z"
        assert not re.search("bowel|drink|medicine|colon|endosc", str(event), re.IGNORECASE)


def test_a_moved_plan_keeps_its_entries_and_counts_on(plans: Built) -> None:
    """RFC 5545, 3.8.7.4: the same UID with a higher SEQUENCE is the same entry, changed."""
    moved = events_of(plans, "DEMO-103")
    assert {event["sequence"] for event in moved.values()} == {3}
    assert {event["stamp"] for event in moved.values()} == {"2026-03-16T09:00:00Z"}
    # The arrival, half an hour before the procedure, is a day later than in the list.
    assert moved["arrive"]["start"] == "2026-03-20T09:45:00Z"
    english = events_of(plans, "DEMO-103", "en.ics")
    assert [event["uid"] for event in english.values()] == [event["uid"] for event in moved.values()]
    assert plans.token("DEMO-103") not in str(moved)


def test_a_cancelled_plan_takes_its_entries_back(plans: Built) -> None:
    cancelled = events_of(plans, "DEMO-102")
    assert {(event["status"], event["sequence"]) for event in cancelled.values()} == {("CANCELLED", 2)}
    assert not any(event["alarms"] for event in cancelled.values())
