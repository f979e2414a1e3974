"""`daybefore protocol page`: every rule and figure of a protocol in words, with what states it, to print and sign."""

from __future__ import annotations

import base64
import hashlib
import re
import tomllib
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from generator.errors import BadMaterials, BadRequest
from generator.materials.unit_folder import read_protocol
from generator.staff.rule_words import ToldRow, told_rows
from tests.command import DEMO_UNIT, EXAMPLES, ROOT, run

STARTER = ROOT / "templates" / "unit"
SHEETS = [
    *sorted((STARTER / "protocols").glob("*.toml")),
    *sorted((EXAMPLES / "units" / "rules" / "protocols").glob("*.toml")),
    *sorted((EXAMPLES / "imagined").glob("*.toml")),
    *(
        path
        for path in sorted((EXAMPLES / "leaflets").glob("a*.toml"))
        if not path.name.endswith((".food.toml", ".factors.toml")) and not read_protocol(path, path.name)[1]
    ),
]
NOW = ("--now", "2026-03-16T08:00")


def rows_of(path: Path) -> dict[str, ToldRow]:
    return {row.id: row for row in told_rows(read_protocol(path, path.name)[0].protocol)}


def said(row: ToldRow) -> str:
    return " ".join(rule.sentence for rule in row.rules)


def spoken(minutes: float) -> str:
    """A length of time as staff read it: 5 h, 45 min, 2 h 30 min."""
    whole, rest = divmod(round(abs(minutes)), 60)
    return " ".join([*([f"{whole} h"] if whole else []), *([f"{rest} min"] if rest or not whole else [])])


def figures(table: dict[str, Any], key: str = "") -> Iterator[str]:
    """Every figure of a row as it must be found in its sentences, by the unit that PROTOCOLS.md gives each key."""
    for name, value in table.items():
        if isinstance(value, dict):
            yield from (
                (part.zfill(len("00:00")) for pair in value.items() for part in pair)
                if name == "usual"
                else figures(value, name)
            )
        elif isinstance(value, list):
            yield from (one for item in value if isinstance(item, dict) for one in figures(item, name))
        elif name in ("hours", "at_least", "at_most", "keeps_hours") and value:
            yield spoken(value * 60)
        elif name in ("minutes", "fastest_minutes", "wait_minutes", "room_minutes", "settle_minutes"):
            yield spoken(value)
        elif name in (
            "ml",
            "total_ml",
            "mix_ml",
            "least_ml",
            "most_ml",
            "least_ml_per_hour",
            "most_ml_per_hour",
        ):
            yield f"{int(value):,} mL"
        elif name in ("glasses", "packets", "tablets", "days"):
            yield f"{value} "
        elif name == "at":
            yield value.zfill(len("00:00"))
        elif name == "contains":
            yield value
        elif name == "day" and value not in (-1, 0, 1):
            yield f"{abs(value)} days {'before' if value < 0 else 'after'}"


def sources(table: dict[str, Any]) -> Iterator[str]:
    for value in table.values():
        if isinstance(value, dict):
            yield from sources(value)
        elif isinstance(value, list):
            yield from (one for item in value if isinstance(item, dict) for one in sources(item))
    if isinstance(table.get("source"), str):
        yield table["source"]


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_no_figure_and_no_source_of_a_row_is_left_out(path: Path) -> None:
    told = rows_of(path)
    file = tomllib.loads(path.read_text("utf-8-sig"))
    assert [row["id"] for row in file["row"]] == list(told)
    for row in file["row"]:
        words = said(told[row["id"]])
        assert [one for one in figures(row) if one not in words] == [], words
        stated = {rule.source for rule in told[row["id"]].rules}
        own = (
            {row["source"]}
            if not set(sources(row)) - {row["source"]}
            else set(sources(row)) - {row["source"]}
        )
        assert own <= stated, row["id"]


def test_the_sentences_of_a_dose() -> None:
    """4 L split, second half, as its file states it; the words are read by a doctor, so they are compared whole."""
    row = rows_of(STARTER / "protocols" / "peg-els-4l-split.toml")["morning-dose"]
    assert [rule.sentence for rule in row.rules] == [
        "Starts no earlier than 5 h before the procedure.",
        "Starts no earlier than 6 h before the procedure and no later than 4 h before the procedure.",
        "Has ended by 2 h before the procedure.",
        "Has ended by 2 h 30 min before the procedure.",
        "8 glasses of 250 mL: 2,000 mL in 2 h, 15 min for each glass.",
        "At most 1,000 mL in any hour, all drinks counted.",
    ]
    assert row.rules[0].source == "ESGE 2019: last dose starts within 5 h"


def page(tmp_path: Path, file: str, unit: Path = STARTER) -> str:
    out = tmp_path / "rules.html"
    outcome = run("protocol", "page", file, "--unit", unit, "--out", out, *NOW)
    assert outcome.exit_code == 0, outcome.output
    assert str(out) in outcome.output
    return out.read_text("utf-8")


def test_the_page_holds_what_is_signed_and_what_departs(tmp_path: Path) -> None:
    text = unescape(page(tmp_path, "protocols/picosulfate-evening.toml"))
    assert "Sodium picosulfate 10 mg, magnesium oxide 3.5 g, citric acid 12 g, per sachet" in text
    assert "Not signed as it stands: not for use." in text
    assert "The last dose starts 9 h 30 min before; ESGE 2019 says 5 h at most." in text
    assert text.count("Not accepted") == 2
    assert "Read and signed" in text
    assert re.search(r"They hold for version [0-9a-f]{16} alone", text)


def test_the_samples_are_the_earliest_the_middle_and_the_last_start_with_and_without_a_way(
    tmp_path: Path,
) -> None:
    """4 L split for 07:30: the last two litres from 03:00 to 05:00; from 90 minutes away from 02:30."""
    text = page(tmp_path, "protocols/peg-els-4l-split.toml")
    [head] = re.findall(r"<th scope=\"row\">Start</th>(.*?)</tr>", text)
    assert re.findall(r">(\d\d:\d\d)<", head) == ["07:30", "07:30", "12:45", "12:45", "18:15", "18:15"]
    doses = re.findall(r"Drink the bowel medicine \(2 of 2\)</th>(.*?)</tr>", text)
    assert re.findall(r"<td>(.*?)</td>", doses[-1])[:2] == ["03:00–05:00", "02:30–04:30"]


def test_a_signed_protocol_says_until_when(tmp_path: Path) -> None:
    assert "Valid until 2036-01-05." in page(tmp_path, "protocols/picosulfate-split.toml", DEMO_UNIT)


def test_nothing_runs_nothing_is_fetched_and_the_style_is_the_one_that_may_apply(tmp_path: Path) -> None:
    text = page(tmp_path, "protocols/peg-els-4l-split.toml")
    [style] = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert f"default-src 'none'; style-src 'sha256-{digest}'" in unescape(text)
    assert not re.search(r"<script|<img|<link|https?://|\son\w+=|\sstyle=", text)


def test_nothing_of_a_file_becomes_markup(tmp_path: Path) -> None:
    unit = tmp_path / "protocols"
    unit.mkdir()
    text = (STARTER / "protocols" / "peg-els-4l-split.toml").read_text("utf-8")
    (unit / "x.toml").write_text(text.replace('title = "4 L', 'title = "<b>4 L', 1), "utf-8")
    (tmp_path / "unit.toml").write_bytes((STARTER / "unit.toml").read_bytes())
    assert "&lt;b&gt;4 L" in page(tmp_path, "protocols/x.toml", tmp_path)


def test_a_file_with_faults_has_no_page(tmp_path: Path) -> None:
    path = EXAMPLES / "leaflets" / "a24-as-printed.toml"
    stopped = run("protocol", "page", path, "--unit", STARTER, "--out", tmp_path / "x.html").exception
    assert isinstance(stopped, BadMaterials)
    assert {one.kind for one in stopped.findings} == {"key-missing"}
    assert not (tmp_path / "x.html").exists()


def test_a_page_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    words = ("protocol", "page", "protocols/sulfate-split.toml", "--unit", STARTER)
    stopped = run(*words, "--out", tmp_path / "none" / "x.html").exception
    assert isinstance(stopped, BadRequest)
    assert "cannot be written" in stopped.problem
