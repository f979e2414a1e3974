"""What is found across the rows and lists of one command, in slipped rows and in remarks."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace

import pytest

from generator.intake import Reading, RowReading, settled
from tests.command import ROOT
from tests.test_intake import GOOD, HEADINGS, UNIT, declared, kinds, lines, read, row, row_in

OTHER = {"Appt Time": "09:45"}


def told(reading: Reading) -> list[tuple[str, str, list[str]]]:
    return [(row.row, row.verdict.value, kinds(row)) for row in reading.rows]


def test_the_same_reference_with_other_content_in_two_lists_rejects_both() -> None:
    first, second = settled((read(lines({}), file="a.csv"), read(lines(OTHER), file="b.csv")))
    assert told(first) == told(second) == [("2", "reject", ["ref-conflict"])]
    [one], [two] = first.rows[0].findings, second.rows[0].findings
    assert (one.where, "line 2 of b.csv" in one.problem) == ("a.csv:2", True)
    assert (two.where, "line 2 of a.csv" in two.problem) == ("b.csv:2", True)
    assert first.rows[0].start is None and first.rows[0].booking is None


def test_the_same_row_in_two_lists_is_read_once() -> None:
    first, second = settled((read(lines({}), file="a.csv"), read(lines({}), file="b.csv")))
    assert told(first) == [("2", "accept", [])]
    assert told(second) == [("2", "skip", ["row-doubled"])]
    assert second.rows[0].findings[0].problem == "The row repeats line 2 of a.csv."


def test_settling_again_with_a_further_list_tells_everything_once() -> None:
    doubled, conflicting = read(lines({}, {}), file="a.csv"), read(lines({}, OTHER), file="b.csv")
    assert settled((doubled,)) == (doubled,)
    assert settled((conflicting,)) == (conflicting,)
    first, second = settled((doubled, conflicting))
    assert [*told(first), *told(second)] == [
        ("2", "reject", ["ref-conflict"]),
        ("3", "reject", ["ref-conflict"]),
        ("2", "reject", ["ref-conflict"]),
        ("3", "reject", ["ref-conflict"]),
    ]
    assert "in line 3, line 2 of b.csv, line 3 of b.csv." in first.rows[0].findings[0].problem
    assert settled((first, second)) == (first, second)


@pytest.mark.parametrize(
    "ref", ["en-1", "EN\N{NON-BREAKING HYPHEN}1", "EN\N{MINUS SIGN}1", "ＥＮ－1", "En–1"]
)
def test_references_are_the_same_whatever_their_capitals_and_hyphens(ref: str) -> None:
    reading = read(lines({}, {"Appt Ref": ref}))
    assert told(reading) == [("2", "reject", ["ref-conflict"]), ("3", "reject", ["ref-conflict"])]
    assert [found.verdict for found in read(lines({}, {"Appt Ref": "EN1"})).rows] == ["accept", "accept"]


def test_of_many_rows_with_one_reference_five_are_named() -> None:
    reading = read(lines(*({"Appt Time": f"09:{minute}"} for minute in range(30, 38))))
    assert "in line 3, line 4, line 5, line 6, line 7 and 2 more." in reading.rows[0].findings[0].problem


NAMES_FIRST = ("Surname", "Forename", *(name for name in HEADINGS if name not in ("Surname", "Forename")))


def names_first(**cells: str) -> RowReading:
    values = {**GOOD, **{name.replace("_", " "): text for name, text in cells.items()}}
    text = f"{','.join(NAMES_FIRST)}\n{','.join(values[name] for name in NAMES_FIRST)}\n"
    [reading] = read(text).rows
    return reading


@pytest.mark.parametrize("procedure", ["COLON", "OGD"])
def test_a_name_slipped_under_the_reference_is_not_told(procedure: str) -> None:
    reading = names_first(Surname="Zyxwick, Jr", Procedure=procedure)
    assert (reading.ref, reading.verdict in ("reject", "skip")) == ("", True)
    assert "Quillon" not in json.dumps(reading.as_json())
    assert names_first().ref == "EN-1"


def test_an_even_row_keeps_its_reference_when_rejected_and_an_uneven_one_when_built() -> None:
    assert (row(Appt_Date="31/04/2026").ref, row(Appt_Date="31/04/2026").verdict) == ("EN-1", "reject")
    assert (row(Comments="deaf, BSL").ref, row(Comments="deaf, BSL").verdict) == ("EN-1", "warn")
    assert row(Appt_Date="31/04/2026", Comments="deaf, BSL").ref == ""


def short(language: str) -> RowReading:
    """The good booking, ending with its language: a row with two cells too few."""
    cells = [language if name == "Lang" else GOOD[name] for name in HEADINGS[:-2]]
    [reading] = read(f"{','.join(HEADINGS)}\n{','.join(cells)}\n").rows
    return reading


@pytest.mark.parametrize(
    ("language", "tags", "verdict"),
    [
        ("lee", (), "reject"),
        ("es/lee", ("es",), "reject"),
        ("ES", ("es",), "accept"),
        ("", ("en",), "accept"),
    ],
)
def test_of_a_cell_that_may_hold_a_name_only_offered_languages_are_kept(
    language: str, tags: tuple[str, ...], verdict: str
) -> None:
    reading = short(language)
    assert (reading.languages, reading.verdict) == (tags, verdict)
    assert "lee" not in json.dumps(reading.as_json())


REMARKS = [
    ("on blood thinners", ["anticoagulant"]),
    ("on Blood-Thinner", ["anticoagulant"]),
    ("bloodthinners stopped", ["anticoagulant"]),
    ("anticoagulants since May", ["anticoagulant"]),
    ("anti-coagulated", ["anticoagulant"]),
    ("on Warfarine", ["anticoagulant"]),
    ("5mg warfarin5mg", ["anticoagulant"]),
    ("epileptic", ["epilepsy"]),
    ("seizure last year", ["epilepsy"]),
    ("Seizures", ["epilepsy"]),
    ("diabetics clinic", ["diabetes"]),
    ("diabète", ["diabetes"]),
    ("T2DM", ["diabetes"]),
    ("two stomas", ["stoma"]),
    ("ileostomies", ["stoma"]),
    ("iron", ["iron"]),
    ("IRON-tablets", ["iron"]),
    ("iron200mg", ["iron"]),
    ("haemodialysis on Mondays", ["fluid-limit"]),
    ("thickeners in drinks", ["swallowing"]),
    ("pregnancy test", ["pregnancy"]),
    ("does the ironing", []),
    ("environment", []),
    ("deaf", []),
]


@pytest.mark.parametrize("folder", ["demo/unit", "templates/unit"])
@pytest.mark.parametrize(("remark", "classes"), REMARKS)
def test_the_units_own_words_find_inflections(folder: str, remark: str, classes: list[str]) -> None:
    table = tomllib.loads((ROOT / folder / "unit.toml").read_text("utf-8"))["list"]["hints"]
    unit = declared(hints={name: tuple(words) for name, words in table.items()})
    assert kinds(row_in(unit, Comments=remark)) == [f"needs-unit-instruction:{name}" for name in classes]


def test_a_hint_without_letters_or_figures_finds_nothing() -> None:
    unit = replace(UNIT, listing=replace(UNIT.listing, hints={"iron": ("-", " ")}))
    assert kinds(row_in(unit, Comments="a - b")) == []
