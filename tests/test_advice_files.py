"""day.toml, figures.toml, aftercare.toml: every fault at once, and nothing a person can type that crashes a reader."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable, Mapping
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.clinic import aftercare, day, figures
from generator.clinic.aftercare import aftercare_from
from generator.clinic.day import day_from
from generator.clinic.figures import figures_from
from generator.finding import Finding
from tests.command import DEMO_UNIT, ROOT

Reader = Callable[[Mapping[str, Any], str], tuple[Any, list[Finding]]]
READERS: dict[str, Reader] = {"day": day_from, "figures": figures_from, "aftercare": aftercare_from}
TABLES = {name: tomllib.loads((DEMO_UNIT / f"{name}.toml").read_text("utf-8")) for name in READERS}


def told(name: str, *changes: tuple[str, Any]) -> list[tuple[str, str]]:
    """Kind and place of every finding, with keys (dotted; a number counts in a list) set anew or, None, taken out."""
    table = copy.deepcopy(TABLES[name])
    for path, value in changes:
        *ways, last = (int(part) if part.isdigit() else part for part in path.split("."))
        inner: Any = table
        for way in ways:
            inner = inner[way]
        if value is None:
            del inner[last]
        else:
            inner[last] = value
    return [(finding.kind, finding.where) for finding in READERS[name](table, f"{name}.toml")[1]]


@pytest.mark.parametrize("name", READERS)
def test_the_demonstrations_files_have_no_fault(name: str) -> None:
    assert told(name) == []


@pytest.mark.parametrize(
    ("name", "changes", "found"),
    [
        ("day", [("bring", ["leter"])], [("value-invalid", "day.toml bring")]),
        ("day", [("examination_minutes.least", 45)], [("value-invalid", "day.toml examination_minutes least")]),
        ("day", [("visit_hours", 0)], [("value-invalid", "day.toml visit_hours")]),
        (
            "day",
            [("visit_hours", 1), ("examination_minutes.most", 90)],
            [("value-invalid", "day.toml visit_hours")],
        ),
        ("day", [("alone_after", ["conscious"])], [("value-invalid", "day.toml alone_after")]),
        ("day", [("directions", "Ask {name}.")], [("value-invalid", "day.toml directions")]),
        ("day", [("source", None)], [("key-missing", "day.toml source")]),
        ("day", [("stay", None), ("hom", "adult")], [
            ("key-missing", "day.toml stay"),
            ("key-unknown", "day.toml hom"),
        ]),
        ("figures", [("counted", None)], [("key-missing", "figures.toml counted")]),
        ("figures", [("figure.1.per_10000", 2.5)], [("value-invalid", "figures.toml figure bleeding per_10000")]),
        ("figures", [("figure.1.per_10000", 0)], [("value-invalid", "figures.toml figure bleeding per_10000")]),
        ("figures", [("figure.1.per_10000", 10000)], [("value-invalid", "figures.toml figure bleeding per_10000")]),
        ("figures", [("figure.1.id", "polyps")], [("figure-doubled", "figures.toml figure polyps id")]),
        ("figures", [("figure.1.id", "luck")], [("value-invalid", "figures.toml figure luck id")]),
        ("figures", [("figure.1.date", None)], [("key-missing", "figures.toml figure bleeding date")]),
        ("figures", [("figure.1.source", None)], [("key-missing", "figures.toml figure bleeding source")]),
        ("aftercare", [("hours", {"source": "s"})], [("key-missing", "aftercare.toml hours")]),
        ("aftercare", [("hours.gas.drive", 0.5)], [("value-invalid", "aftercare.toml hours gas drive")]),
        ("aftercare", [("hours.gas.drive", None)], [("key-missing", "aftercare.toml hours gas drive")]),
        ("aftercare", [("hours.sleepy", {})], [("key-unknown", "aftercare.toml hours sleepy")]),
        ("aftercare", [("watch_days.polyp", 45)], [("value-invalid", "aftercare.toml watch_days polyp_thinner")]),
        ("aftercare", [("fever_celsius", 100.4)], [("value-invalid", "aftercare.toml fever_celsius")]),
        ("aftercare", [("bleeding.call_over", "half-cup")], [
            ("value-invalid", "aftercare.toml bleeding call_over"),
            ("value-invalid", "aftercare.toml bleeding emergency_over"),
        ]),
        ("aftercare", [("bleeding.emergency_over", "spoon")], [
            ("value-invalid", "aftercare.toml bleeding emergency_over"),
        ]),
        ("aftercare", [("counted_from", "waking")], [("value-invalid", "aftercare.toml counted_from")]),
    ],
)  # fmt: skip
def test_each_fault_is_told_where_it_stands(
    name: str, changes: list[tuple[str, Any]], found: list[tuple[str, str]]
) -> None:
    assert told(name, *changes) == found


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5) | st.dates(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)


@pytest.mark.parametrize("name", READERS)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_nothing_typed_into_a_key_crashes_its_reader(name: str, data: st.DataObject) -> None:
    table = copy.deepcopy(TABLES[name])
    key = data.draw(st.sampled_from(sorted(table)))
    table[key] = data.draw(ANYTHING)
    READERS[name](table, f"{name}.toml")


def test_every_key_and_choice_stands_on_the_page_about_the_files() -> None:
    page = (ROOT / "templates" / "unit" / "PROTOCOLS.md").read_text("utf-8").partition("## day.toml")[2]
    keys = {key for table in TABLES.values() for key in table} | set(TABLES["figures"]["figure"][0])
    choices = (
        *day.BRING, *day.TELL, *day.HOME, *day.STAY, *day.MAY_LEAVE_ALONE, *figures.HARMS, *figures.BENEFITS,
        *aftercare.COUNTED_FROM, *aftercare.MEALS, *aftercare.SCALES, *aftercare.BLOOD,
        *TABLES["aftercare"]["watch_days"],
    )  # fmt: skip
    missing = [
        word
        for word in {*keys, *choices} - {"figure"}
        if f"`{word}`" not in page and f"`[{word}]`" not in page
    ]
    assert missing == []
