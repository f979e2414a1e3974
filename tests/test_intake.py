"""What each row of a booking list means. The literals for whole lists are readings worked out by hand."""

from __future__ import annotations

import datetime as dt
import json
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.clinic.protocol import Protocol, Slots, protocol_from
from generator.clinic.unit import Unit, unit_from
from generator.finding import Severity
from generator.intake import Reading, RowReading, read_list
from generator.plan.moments import instants_of

EXAMPLES = Path(__file__).parent / "examples"
UK = "02_uk_cp1252_ddmm.csv"
HEADINGS = (
    "Appt Ref",
    "Hosp No",
    "Surname",
    "Forename",
    "Appt Date",
    "Appt Time",
    "Adm Time",
    "Procedure",
    "Prep Code",
    "Lang",
    "Transport",
    "Comments",
)
# A booking without a fault, two weeks ahead; each test changes what it is about.
GOOD = {
    "Appt Ref": "EN-1",
    "Hosp No": "0099",
    "Surname": "Zyxwick",
    "Forename": "Quillon",
    "Appt Date": "25/03/2026",
    "Appt Time": "09:30",
    "Adm Time": "09:00",
    "Procedure": "COLON",
    "Prep Code": "PEGASC2",
    "Lang": "en",
    "Transport": "45",
    "Comments": "",
}
BANDS = {
    "asc-split": Slots(dt.time(7), dt.time(12, 30)),
    "asc-sameday": Slots(dt.time(12, 30), dt.time(18)),
    "pico-split": Slots(dt.time(7), dt.time(18)),
    "peg-split": Slots(dt.time(7), dt.time(18)),
}


def parsed(*path: str) -> dict[str, Any]:
    return tomllib.loads(EXAMPLES.joinpath(*path).read_text("utf-8"))


def a_unit(folder: str = "list-only") -> Unit:
    unit, findings = unit_from(parsed("units", folder, "unit.toml"), "unit.toml")
    assert findings == []
    return unit


def a_protocol(name: str) -> Protocol:
    protocol, findings = protocol_from(parsed("protocols", "small.toml"), name, "small.toml")
    assert findings == []
    return replace(protocol, slots=BANDS[name])


UNIT = a_unit()
PROTOCOLS = {name: a_protocol(name) for name in BANDS}


def read(raw: bytes | str, unit: Unit = UNIT, file: str = "list.csv") -> Reading:
    now = instants_of(unit.zone, dt.date(2026, 3, 16), dt.time(8))[0]
    return read_list(raw.encode() if isinstance(raw, str) else raw, file, unit, PROTOCOLS, now)


def example(file: str, folder: str = "list-only") -> Reading:
    return read((EXAMPLES / "lists" / file).read_bytes(), a_unit(folder), file)


def lines(*rows: dict[str, str], delimiter: str = ",") -> str:
    cells = [HEADINGS, *(tuple({**GOOD, **row}.values()) for row in rows)]
    return "".join(delimiter.join(row) + "\r\n" for row in cells)


def row_in(unit: Unit, **cells: str) -> RowReading:
    """The reading of the good booking with some cells changed; `Appt_Date` stands for “Appt Date”."""
    [reading] = read(lines({name.replace("_", " "): text for name, text in cells.items()}), unit).rows
    return reading


def row(**cells: str) -> RowReading:
    return row_in(UNIT, **cells)


def iso(reading: RowReading) -> str | None:
    return reading.start.isoformat(timespec="minutes") if reading.start else None


def kinds(reading: RowReading) -> list[str]:
    return [finding.kind for finding in reading.findings]


def declared(**changes: Any) -> Unit:
    """The unit with another [list]."""
    return replace(UNIT, listing=replace(UNIT.listing, **changes))


def test_a_british_list_is_read_as_worked_out_by_hand() -> None:
    reading = example(UK)
    assert [(row.row, row.ref, row.verdict, iso(row), kinds(row)) for row in reading.rows] == [
        ("2", "EN-20881", "accept", "2026-03-25T09:30+00:00", []),
        (
            "3",
            "EN-20882",
            "warn",
            "2026-04-04T09:15+01:00",
            [
                "time-normalised",
                "time-normalised",
                "weekend",
                "holiday-in-plan",
                "needs-unit-instruction:anticoagulant",
            ],
        ),
        (
            "4",
            "EN-20883",
            "reject",
            None,
            ["date-invalid", "date-order-contradiction", "language-not-offered"],
        ),
        (
            "5",
            "EN-20884",
            "warn",
            "2026-04-05T09:15+01:00",
            ["time-normalised", "time-normalised", "weekend", "combined-procedure"],
        ),
        (
            "6",
            "EN-20885",
            "reject",
            None,
            [
                "time-outside-hours",
                "weekend",
                "time-nonexistent",
                "time-nonexistent",
                "protocol-undecided",
                "language-not-offered",
            ],
        ),
        ("7", "EN-20886", "warn", "2026-03-17T08:30+00:00", ["short-notice", "needs-unit-instruction:iron"]),
        ("8", "EN-20887", "reject", None, ["past", "language-not-offered"]),
        ("9", "EN-20888", "warn", "2026-03-26T14:00+00:00", ["field-overflow"]),
        ("10", "EN-20889", "reject", None, ["arrival-after-procedure"]),
        ("11", "EN-20890", "reject", None, ["date-invalid", "language-not-offered", "text-damaged"]),
    ]
    assert reading.counts == {"accept": 1, "warn": 4, "reject": 5, "skip": 0, "withdraw": 0}
    assert (reading.blank, reading.totals) == (2, 1)
    second = reading.rows[1].as_json()
    assert (second["arrival"], second["travel_minutes"]) == ("2026-04-04T08:45+01:00", 90)
    assert [row.protocol for row in reading.rows if row.booking] == [
        "asc-split",
        "asc-split",
        "asc-split",
        "pico-split",
        "asc-sameday",
    ]


def test_a_german_list_is_read_as_worked_out_by_hand() -> None:
    reading = example("01_semicolon_bom_de.csv", "list-german")
    assert [(row.row, row.verdict, iso(row), row.travel_minutes) for row in reading.rows] == [
        ("2", "accept", "2026-03-25T08:00+01:00", 30),
        ("3", "accept", "2026-03-25T09:30+01:00", 90),
        ("4", "warn", "2026-03-29T08:00+02:00", 15),
        ("6", "reject", None, 30),
        ("7", "reject", None, 60),
        ("8", "accept", "2026-04-02T13:15+02:00", 45),
        ("9", "skip", None, None),
        ("10", "reject", None, 120),
        ("11", "warn", "2026-04-07T07:30+02:00", 90),
    ]
    assert reading.blank == 4
    assert kinds(reading.rows[2]) == ["weekend", "clock-change-in-plan"]
    assert [kinds(reading.rows[index])[0] for index in (3, 4, 6, 7)] == [
        "date-invalid",
        "time-band-only",
        "procedure-not-colonoscopy",
        "time-invalid",
    ]


def test_the_promised_json_of_a_file_and_a_row() -> None:
    told = read(lines({"Lang": "EN/es"})).as_json()
    assert told == {
        "file": "list.csv",
        "refused": None,
        "counts": {"accept": 1, "warn": 0, "reject": 0, "skip": 0, "withdraw": 0},
        "ignored": {"blank": 0, "total": 0, "heading": 0},
        "rows": [
            {
                "row": "2",
                "ref": "EN-1",
                "verdict": "accept",
                "start": "2026-03-25T09:30+00:00",
                "arrival": "2026-03-25T09:00+00:00",
                "protocol": "asc-split",
                "languages": ["en", "es"],
                "travel_minutes": 45,
                "findings": [],
            }
        ],
    }


DATES = [  # text, the day it means, kinds; the unit is day-first and reads on 16 March 2026
    ("25/03/2026", "2026-03-25", []),
    ("25.03.2026", "2026-03-25", []),
    ("25-3-2026", "2026-03-25", []),
    ("2026-03-25", "2026-03-25", []),
    ("2026/03/25", "2026-03-25", []),
    ("25. 3. 2026", "2026-03-25", []),
    ("\u200e25/03/2026", "2026-03-25", []),
    ("25.03.26", "2026-03-25", ["two-digit-year"]),
    ("20260325", "2026-03-25", ["date-compact"]),
    ("05/04/2027", "2027-04-05", []),
    ("", None, ["date-missing"]),
    ("-", None, ["date-missing"]),
    ("=TODAY()+9", None, ["formula-text"]),
    ("46106", None, ["date-invalid"]),
    ("46106.39", None, ["date-invalid"]),
    ("########", None, ["date-invalid"]),
    ("25032026", None, ["date-invalid"]),
    ("25/03", None, ["date-invalid"]),
    ("25/03-2026", None, ["date-invalid"]),
    ("next Tuesday", None, ["date-invalid"]),
    ("31/04/2026", None, ["date-invalid"]),
    ("29/02/2027", None, ["date-invalid"]),
    ("2026-25-03", None, ["date-invalid"]),
    ("00/00/0000", None, ["date-invalid"]),
    ("04/28/2026", None, ["date-invalid", "date-order-contradiction"]),
    ("٢٥/٠٣/٢٠٢٦", None, ["date-invalid"]),
    ("13/03/2026", None, ["past"]),
    ("01/01/1900", None, ["past"]),
]


@pytest.mark.parametrize(("text", "day", "told"), DATES)
def test_a_date_is_read_in_the_units_order_or_refused(text: str, day: str | None, told: list[str]) -> None:
    reading = row(Appt_Date=text)
    assert (reading.start.date().isoformat() if reading.start else None, kinds(reading)) == (day, told)


TIMES = [  # text, wall time, kinds
    ("09:30", "09:30", []),
    ("9:30", "09:30", ["time-normalised"]),
    ("0915", "09:15", ["time-normalised"]),
    ("930", "09:30", ["time-normalised"]),
    ("9:15am", "09:15", ["time-normalised"]),
    ("9.30", "09:30", ["time-normalised"]),
    ("9.30 Uhr", "09:30", ["time-normalised"]),
    ("2 pm", "14:00", ["time-normalised"]),
    ("12.15 p.m.", "12:15", ["time-normalised"]),
    ("9h30", "09:30", ["time-normalised"]),
    ("9 Uhr", "09:00", ["time-normalised"]),
    ("09:30:00", "09:30", ["time-normalised"]),
    ("09:30:40", "09:30", ["rounded-to-minute"]),
    ("", None, ["time-missing"]),
    ("–", None, ["time-missing"]),
    ("TBD", None, ["time-band-only"]),
    ("vorm.", None, ["time-band-only"]),
    ("pm", None, ["time-band-only"]),
    ("after 2", None, ["time-band-only"]),
    ("09:00-10:00", None, ["time-band-only"]),
    ("24:00", None, ["time-invalid"]),
    ("25:10", None, ["time-invalid"]),
    ("09:60", None, ["time-invalid"]),
    ("13:30am", None, ["time-invalid"]),
    ("9", None, ["time-invalid"]),
    ("0.3958", None, ["time-invalid"]),
    ("09:30Z", None, ["time-invalid"]),
    ("#####", None, ["time-invalid"]),
    ("=B2", None, ["formula-text"]),
    ("06:59", None, ["time-outside-hours", "protocol-undecided"]),
    ("9:15pm", None, ["time-normalised", "time-outside-hours", "protocol-undecided"]),
]


@pytest.mark.parametrize(("text", "at", "told"), TIMES)
def test_a_time_is_a_time_or_refused(text: str, at: str | None, told: list[str]) -> None:
    reading = row(Appt_Time=text, Adm_Time="")
    assert (f"{reading.start:%H:%M}" if reading.start else None, kinds(reading)) == (at, told)


def test_times_that_the_clocks_skip_or_show_twice_are_refused_with_the_readings() -> None:
    always = declared(since=dt.time(0), weekdays=frozenset(range(7)))
    skipped, twice = (
        row_in(always, Appt_Date=day, Appt_Time="01:30", Adm_Time="", Prep_Code="PICOMG")
        for day in ("29/03/2026", "25/10/2026")
    )
    assert (skipped.verdict, kinds(skipped)[0]) == ("reject", "time-nonexistent")
    assert skipped.findings[0].remedy.startswith("Is 13:30 meant?")
    assert "2026-03-29T00:30+00:00 or 2026-03-29T02:30+01:00" in skipped.findings[0].problem
    assert (twice.verdict, kinds(twice)[0]) == ("reject", "time-ambiguous")
    assert "2026-10-25T01:30+01:00 or 2026-10-25T01:30+00:00" in twice.findings[0].problem


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ({"Adm_Time": "09:31"}, ["arrival-after-procedure"]),
        ({"Adm_Time": "09:30"}, []),
        ({"Adm_Time": ""}, []),
        ({"Adm_Time": "am"}, ["time-band-only"]),
        ({"Adm_Time": "24:00"}, ["time-invalid"]),
        ({"Appt_Date": "28/03/2026"}, ["weekend"]),
        ({"Appt_Date": "03/04/2026"}, ["closed-day"]),
        ({"Appt_Date": "07/04/2026"}, ["holiday-in-plan"]),
        ({"Appt_Date": "02/04/2026"}, []),
        ({"Appt_Date": "29/03/2026"}, ["weekend", "clock-change-in-plan"]),
        ({"Appt_Date": "30/03/2026"}, []),
        ({"Appt_Date": "16/03/2026", "Appt_Time": "07:59", "Adm_Time": ""}, ["past"]),
        ({"Appt_Date": "16/03/2026", "Adm_Time": ""}, ["short-notice"]),
        ({"Appt_Date": "17/03/2026"}, ["short-notice"]),
        ({"Appt_Date": "18/03/2026"}, []),
        ({"Prep_Code": ""}, ["regimen-missing"]),
        ({"Prep_Code": "PEGASC3"}, ["regimen-unknown"]),
        ({"Prep_Code": " pegasc2 "}, []),
        ({"Lang": "cy"}, ["language-not-offered"]),
        ({"Lang": ""}, []),
        ({"Procedure": ""}, ["procedure-missing"]),
        ({"Procedure": "OGD + colon"}, ["combined-procedure"]),
        ({"Procedure": "OGD and Colonoscopy"}, ["combined-procedure"]),
        ({"Procedure": "COLON – screening"}, []),
        ({"Procedure": "OGD"}, ["procedure-not-colonoscopy"]),
        ({"Procedure": "C?LON/COLON"}, ["combined-procedure", "text-damaged"]),
        ({"Lang": "Spanish"}, ["language-unclear"]),
        ({"Lang": "es / ?"}, ["language-unclear"]),
        ({"Appt_Ref": ""}, ["ref-missing"]),
        ({"Appt_Ref": "../EN-1"}, ["ref-invalid"]),
        ({"Appt_Ref": "EN\\1"}, ["ref-invalid"]),
        ({"Appt_Ref": "EN\x071"}, ["ref-invalid"]),
        ({"Appt_Ref": '"EN\n1"'}, ["ref-invalid"]),
        ({"Appt_Ref": "=A1"}, ["formula-text"]),
        ({"Surname": "Zieli?ski"}, ["text-damaged"]),
        ({"Forename": "\ufffdva"}, ["text-damaged"]),
        ({"Surname": "?elik"}, ["text-damaged"]),
        ({"Comments": "b\ufffdse"}, ["text-damaged"]),
        ({"Comments": "WARFARIN 5mg"}, ["needs-unit-instruction:anticoagulant"]),
        ({"Comments": "DIABETE; Iron?"}, ["needs-unit-instruction:iron", "needs-unit-instruction:diabetes"]),
        ({"Comments": "environment"}, []),
        ({"Comments": '"on\niron"'}, ["needs-unit-instruction:iron"]),
    ],
)
def test_every_rule_has_its_kind(cells: dict[str, str], told: list[str]) -> None:
    assert kinds(row(**cells)) == told


def test_findings_that_need_a_decision() -> None:
    decided = [row(Appt_Date="17/03/2026"), row(Appt_Date="03/04/2026"), row(Comments="stoma")]
    undecided = [row(Appt_Date="28/03/2026"), row(Appt_Date="07/04/2026"), row(Comments="fine, thanks")]
    assert [[finding.decision for finding in reading.findings] for reading in decided] == [[True]] * 3
    assert [[finding.decision for finding in reading.findings] for reading in undecided] == [[False]] * 3
    assert {reading.verdict for reading in decided + undecided} == {"warn"}


def test_all_findings_of_a_row_are_told_at_once() -> None:
    worst = row(
        Appt_Ref="", Appt_Date="31/04/2026", Appt_Time="TBD", Prep_Code="?", Transport="soon", Comments="iron"
    )
    assert kinds(worst) == [
        "ref-missing",
        "date-invalid",
        "time-band-only",
        "regimen-unknown",
        "travel-unclear",
        "needs-unit-instruction:iron",
    ]
    assert (worst.verdict, worst.start, worst.booking) == ("reject", None, None)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("90 min drive", 90),
        ('"1,5 h"', 90),
        ("1.1 hours", 66),
        ("45", 45),
        ("1h30", 90),
        ("1 hr 15 mins by bus", 75),
        ("", None),
        ("-", None),
    ],
)
def test_travel_is_read_in_minutes(text: str, minutes: int | None) -> None:
    assert (row(Transport=text).travel_minutes, kinds(row(Transport=text))) == (minutes, [])


@pytest.mark.parametrize(
    "text",
    [
        "taxi",
        "2",
        "bus 45",
        "45-60 min",
        "pick-up 08:15",
        "0",
        "99999 min",
        '"0,5"',
    ],
)
def test_travel_that_is_not_understood_is_told_and_not_used(text: str) -> None:
    assert (row(Transport=text).travel_minutes, kinds(row(Transport=text))) == (None, ["travel-unclear"])


@pytest.mark.parametrize(
    ("text", "tags"),
    [
        ("EN", ("en",)),
        ("es+en", ("es", "en")),
        ("en; en", ("en",)),
        ("", ("en",)),
        ("pt_BR", ("pt-br",)),
    ],
)
def test_languages_are_tags_the_patients_first(text: str, tags: tuple[str, ...]) -> None:
    assert row(Lang=text).languages == tags


def test_a_code_is_decided_by_the_start_and_by_nothing_else() -> None:
    assert (row(Appt_Time="12:29").protocol, row(Appt_Time="12:30").protocol) == ("asc-split", "asc-sameday")
    several, gone = (
        declared(codes={"PEGASC2": tuple(ids.split())}) for ids in ("asc-split pico-split", "gone")
    )
    assert kinds(row_in(several)) == ["protocol-undecided"]
    problem = row_in(several).findings[0].problem
    assert all(part in problem for part in ("09:30", "PEGASC2", "asc-split from 07:00 to before 12:30"))
    assert kinds(row_in(gone)) == ["regimen-unknown"]
    assert "Is “PEGASC2” meant?" in row(Prep_Code="PEGASC").findings[0].remedy


def test_a_list_without_a_date_order_and_without_proof_is_refused_once() -> None:
    listing = {"ref": "booking", "date": "date", "time": "time", "protocol": "prep", "language": "lang"}
    unit = declared(date_order=None, columns=listing, names=("initials",))
    reading = read((EXAMPLES / "lists" / "04_all_ambiguous_dates.csv").read_bytes(), unit)
    assert reading.refused is not None and reading.rows == ()
    assert (reading.refused.kind, reading.refused.severity) == ("date-order-undecidable", Severity.REFUSE)
    assert all(
        part in reading.refused.problem
        for part in (
            "6 rows, lines 2, 3, 4, 5, 6, 7",
            "“04/05/2026” in line 2",
            "2026-05-04 (day-first) or 2026-04-05 (month-first)",
        )
    )
    codes = {
        code: tuple([name])
        for code, name in (("peg2asc", "peg-split"), ("peg4", "peg-split"), ("picomg", "pico-split"))
    }
    for order, days in (
        ("day-first", "0504 0605 0406 0507 0508 0611"),
        ("month-first", "0405 0506 0604 0705 0805 1106"),
    ):
        known = replace(unit, listing=replace(unit.listing, date_order=order, codes=codes))
        again = read((EXAMPLES / "lists" / "04_all_ambiguous_dates.csv").read_bytes(), known)
        assert " ".join(f"{row.start:%m%d}" for row in again.rows if row.start) == days


def test_one_date_proves_the_order_and_two_that_differ_refuse_the_file() -> None:
    unit = declared(date_order=None)
    proved = read(lines({"Appt Ref": "1", "Appt Date": "04/05/2026"}, {"Appt Ref": "2"}), unit)
    assert [iso(row) for row in proved.rows] == ["2026-05-04T09:30+01:00", "2026-03-25T09:30+00:00"]
    differing = read(lines(*[{"Appt Date": "25/03/2026"}] * 9, {"Appt Date": "03/28/2026"}), unit)
    assert differing.refused is not None and differing.refused.kind == "date-order-undecidable"
    assert kinds(row_in(unit, Appt_Date="2026-05-04")) == []
    assert kinds(row_in(unit, Appt_Date="05/05/2026")) == []
    short = read(lines({"Appt Date": "25/03/26"}), unit).refused
    assert short is not None and "2025-03-26 (year-first)" in short.problem


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_delimiter_and_encoding_are_found(delimiter: str, encoding: str) -> None:
    text = lines({"Surname": "Çelik", "Comments": '"a, b; c | d, e"'}, delimiter=delimiter)
    [reading] = read(text.encode(encoding)).rows
    assert (reading.verdict, reading.ref, kinds(reading)) == ("accept", "EN-1", [])


def test_titles_repeated_headings_and_pages_are_counted_and_lines_stay_right() -> None:
    first, second = lines({"Comments": '"two\r\nlines"'}), lines({"Appt Ref": "EN-2"})
    reading = read(f"sep=,\n\nList of the week,,\n{first}\f\nPage 2 of 2\n{second}Total,2\n")
    assert [(row.row, row.ref) for row in reading.rows] == [("5", "EN-1"), ("10", "EN-2")]
    assert (reading.blank, reading.totals, reading.headings) == (2, 1, 4)


def test_a_booking_above_the_heading_row_is_not_lost() -> None:
    heading, booking = lines({}).splitlines(keepends=True)
    reading = read(f"\n{booking}{heading}{booking.replace('EN-1', 'EN-2')}")
    assert [row.row for row in reading.rows] == ["2", "4"]


def test_headings_that_are_missing_or_doubled_are_one_refusal() -> None:
    good = lines({})
    missing = read(good.replace("Appt Time", "Appt. Time").replace("Lang", "Sprog")).refused
    assert missing is not None and (missing.kind, missing.where) == ("header-missing", "list.csv:1")
    assert "“Appt Time”" in missing.problem and "“Lang”" in missing.problem
    assert "Is “Appt Time” the column “Appt. Time”?" in missing.remedy
    doubled = read(good.replace("Hosp No", "Lang")).refused
    assert doubled is not None and (doubled.kind, "“Lang”" in doubled.problem) == ("header-doubled", True)
    headless = read(good.split("\r\n", 1)[1]).refused
    assert headless is not None and headless.kind == "header-missing"
    assert "Zyxwick" not in json.dumps(headless.as_json())


@pytest.mark.parametrize(
    ("raw", "kind"),
    [
        (b"", "file-empty"),
        (b"\r\n \r\n", "file-empty"),
        (b"PK\x03\x04rest", "file-not-text"),
        (b"a\0b", "file-not-text"),
        (lines({"Comments": '"never closed'}).encode(), "quote-unclosed"),
        (lines({"Comments": '"' + "x" * 200_000}).encode(), "quote-unclosed"),
    ],
)
def test_files_that_are_no_list_are_refused(raw: bytes, kind: str) -> None:
    refused = read(raw).refused
    assert refused is not None and refused.kind == kind


def test_a_unit_that_names_no_columns_is_told() -> None:
    refused = read(lines({}), declared(columns={"ref": "Appt Ref"})).refused
    assert refused is not None and refused.kind == "columns-unmapped"
    assert "date, time, protocol" in refused.problem


def test_a_row_swallowed_by_a_quotation_mark_is_not_lost() -> None:
    reading = read(
        lines({"Comments": '"tall'}, {"Appt Ref": "EN-2", "Comments": 'six foot"'}, {"Appt Ref": "EN-3"})
    )
    assert [(row.row, row.verdict) for row in reading.rows] == [("2", "reject"), ("4", "accept")]
    assert "Lines 2 to 3" in reading.rows[0].findings[0].problem


def test_cells_beyond_the_columns_are_read_as_remarks() -> None:
    reading = row(Comments="deaf, on Warfarin,")
    assert kinds(reading) == ["field-overflow", "needs-unit-instruction:anticoagulant"]
    assert not reading.findings[0].decision and reading.findings[0].where == "list.csv:2 Comments"
    assert kinds(row(Comments="deaf,,")) == []


def test_a_row_whose_cells_have_slipped_is_neither_passed_over_nor_quoted() -> None:
    reading = row(Surname="Zyxwick, Esq")
    assert (reading.verdict, reading.ref) == ("reject", "")
    assert {"procedure-displaced", "ref-withheld"} <= set(kinds(reading))
    assert "Quillon" not in json.dumps(reading.as_json())


def test_references_that_stand_twice() -> None:
    same = read(lines({}, {"Surname": "spelled otherwise"}))
    assert [(row.verdict, kinds(row)) for row in same.rows] == [("accept", []), ("skip", ["row-doubled"])]
    other = read(lines({}, {"Appt Time": "09:45"}, {"Appt Ref": "EN-2"}, {"Procedure": "OGD"}))
    assert [(row.verdict, kinds(row)) for row in other.rows] == [
        ("reject", ["ref-conflict"]),
        ("reject", ["ref-conflict"]),
        ("accept", []),
        ("skip", ["procedure-not-colonoscopy"]),
    ]
    assert "line 3" in other.rows[0].findings[0].problem


def test_the_digest_dies_with_a_used_cell_and_with_no_other() -> None:
    assert row().digest == row(Surname="Other", Hosp_No="1").digest
    assert len({row().digest, row(Comments="iron").digest, row(Appt_Time="09:31").digest}) == 3
    assert len(row().digest) == 16


def test_a_booking_is_what_the_row_states() -> None:
    booking = row(Adm_Time="", Transport="", Lang="es").booking
    assert booking is not None
    assert (booking.ref, booking.start.isoformat(), booking.protocol, booking.languages) == (
        "EN-1",
        "2026-03-25T09:30:00+00:00",
        "asc-split",
        ("es",),
    )
    assert (booking.arrival, booking.travel_minutes, booking.cleared) == (None, None, None)


def test_values_are_quoted_from_the_allowed_columns_only() -> None:
    values = ("32/03/2026", "TBD", "QQ", "soonish", "1 2")
    told = json.dumps(
        row(
            Appt_Date=values[0], Appt_Time=values[1], Prep_Code=values[2], Transport=values[3], Lang=values[4]
        ).as_json()
    )
    assert all(value in told for value in values)
    assert json.dumps(example(UK).as_json()).count("Zieli") == 0


@given(st.binary(max_size=400))
def test_no_bytes_make_it_fail(raw: bytes) -> None:
    read(raw)
    read(lines({}).encode() + raw)


CELL = st.text(st.characters(exclude_characters='"\0', codec="utf-8"), max_size=30)


def quoted(cells: dict[str, str]) -> dict[str, str]:
    return {name: f'"{text}"' for name, text in cells.items()}


@given(st.lists(st.fixed_dictionaries(dict.fromkeys(HEADINGS, CELL)), max_size=3))
def test_no_cells_make_it_fail(rows: list[dict[str, str]]) -> None:
    reading = read(lines(*(quoted(cells) for cells in rows)))
    json.dumps(reading.as_json(), ensure_ascii=False).encode()
    assert len(reading.rows) + reading.blank + reading.totals + reading.headings == len(rows)


SECRET = st.fixed_dictionaries(dict.fromkeys(("Hosp No", "Surname", "Forename", "Comments"), CELL))


@given(SECRET, st.sampled_from(["25/03/2026", "99/99/2026", ""]), st.sampled_from(["09:30", "am"]))
def test_nothing_of_names_remarks_or_ignored_is_told(cells: dict[str, str], day: str, at: str) -> None:
    marked = quoted({name: f"{text}zzqj{text}" for name, text in cells.items()})
    told = read(lines({**marked, "Appt Date": day, "Appt Time": at})).as_json()
    assert "zzqj" not in json.dumps(told, ensure_ascii=False).casefold()


@pytest.mark.parametrize("commas", range(4))
@pytest.mark.parametrize("column", HEADINGS)
def test_no_name_is_told_wherever_a_separator_is_too_many(column: str, commas: int) -> None:
    told = json.dumps(row(**{column.replace(" ", "_"): GOOD[column] + "," * commas}).as_json())
    assert "Quillon" not in told and "Zyxwick" not in told and "0099" not in told
