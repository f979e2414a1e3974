"""Language files: what is damaged is told with its line, and what others write is read as it was meant."""

from __future__ import annotations

import os
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import polib
import pytest
from babel import Locale
from translate.storage import pypo

from generator.materials.shipped import locales_folder
from generator.words.message import Message
from generator.words.po import Entry, PoFile, read_po_file
from generator.words.po_text import po_text
from generator.words.update import updated
from tests.languages import SHIPPED

HEADER = """msgid ""
msgstr ""
"Language: pl\\n"
"Content-Type: text/plain; charset=UTF-8\\n"
"X-Clock: 24\\n"
"""
STOP = """
#. A note.
msgctxt "A.test.stop"
msgid "Stop at {time}."
msgstr "Przestań o {time}."
"""
DAYS = """
#. A counted note.
msgctxt "B.test.days"
msgid "in 1 day"
msgid_plural "in {n} days"
msgstr[0] "za 1 dzień"
msgstr[1] "za {n} dni"
msgstr[2] "za {n} dni"
"""
PO = (
    HEADER + STOP + DAYS
)  # lines: 1-5 header, 7 note, 8 msgctxt, 9 msgid, 10 msgstr, 12 note, 13 to 18 the rest
CONFLICT = PO.replace(
    'msgstr "Przestań o {time}."',
    '<<<<<<< HEAD\nmsgstr "Przestań o {time}."\n=======\nmsgstr "Stop o {time}."\n>>>>>>> other',
)


@pytest.mark.parametrize(
    ("broken", "places", "told"),
    [
        (PO.replace('o {time}."', "o {time}."), ["po-line 10"], "A straight quote is missing at an end"),
        (PO.replace('"Przestań', "Przestań"), ["po-line 10"], "A straight quote is missing at an end"),
        (PO.replace("Przestań o", 'Przestań "o"'), ["po-line 10"], "A straight quote stands inside"),
        (PO.replace('"Przestań o {time}."', "„Przestań o {time}.”"), ["po-line 10"], "not straight ones"),
        (PO.replace("Przestań", "Przesta\\ń"), ["po-line 10"], "cannot hold"),
        (PO.replace("Przestań", "Przesta\x07ń"), ["po-line 10"], "cannot hold"),
        (PO.replace('msgstr "P', 'msgstrr "P'), ["po-line 10"], "none of the words"),
        (PO.replace('msgid "Stop', 'Msgid "Stop'), ["po-line 9"], "none of the words"),
        (PO + "Koniec\n", ["po-line 19"], "none of the words"),
        (CONFLICT, ["po-line 10", "po-line 12", "po-line 13", "po-line 14"], "Two versions"),
        (PO + STOP, ["po-doubled 21"], "stands on line 8 already."),
        (PO + STOP.replace("Stop at", "Halt at"), ["po-doubled 21"], "on line 8 already, with other English."),
        (PO.replace('msgctxt "A.test.stop"\n', ""), ["po-no-id 8"], "“Stop at {time}.” has no id"),
        (PO.replace('msgid "Stop at {time}."\n', ""), ["po-order 8"], "has no msgid line"),
        (PO.replace('msgid "Stop at {time}."\n', 'msgid ""\n'), ["po-order 8"], "The English of this entry is empty"),
        (PO.replace('msgstr "Przestań o {time}."\n', ""), ["po-order 8"], "“Stop at {time}.” has no msgstr line"),
        (PO + '\nmsgctxt "A.test.cut"\nmsgid "Cut"\n', ["po-order 20"], "“Cut” has no msgstr line"),
        (PO.replace("msgstr[1]", "msgstr[0]"), ["po-line 17"], "does not belong to the entry above"),
        (PO.replace("msgstr[2]", "msgstr[3]"), ["po-forms 13"], "do not count msgstr[0], msgstr[1]"),
        (PO.replace('msgid_plural "in {n} days"\n', ""), ["po-forms 13"], "do not count"),
        (PO.replace("UTF-8", "ISO-8859-2"), ["po-header 1"], "written in ISO-8859-2"),
        (PO.replace("X-Clock: 24", "X-Clock 24"), ["po-header 1"], "“X-Clock 24” has no colon"),
        (PO.replace("#. A note.", "A note."), ["po-line 7"], "none of the words"),
    ],
)  # fmt: skip
def test_each_defect_is_told_with_its_line(broken: str, places: list[str], told: str) -> None:
    """Defects that common readers take for text, or stop at: closing quotes, doubled ids, conflict marks, cut files."""
    po, findings = read_po_file(broken.encode(), "pl.po")
    assert po == PoFile({}, ())
    where = [f"{finding.kind} {finding.where.removeprefix('pl.po:')}" for finding in findings]
    assert sorted(where) == sorted(places)
    assert any(told in finding.problem for finding in findings)
    assert all(finding.remedy.endswith((".", '""')) for finding in findings)


@pytest.mark.parametrize(
    ("encoding", "line"),
    [("cp1250", 10), ("iso8859-2", 10), ("utf-16", 1)],
)
def test_a_file_in_another_encoding_names_the_line(encoding: str, line: int) -> None:
    po, findings = read_po_file(PO.encode(encoding), "pl.po")
    assert po.entries == ()
    assert [(finding.kind, finding.where) for finding in findings] == [("po-encoding", f"pl.po:{line}")]


def test_all_defects_are_told_at_once() -> None:
    broken = PO.replace('o {time}."', "o {time}.").replace('"za 1', "“za 1") + STOP
    _, findings = read_po_file(broken.encode(), "pl.po")
    assert [finding.where for finding in findings] == ["pl.po:10", "pl.po:16", "pl.po:21"]


@pytest.mark.parametrize(
    "other",
    [
        b"\xef\xbb\xbf" + PO.encode(),
        PO.replace("\n", "\r\n").encode(),
        PO.replace("\n", "\r").encode(),
        PO.rstrip("\n").encode(),
        PO.replace("\n\n", "\n").encode(),
        PO.replace("msgstr ", "msgstr\t").replace("{time}.", "{time}.").encode(),
        PO.replace('msgstr "Przestań o {time}."', 'msgstr ""\n"Przestań o "\n  "{time}."  ').encode(),
    ],
    ids=["mark at the start", "Windows", "old Mac", "no last line end", "no blank lines", "tabs", "wrapped"],
)
def test_harmless_differences_are_read_as_the_same(other: bytes) -> None:
    expected, _ = read_po_file(PO.encode(), "pl.po")
    po, findings = read_po_file(other, "pl.po")
    assert findings == []
    assert without_lines(po) == without_lines(expected)
    assert po.entries[0].texts == ("Przestań o {time}.",)
    assert po.entries[1].texts == ("za 1 dzień", "za {n} dni", "za {n} dni")


def without_lines(po: PoFile) -> PoFile:
    entries, obsolete = (
        tuple(replace(entry, where="") for entry in sorted(found, key=lambda entry: entry.id))
        for found in (po.entries, po.obsolete)
    )
    return replace(po, entries=entries, obsolete=obsolete)


FULL = PoFile(
    {
        "Project-Id-Version": "daybefore",
        "Last-Translator": "tr-3",
        "Language": "pl",
        "MIME-Version": "1.0",
        "Content-Type": "text/plain; charset=UTF-8",
        "Content-Transfer-Encoding": "8bit",
        "Plural-Forms": "nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<12 || n%100>14) ? 1 : 2);",
        "X-Clock": "24",
        "X-Address": "formal",
    },
    (
        Entry(
            "A.test.stop",
            ("Stop at {time}. This sentence goes on for so long that tools break it in several places, one hopes.",),
            ('Przestań o {time}. „Cudzysłów", \\ ukośnik, i zdanie tak długie, że narzędzia łamią je po drodze.',),
            "Shown: big card. A note that is also so long that a tool breaks it somewhere after the eightieth sign.",
            fuzzy=True,
            previous=("Stop before {time}.",),
            comments=("Asked the unit on the phone.", "Second remark."),
            references=("templates/page/plan.html",),
        ),
        Entry(
            "B.test.days",
            ("in 1 day", "in {n} days"),
            ("za 1 dzień", "za {n} dni", "za {n} dni"),
            "Counted.",
        ),
        Entry("C.test.empty", ("Now",), ("",), "A heading."),
    ),
    obsolete=(Entry("A.test.gone", ("No longer",), ("Już nie",), comments=("Was right.",)),),
)  # fmt: skip


def test_what_is_written_is_read_back_and_written_the_same() -> None:
    text = po_text(FULL)
    po, findings = read_po_file(text.encode(), "pl.po")
    assert findings == []
    assert without_lines(po) == FULL
    assert po_text(po) == text


def test_entries_stand_by_id_and_each_text_on_one_line() -> None:
    text = po_text(replace(FULL, entries=FULL.entries[::-1]))
    assert text == po_text(FULL)
    assert [line.split('"')[1] for line in text.split("\n") if line.startswith("msgctxt")] == [
        "A.test.stop", "B.test.days", "C.test.empty",
    ]  # fmt: skip
    assert not [line for line in text.split("\n") if line.startswith('"') and not line.endswith('\\n"')]


def by_msgcat(path: Path) -> None:
    if shutil.which("msgcat") is None:
        if os.environ.get("CI"):
            pytest.fail("msgcat is missing: tests/run installs gettext")
        pytest.skip("no msgcat: install gettext")
    subprocess.run(["msgcat", "--sort-by-file", "-o", path, path], check=True)


def by_polib(path: Path) -> None:
    polib.pofile(str(path), wrapwidth=78).save()


def by_translate_toolkit(path: Path) -> None:
    store = pypo.pofile.parsefile(str(path))  # type: ignore[no-untyped-call]
    for unit in store.units:
        if not unit.isheader() and unit.istranslated() and not unit.hasplural():
            unit.target = str(unit.target)  # written anew by the tool, as after a translator's change
    store.save()


def as_poedit(path: Path) -> None:
    """As a translator's editor saves it on Windows: lines broken, its own header lines, Windows line ends."""
    by_polib(path)
    own = '"PO-Revision-Date: 2026-01-05 09:00+0000\\n"\n"X-Generator: An editor 3.4\\n"\n'
    text = path.read_text("utf-8").replace('"MIME-Version', own + '"MIME-Version')
    path.write_bytes(text.replace("\n", "\r\n").encode())


@pytest.mark.parametrize("tool", [by_msgcat, by_polib, by_translate_toolkit, as_poedit])
@pytest.mark.parametrize("source", ["full", *SHIPPED])
def test_files_touched_by_other_tools_say_the_same(tool: object, source: str, tmp_path: Path) -> None:
    assert callable(tool)
    path = tmp_path / "pl.po"
    shipped = locales_folder() / f"{source}.po"
    path.write_text(po_text(FULL) if source == "full" else shipped.read_text("utf-8"), "utf-8")
    before, _ = read_po_file(path.read_bytes(), "pl.po")
    tool(path)
    after, findings = read_po_file(path.read_bytes(), "pl.po")
    assert findings == []
    assert without_lines(after).entries == without_lines(before).entries
    assert without_lines(after).obsolete == without_lines(before).obsolete
    assert before.header.items() <= after.header.items()


@pytest.mark.parametrize("tag", SHIPPED)
def test_another_reader_reads_the_same(tag: str) -> None:
    """polib, an independent reader, on the shipped files."""
    path = locales_folder() / f"{tag}.po"
    po, _ = read_po_file(path.read_bytes(), path.name)
    other = polib.pofile(str(path))
    expected = {
        entry.msgctxt: tuple(entry.msgstr_plural[key] for key in sorted(entry.msgstr_plural)) or (entry.msgstr,)
        for entry in other
    }  # fmt: skip
    assert {entry.id: entry.texts for entry in po.entries} == expected
    assert {entry.id: entry.note for entry in po.entries} == {entry.msgctxt: entry.comment for entry in other}
    assert po.header == other.metadata


PL = Locale.parse("pl")
STOP_MESSAGE = Message("A.test.stop", "Stop at {time}.", "A note.")


def update_of(po: PoFile, *messages: Message) -> PoFile:
    return updated(po, {message.id: message for message in messages}, "pl", PL)


def test_an_update_keeps_changed_words_and_marks_them() -> None:
    po, _ = read_po_file(PO.encode(), "pl.po")
    entry = update_of(po, Message("A.test.stop", "Stop before {time}.", "A new note.")).entries[0]
    assert entry.english == ("Stop before {time}.",)
    assert entry.texts == ("Przestań o {time}.",)
    assert entry.fuzzy
    assert entry.previous == ("Stop at {time}.",)
    assert entry.note == "A new note."


def test_a_second_change_keeps_the_english_that_the_words_were_made_for() -> None:
    po, _ = read_po_file(PO.encode(), "pl.po")
    once = update_of(po, Message("A.test.stop", "Stop before {time}.", "N."))
    twice = update_of(once, Message("A.test.stop", "Stop drinking before {time}.", "N."))
    assert twice.entries[0].previous == ("Stop at {time}.",)


def test_an_update_never_takes_words_from_a_like_sentence() -> None:
    """A common tool gave "Do not take your diabetes tablets" the words of "Take your blood pressure tablets"."""
    po, _ = read_po_file(PO.encode(), "pl.po")
    new = update_of(po, STOP_MESSAGE, Message("A.test.stop-not", "Do not stop at {time}.", "N."))
    assert new.entries[1].texts == ("",)
    assert not new.entries[1].fuzzy


def test_what_is_no_longer_used_stays_at_the_end_and_comes_back() -> None:
    po, _ = read_po_file(PO.encode(), "pl.po")
    without = update_of(po, Message("C.test.now", "Now", "N."))
    assert [entry.id for entry in without.obsolete] == ["A.test.stop", "B.test.days"]
    again, findings = read_po_file(po_text(without).encode(), "pl.po")
    assert findings == []
    assert update_of(again, STOP_MESSAGE).entries[0].texts == ("Przestań o {time}.",)


def test_a_sentence_that_becomes_a_counted_one_keeps_its_words() -> None:
    po, _ = read_po_file(PO.encode(), "pl.po")
    entry = update_of(
        po, Message("A.test.stop", "Stop in 1 hour.", "N.", other="Stop in {n} hours.")
    ).entries[0]
    assert entry.texts == ("Przestań o {time}.",) * 3
    assert entry.fuzzy


def test_an_update_keeps_header_lines_and_remarks_of_others() -> None:
    new = update_of(FULL, Message("A.test.stop", FULL.entries[0].english[0], FULL.entries[0].note))
    assert new.header["X-Clock"] == "24"
    assert new.header["Last-Translator"] == "tr-3"
    assert new.entries[0].comments == FULL.entries[0].comments
    assert new.entries[0].references == FULL.entries[0].references


@pytest.mark.parametrize("tag", SHIPPED)
def test_shipped_files_are_written_as_the_program_writes_them(tag: str) -> None:
    path = locales_folder() / f"{tag}.po"
    po, _ = read_po_file(path.read_bytes(), path.name)
    assert po_text(po) == path.read_text("utf-8")
