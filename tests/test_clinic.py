"""A unit's files: every fault at once, near misses named, and nothing a person can type that crashes the reader."""

from __future__ import annotations

import copy
import datetime as dt
import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.clinic.food import foods_from
from generator.clinic.protocol import Slots, protocol_from
from generator.clinic.signoff import SignOff, digest_of, signature_findings, signoffs_from
from generator.clinic.unit import unit_from
from generator.page.foods import FOOD_IDS
from tests.command import DEMO_UNIT, run
from tests.plans import copy_of_demo_unit

UNIT = tomllib.loads((DEMO_UNIT / "unit.toml").read_text("utf-8"))
PROTOCOL = tomllib.loads((DEMO_UNIT / "protocols" / "peg-ascorbate-split.toml").read_text("utf-8"))


def test_a_misspelt_key_is_refused_with_the_near_miss() -> None:
    table = copy.deepcopy(PROTOCOL)
    table["row"][4]["glases"] = table["row"][4].pop("glasses")
    _, findings = protocol_from(table, "p", "p.toml")
    assert {finding.kind for finding in findings} == {"key-missing", "key-unknown"}
    [unknown] = [finding for finding in findings if finding.kind == "key-unknown"]
    assert "“glasses”" in unknown.remedy
    assert "evening-dose" in unknown.where


def test_all_faults_of_a_file_are_told_at_once() -> None:
    table = copy.deepcopy(UNIT)
    del table["name"]
    table["clock"] = "13"
    table["line"][0]["open"] = ["mon-fri 8-17"]
    table["colour"] = "green"
    _, findings = unit_from(table, "unit.toml")
    assert [finding.kind for finding in findings] == [
        "key-missing",
        "value-invalid",
        "value-invalid",
        "key-unknown",
    ]


def test_a_pace_over_the_protocols_own_maximum_is_refused() -> None:
    """1000 mL an hour is stated; 250 mL every 10 minutes is 1500."""
    table = copy.deepcopy(PROTOCOL)
    table["row"][4]["minutes"] = 10
    table["row"][4]["fastest_minutes"] = 10
    _, findings = protocol_from(table, "p", "p.toml")
    assert [finding.kind for finding in findings] == ["pace-over-maximum"]


def test_a_fastest_pace_over_another_rows_maximum_is_refused() -> None:
    """500 mL in an hour for all drinks; 250 mL every 30 minutes keep it, every 10 minutes they do not."""
    clear = {
        "id": "clear", "kind": "clear-fluids", "at": "07:00", "day": 0, "until": "stop", "most_ml_per_hour": 500,
        "source": "s",
    }  # fmt: skip
    stop = {"id": "stop", "kind": "stop-drinking", "before": "procedure", "hours": 2, "source": "s"}
    drink = {
        "id": "drink", "kind": "extra-fluid", "at": "08:00", "day": 0, "glasses": 3, "ml": 250, "minutes": 30,
        "source": "s",
    }  # fmt: skip
    for fastest, glasses, kinds in ((30, 3, []), (10, 3, ["pace-over-maximum"]), (10, 2, [])):
        rows = [clear, drink | {"fastest_minutes": fastest, "glasses": glasses}, stop]
        _, findings = protocol_from(PROTOCOL | {"row": rows}, "p", "p.toml")
        assert [finding.kind for finding in findings] == kinds


@pytest.mark.parametrize(
    ("row", "kind"),
    [
        ({"id": "pills", "kind": "tablets", "tablets": 2, "wait_minutes": 20}, "key-unknown"),
        ({"id": "enema", "kind": "enema", "minutes": 10, "until": "procedure"}, "value-invalid"),
        ({"id": "usual-medicines-dose", "kind": "enema"}, "row-doubled"),
    ],
)
def test_what_would_be_passed_over_is_refused(row: dict[str, Any], kind: str) -> None:
    rows = [{"at": "08:00", "day": 0, "source": "s", **row}]
    _, findings = protocol_from(PROTOCOL | {"row": rows}, "p", "p.toml")
    assert [finding.kind for finding in findings] == [kind]


def test_a_row_cannot_be_counted_from_one_that_does_not_exist() -> None:
    table = copy.deepcopy(PROTOCOL)
    table["row"][5]["before"] = "evening-doze"
    _, findings = protocol_from(table, "p", "p.toml")
    assert [finding.kind for finding in findings] == ["row-unknown"]


def test_the_lower_border_belongs_to_the_slot_and_the_upper_does_not() -> None:
    slots = Slots(dt.time(7, 30), dt.time(13, 0))
    assert slots.hold(dt.time(7, 30))
    assert not slots.hold(dt.time(13, 0))
    assert slots.hold(dt.time(12, 59))


def test_a_food_we_have_no_word_for_is_refused() -> None:
    _, findings = foods_from({"white-bred": {"low_fibre": True}}, FOOD_IDS, "food.toml")
    assert [finding.kind for finding in findings] == ["food-unknown"]


def test_what_is_allowed_late_is_allowed_before() -> None:
    """The phases narrow: low in fibre, then liquids, then clear drinks. A clear drink counts as a liquid unsaid."""
    table = {
        "water": {"low_fibre": True, "clear": True},
        "milk": {"low_fibre": True, "full_liquids": True},
        "egg": {"low_fibre": True},
    }
    foods, findings = foods_from(table, FOOD_IDS, "food.toml")
    assert findings == []
    assert {food.id for food in foods if food.full_liquids} == {"water", "milk"}
    for wrong in (
        {"full_liquids": True},
        {"clear": True},
        {"low_fibre": True, "clear": True, "full_liquids": False},
    ):
        _, findings = foods_from({"milk": wrong}, FOOD_IDS, "food.toml")
        assert [finding.kind for finding in findings] == ["value-invalid"]


def test_a_signature_is_bound_to_the_meaning() -> None:
    changed = copy.deepcopy(PROTOCOL)
    changed["row"][4]["ml"] = 251
    assert digest_of(PROTOCOL) != digest_of(changed)
    signoff = SignOff("p.toml", digest_of(PROTOCOL), "lead", dt.date(2026, 1, 5), dt.date(2026, 6, 30))
    kinds = {
        when: [finding.kind for finding in signature_findings("p.toml", digest, [signoff], day)]
        for when, digest, day in (
            ("living", digest_of(PROTOCOL), dt.date(2026, 6, 30)),
            ("ended", digest_of(PROTOCOL), dt.date(2026, 7, 1)),
            ("broken", digest_of(changed), dt.date(2026, 3, 1)),
        )
    }
    assert kinds == {"living": [], "ended": ["signature-expired"], "broken": ["signature-broken"]}
    assert [
        finding.kind for finding in signature_findings("q.toml", "0", [signoff], dt.date(2026, 3, 1))
    ] == ["signature-missing"]


def test_a_line_that_is_no_signature_is_told() -> None:
    text = "file,digest,role,signed,review_by\np.toml,abc,lead,yesterday,2026-06-30\n"
    signoffs, findings = signoffs_from(text, "signoffs.csv")
    assert signoffs == ()
    assert [(finding.kind, finding.where) for finding in findings] == [("signoff-invalid", "signoffs.csv:2")]


@pytest.mark.parametrize(
    "file", ["unit.toml", "protocols/picosulfate-split.toml", "food.toml", "signoffs.csv"]
)
def test_a_file_in_another_encoding_is_told_with_its_name(tmp_path: Any, file: str) -> None:
    unit = copy_of_demo_unit(tmp_path)
    (unit / file).write_bytes(b"\xff\xfe\x00")
    told = run("read", "x.csv", "--unit", unit)
    assert file in "".join(finding.where for finding in told.exception.findings)  # type: ignore[union-attr]


def leaves(table: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path of every value in a parsed file, tables and lists included."""
    items = table.items() if isinstance(table, dict) else enumerate(table) if isinstance(table, list) else ()
    return [path, *(leaf for key, value in items for leaf in leaves(value, (*path, key)))][0 if path else 1 :]


ANYTHING = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(allow_nan=True), st.text(max_size=8), st.just([]), st.just({}),
    st.just([{}]), st.just(["a"]), st.dates(),
)  # fmt: skip


@settings(max_examples=300)
@given(data=st.data(), value=ANYTHING)
def test_no_value_in_any_place_crashes_the_reader(data: Any, value: Any) -> None:
    for source, reader in (
        (UNIT, unit_from),
        (PROTOCOL, lambda table, file: protocol_from(table, "p", file)),
    ):
        table = copy.deepcopy(source)
        path = data.draw(st.sampled_from(leaves(table)))
        place = table
        for key in path[:-1]:
            place = place[key]
        place[path[-1]] = value
        reader(table, "file.toml")
