"""Faults that were planted without sight of the checks, their sound twins, and files that are damaged as a whole."""

from __future__ import annotations

import csv

import polib
import pytest

from generator.finding import Severity
from generator.words.po import read_po_file
from generator.words.whole_file import file_findings
from generator.words.wording import wording_from
from tests.bench.planted import FOLDER, TAGS, ours, planted

with (FOLDER / "broken" / "faults.csv").open(encoding="utf-8", newline="") as listed:
    BROKEN = list(csv.DictReader(listed))


@pytest.mark.parametrize("tag", TAGS)
def test_every_blocking_fault_is_found(tag: str) -> None:
    worst = ours(FOLDER / f"{tag}.faulty.po", tag)
    blocking = [fault for fault in planted(tag) if fault.must == "blocking"]
    assert len(blocking) >= 25
    assert [fault for fault in blocking if worst.get(fault.id) is not Severity.REFUSE] == []


@pytest.mark.parametrize(("tag", "missed"), [("pl", 1), ("ar", 1), ("bn", 2)])
def test_nearly_every_doubtful_sentence_is_told_and_not_stopped(tag: str, missed: int) -> None:
    """Missed are words that only somebody who speaks the language can judge: “take” where “stop taking” stood."""
    worst = ours(FOLDER / f"{tag}.faulty.po", tag)
    doubtful = [fault.id for fault in planted(tag) if fault.must == "warning"]
    assert sum(message_id not in worst for message_id in doubtful) == missed
    assert [message_id for message_id in doubtful if worst.get(message_id) is Severity.REFUSE] == []


@pytest.mark.parametrize("tag", TAGS)
def test_nothing_is_said_of_the_sound_twins(tag: str) -> None:
    assert ours(FOLDER / f"{tag}.clean.po", tag) == {}


@pytest.mark.parametrize(
    "row", [row for row in BROKEN if row["must"] == "blocking"], ids=lambda row: row["file"]
)
def test_a_damaged_file_is_refused_where_it_is_damaged(row: dict[str, str]) -> None:
    """The line is that of the damage, or where its entry begins."""
    raw = (FOLDER / "broken" / row["file"]).read_bytes()
    tag = row["file"].split(".")[1] if row["file"].count(".") == 2 else _tag_of(raw)
    if row["kind"] == "plural header":  # only the counted sentences cannot be used
        wording, _ = wording_from(raw, tag, "x.po")
        assert wording is not None
        assert [message_id for message_id in wording.texts if wording.faults_of(message_id)] == [
            "B.left.days"
        ]
        return
    findings = file_findings(raw, tag, "x.po")
    lines = [int(finding.where.rpartition(":")[2]) for finding in findings]
    assert lines
    if row["line"]:
        assert any(0 <= int(row["line"]) - line <= 4 for line in lines)


def _tag_of(raw: bytes) -> str:
    return "ar" if b"Language: ar" in raw else "pl"


@pytest.mark.parametrize(
    "row", [row for row in BROKEN if row["must"] != "blocking"], ids=lambda row: row["file"]
)
def test_an_odd_but_sound_file_reads_as_another_reader_reads_it(row: dict[str, str]) -> None:
    path = FOLDER / "broken" / row["file"]
    po, findings = read_po_file(path.read_bytes(), "x.po")
    assert findings == []
    other = polib.pofile(path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n"))
    assert {entry.id: entry.texts[0] for entry in po.entries if len(entry.texts) == 1} == {
        entry.msgctxt: entry.msgstr for entry in other if not entry.obsolete and not entry.msgstr_plural
    }
