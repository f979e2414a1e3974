"""The pace of drinking on the phone, by the page's own scripts in Node: a table of literal values, and random walks."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.command import ROOT
from tests.paces import IDS, OFFSETS, ROWS, minute, plan_of

SCRIPT = ROOT / "tests" / "pace.mjs"
PACE = ROOT / "static" / "page" / "pace.js"
SEED = int(os.environ.get("DAYBEFORE_SEED", "20260318"))
WALKS = 10_000


def node(*words: object, given: str = "", pace: Path = PACE) -> Any:
    program = shutil.which("node")
    if program is None:
        if os.environ.get("CI"):
            pytest.fail("Node is missing; tests/run installs it.")
        pytest.skip("Node is missing")
    run = subprocess.run(
        [program, SCRIPT, *map(str, words)],
        input=given,
        capture_output=True,
        text=True,
        timeout=300,
        env={**os.environ, "DAYBEFORE_PACE": str(pace)},
        check=False,
    )
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


@pytest.fixture(scope="module")
def said() -> list[dict[str, Any]]:
    rows = [
        {
            "plan": plan_of(row),
            "seed": {name: list(map(minute, times)) for name, times in row.get("seed", {}).items()},
            "events": [[minute(event[0]), event[1], *map(minute, event[2:])] for event in row["events"]],
            "now": minute(row["now"]),
        }
        for row in ROWS
    ]
    found: list[dict[str, Any]] = node("table", given=json.dumps({"offsets": OFFSETS, "rows": rows}))
    return found


@pytest.mark.parametrize("place", range(len(ROWS)), ids=IDS)
def test_what_is_said_of_the_pace(said: list[dict[str, Any]], place: int) -> None:
    told = {name: value for name, value in said[place].items() if value not in ("", None) or name == "say"}
    assert told == ROWS[place]["said"]


def test_the_table_is_long_and_each_row_names_its_source() -> None:
    assert len(ROWS) >= 40
    assert len(set(IDS)) == len(IDS)
    assert all(row["source"] for row in ROWS)


def test_no_random_walk_of_a_session_breaks_what_may_never_happen() -> None:
    found = node("walks", SEED, WALKS)
    assert found["wrong"] == [], f"seed {SEED}: DAYBEFORE_SEED={SEED} plays them again"
    # The walks came everywhere: none of these is rare.
    rare = {say: many for say, many in found["told"].items() if many < 1000}
    assert rare == {}, f"seed {SEED}"
    assert {"next", "slow", "tight", "call", "paused", "ask", "jug"} <= set(found["told"])


# name -> what stands in pace.js, and what a careless hand makes of it
SPOILED = {
    "the hour is 50 minutes": ("const HOUR = 60;", "const HOUR = 50;"),
    "time is made up after a sickness": ("eased || steady ? step :", "steady ? step :"),
    "the quiet time is forgotten": (
        "Math.min(session.by, session.quiet);\n    const place", "session.by;\n    const place",
    ),
    "one step faster than the fastest": (
        "eased || steady ? step : quickest;", "eased || steady ? step : 4;",
    ),
    "the cut-off is taken for a wish": (
        "if (!found || found.end > by ||", "if (!found ||",
    ),
    "a glass without a time counts as never": ("time = times[glass] || time;", "time = times[glass];"),
    "the frail are urged on": ("eased || steady ? step :", "eased ? step :"),
}  # fmt: skip


@pytest.mark.parametrize("name", SPOILED)
def test_the_walks_find_a_spoiled_script(name: str, tmp_path: Path) -> None:
    whole, (before, after) = PACE.read_text("utf-8"), SPOILED[name]
    assert whole.count(before) == 1
    spoiled = tmp_path / "pace.js"
    spoiled.write_text(whole.replace(before, after), "utf-8")
    assert node("walks", SEED, 2000, pace=spoiled)["many"] > 0
