"""Messages, language files and how a language writes days and times."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

import pytest
from babel import Locale

from generator.materials.shipped import read_shipped, shipped_folder
from generator.page.catalogue import catalogue
from generator.plan.moments import instants_of
from generator.words.clock import date_text, day_phrase, time_text, when_text
from generator.words.message import Message
from generator.words.po import Entry, po_text, read_po_file
from generator.words.speaker import Speaker
from generator.words.wording import plural_categories, plural_header, wording_from

TAGS = sorted(path.stem for path in shipped_folder("locales").glob("*.po"))
MESSAGES = catalogue(read_shipped().templates)
PO = """msgid ""
msgstr ""
"Language: es\\n"

#. A note.
msgctxt "A.test.one"
msgid "Stop at {time}."
msgstr "Pare a las {time}."
"""


def speaker(tag: str) -> Speaker:
    wording, findings = wording_from((shipped_folder("locales") / f"{tag}.po").read_bytes(), tag, f"{tag}.po")
    assert wording is not None, findings
    return Speaker(wording)


def moment(day: str, clock: str) -> dt.datetime:
    return instants_of("Europe/London", dt.date.fromisoformat(day), dt.time.fromisoformat(clock))[0]


@pytest.mark.parametrize("tag", TAGS)
def test_every_language_is_whole(tag: str) -> None:
    wording = speaker(tag).wording
    assert [message.id for message in MESSAGES.values() if wording.forms(message) is None] == []


def test_class_a_english_is_short_and_says_one_thing() -> None:
    """Common practice for plain instructions: at most 15 words; words of time that depend on the day are not used."""
    for message in MESSAGES.values():
        words = message.english.split()
        assert len(words) <= (15 if message.risk == "A" else 20), message.id
        for banned in ("today", "tonight", "tomorrow", "noon", "midnight", "and/or", "(s)", "!"):
            assert banned not in message.english.casefold().split(), message.id


def test_a_message_needs_class_note_and_known_placeholders() -> None:
    for wrong in (
        ("X.a.b", "Text", "Note"),
        ("A.a.b", "Text", ""),
        ("A.a.b", "At {tiem}", "Note"),
        ("A.a", "T", "N"),
    ):
        with pytest.raises(ValueError, match=r"message"):
            Message(*wrong)


@pytest.mark.parametrize(
    ("broken", "kind"),
    [
        (PO.replace('time}."\nmsgstr', "time}.\nmsgstr"), "po-line"),  # closing quote lost
        (PO.replace("Pare a", 'Pare "a'), "po-line"),  # bare inner quote
        (PO.replace('"Pare a las {time}."', "“Pare a las {time}.”"), "po-line"),  # curly quotes as ends
        (PO.replace("msgctxt", "<<<<<<< ours\nmsgctxt"), "po-line"),  # conflict marks
        (PO + PO.split("\n\n")[1], "po-doubled"),
        (PO.replace("las {time}", "las {hora}"), "placeholder-unknown"),
        (PO.replace("las {time}", "las 18:00"), "placeholder-missing"),
        (PO.replace('msgctxt "A.test.one"\n', ""), "po-no-id"),
    ],
)
def test_a_damaged_file_is_refused_and_the_line_is_named(broken: str, kind: str) -> None:
    wording, findings = wording_from(broken.encode(), "es", "es.po")
    assert wording is None
    assert kind in {finding.kind for finding in findings}


def test_a_file_in_another_encoding_names_the_line() -> None:
    _, findings = read_po_file(PO.replace("Pare", "Paré").encode("cp1252"), "es.po")
    assert [(finding.kind, finding.where) for finding in findings] == [("po-encoding", "es.po:8")]


def test_a_mark_at_the_start_of_the_file_and_windows_line_ends_do_no_harm() -> None:
    wording, findings = wording_from(b"\xef\xbb\xbf" + PO.replace("\n", "\r\n").encode(), "es", "es.po")
    assert findings == []
    assert wording is not None
    assert wording.texts == {"A.test.one": ("Pare a las {time}.",)}


def test_what_is_written_is_read_back() -> None:
    entry = Entry("A.test.two", ('Say “{n}” \\ "now"',), ('Diga «{n}» \\ "ya"',), "Note.", fuzzy=True)
    po, findings = read_po_file(po_text({"Language": "es", "X-Clock": "24"}, [entry]).encode(), "es.po")
    assert findings == []
    assert po.entries[0].texts == entry.texts
    assert po.entries[0].fuzzy
    assert po.header["X-Clock"] == "24"


def test_an_unfinished_entry_counts_as_missing() -> None:
    wording, _ = wording_from(PO.replace("msgctxt", "#, fuzzy\nmsgctxt").encode(), "es", "es.po")
    assert wording is not None
    assert wording.texts == {}


def test_a_language_is_found_by_its_file(tmp_path: Path) -> None:
    """A made-up language: a file in the folder, formats taken from a known language, and nothing else."""
    shutil.copytree(shipped_folder("locales"), tmp_path / "locales")
    made_up = PO.replace("Language: es\\n", 'Language: qxx\\n"\n"X-Formats-From: en-GB\\n')
    (tmp_path / "locales" / "qxx.po").write_text(made_up)
    raw = read_shipped(tmp_path / "locales").words["qxx"]
    wording, findings = wording_from(raw, "qxx", "qxx.po")
    assert findings == []
    assert wording is not None
    assert wording.tag == "qxx"


@pytest.mark.parametrize(
    ("tag", "number", "category"),
    [
        ("ar", 0, "zero"),
        ("ar", 2, "two"),
        ("ar", 3, "few"),
        ("ar", 11, "many"),
        ("ar", 100, "other"),
        ("es", 1, "one"),
        ("es", 0, "other"),
        ("pl", 2, "few"),
        ("pl", 5, "many"),
    ],
)
def test_counted_words_follow_cldr(tag: str, number: int, category: str) -> None:
    """CLDR 47, language plural rules, from memory and as published for these numbers."""
    locale = Locale.parse(tag)
    assert locale.plural_form(number) == category
    assert category in plural_categories(locale)
    assert plural_header(locale).startswith(f"nplurals={len(plural_categories(locale))};")


@pytest.mark.parametrize(
    ("clock", "both"),
    [
        ("05:30", "05:30 (5:30 in the morning)"),
        ("00:10", "00:10 (12:10 at night)"),
        ("12:00", "12:00 (12:00 in the middle of the day)"),
        ("12:30", "12:30 (12:30 in the afternoon)"),
        ("18:00", "18:00 (6:00 in the evening)"),
    ],
)
def test_times_name_the_part_of_the_day(clock: str, both: str) -> None:
    assert without_marks(time_text(speaker("en"), moment("2026-03-18", clock), "both")) == both


@pytest.mark.parametrize(
    ("clock", "phrase"),
    [
        ("20:59", "on Wednesday"),
        ("21:00", "in the night from Wednesday to Thursday"),
        ("05:59", "in the night from Tuesday to Wednesday"),
        ("06:00", "on Wednesday"),
    ],
)
def test_the_night_names_both_days(clock: str, phrase: str) -> None:
    assert day_phrase(speaker("en"), moment("2026-03-18", clock)) == phrase


def test_dates_are_written_as_the_language_does() -> None:
    day = dt.date(2026, 3, 18)
    assert without_marks(date_text(speaker("en"), day)) == "Wednesday 18 March"
    assert without_marks(date_text(speaker("es"), day)) == "miércoles, 18 de marzo"
    assert without_marks(date_text(speaker("ar"), day)) == "الأربعاء، 18 مارس"


def test_values_are_isolated_and_escaped() -> None:
    message = Message("A.test.stop", "Stop at {time} or call {phone}.", "Test.")
    html = speaker("en").markup(message, time="<b>18:00</b>", phone="01632 960 145")
    assert html == (
        'Stop at <bdi dir="ltr" translate="no">&lt;b&gt;18:00&lt;/b&gt;</bdi> or call '
        '<bdi dir="ltr" translate="no">01632 960 145</bdi>.'
    )
    assert "\u206618:00\u2069" in when_text(speaker("en"), moment("2026-03-18", "18:00"))


def test_percent_braces_and_markup_in_a_translation_are_only_text() -> None:
    raw = PO.replace("Pare a las {time}.", "Pare <script> 50% {time}.")
    wording, _ = wording_from(raw.encode(), "es", "es.po")
    assert wording is not None
    html = Speaker(wording).markup(Message("A.test.one", "Stop at {time}.", "Test."), time="18:00")
    assert html.startswith("Pare &lt;script&gt; 50% <bdi")


def without_marks(text: str) -> str:
    return text.translate(dict.fromkeys((0x2066, 0x2067, 0x2068, 0x2069)))
