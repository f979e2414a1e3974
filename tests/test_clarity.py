"""What a look into the bowl means at each moment, by the page's own script in Node, over a table of literal values."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from typing import Any

import pytest

from tests.command import ROOT
from tests.looks import PLANS, ROWS, TABLE, minute, times_of


def told(asked: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """What the script says to each look."""
    node = shutil.which("node")
    if node is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)("Node is missing: install Node.")
    script = str(ROOT / "tests" / "clarity.mjs")
    ran = subprocess.run([node, script], input=json.dumps(asked), capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    answer: list[dict[str, Any]] = json.loads(ran.stdout)
    return answer


def asked(row: dict[str, Any]) -> dict[str, Any]:
    doubted = "zone" in row or row.get("doubted", False)
    at = 0 if doubted else minute(row["at"])
    presses = [[question, answer, at] for question, answer in row["answers"].items()]
    return {"presses": presses, "now": minute(row["now"]), "times": times_of(row["plan"]), "doubted": doubted}


def test_each_row_says_what_it_must() -> None:
    assert len(ROWS) >= 30
    said = told([asked(row) for row in ROWS])
    assert {row["name"]: (row["says"], row["call"]) for row in ROWS} == {
        row["name"]: (one["says"], one["call"]) for row, one in zip(ROWS, said, strict=True)
    }


def test_each_row_has_a_name_and_a_source_of_its_own() -> None:
    assert len({row["name"] for row in ROWS}) == len(ROWS)
    for row in ROWS:
        assert re.search(r"\d{4}|common practice, no source|value 52: leaflets", row["source"]), row["name"]
    assert {name for row in ROWS for name in row["says"]} == set(TABLE["sentences"])


def test_at_no_minute_is_a_bad_look_praised_or_a_good_one_a_call() -> None:
    """Every fifth minute of every plan, each of the sixteen ways to answer."""
    cases: list[dict[str, Any]] = []
    for plan in PLANS:
        times = times_of(plan)
        for now in range(times["by"] or times["dosed"] - 600, times["over"] + 60, 5):
            for bottom in ("", "yes", "no"):
                for bits in ("", "no", "yes"):
                    for colour in ("", "light", "brown"):
                        picked = {"bottom": bottom, "bits": bits, "colour": colour}
                        presses = [[name, one, now] for name, one in picked.items() if one]
                        cases.append({"presses": presses, "now": now, "times": times, "doubted": False})
    for case, one in zip(cases, told(cases), strict=True):
        bad = any(
            press[:2] in (["bottom", "no"], ["bits", "yes"], ["colour", "brown"]) for press in case["presses"]
        )
        over = case["now"] >= case["times"]["over"]
        assert ("good" in one["says"]) == (not over and not bad and len(case["presses"]) == 3)
        assert one["call"] == (not over and bad and case["now"] >= case["times"]["counts"])
        assert one["call"] == ("call" in one["says"])
        if case["times"]["stop"] and case["now"] >= case["times"]["stop"]:
            assert "finish" not in one["says"]


@pytest.mark.parametrize(
    ("presses", "kept"),
    [
        ([("bottom", "no", "03:00"), ("bottom", "no", "03:01")], {}),
        ([("bottom", "no", "03:00"), ("bottom", "yes", "03:01")], {"bottom": "yes"}),
        ([("colour", "brown", "03:00"), ("bits", "yes", "03:10")], {"bits": "yes", "colour": "brown"}),
        ([("colour", "brown", "03:00"), ("bottom", "yes", "07:01")], {"bottom": "yes"}),
        ([("colour", "brown", "03:00"), ("colour", "brown", "07:01")], {"colour": "brown"}),
        ([("nothing", "yes", "03:00"), ("bits", "yes", "03:01")], {"bits": "yes"}),
        ([("bits", "yes", "03:00"), ("nothing", "yes", "03:01")], {"nothing": "yes"}),
        ([("nothing", "yes", "03:00"), ("nothing", "yes", "03:01")], {}),
    ],
)
def test_an_answer_can_be_changed_and_taken_back_and_is_not_mixed_with_an_old_one(
    presses: list[tuple[str, str, str]], kept: dict[str, str]
) -> None:
    """Common practice, no source."""
    made = [[question, answer, minute(f"2026-03-18T{at}+00:00")] for question, answer, at in presses]
    [one] = told([{"presses": made, "now": made[-1][2], "times": times_of("split"), "doubted": False}])
    assert one["looked"] == {**kept, "at": made[-1][2]}


def test_what_was_answered_by_a_doubted_clock_is_looked_at_again_by_a_right_one() -> None:
    """Common practice, no source: nobody knows when it was."""
    for presses in (
        [["colour", "brown", 0]],
        [["bottom", "yes", 0], ["bits", "no", 0], ["colour", "light", 0]],
    ):
        now = minute("2026-03-18T07:05+00:00")
        [one] = told([{"presses": presses, "now": now, "times": times_of("split"), "doubted": False}])
        assert (one["says"], one["call"]) == (["anew"], False)


def test_no_sentence_promises() -> None:
    """Sentences of the look never say that the bowel is clean, that it is over, or that something may be left."""
    for text in TABLE["sentences"].values():
        assert not re.search(r"\bclean\b|\bempty\b|\bready\b|\byou may\b|\benough\b|\bsure\b|\bsafe\b", text)
