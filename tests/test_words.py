"""Messages, language files and how a language writes days and times."""

from __future__ import annotations

import datetime as dt
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from babel import Locale

from generator.materials.shipped import locales_folder, read_shipped, shipped_folder
from generator.page.catalogue import catalogue
from generator.plan.moments import instants_of
from generator.words.clock import date_text, day_phrase, time_text, when_text
from generator.words.message import Message
from generator.words.plurals import plural_categories, plural_header
from generator.words.speaker import Speaker
from generator.words.wording import wording_from

# The languages that every change brings along; others are completed when the English has settled.
KEPT_WHOLE = [pytest.param(tag, marks=pytest.mark.words_of(tag)) for tag in ("es", "ar")]
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
    wording, findings = wording_from((locales_folder() / f"{tag}.po").read_bytes(), tag, f"{tag}.po")
    assert wording is not None, findings
    return Speaker(wording)


def moment(day: str, clock: str) -> dt.datetime:
    return instants_of("Europe/London", dt.date.fromisoformat(day), dt.time.fromisoformat(clock))[0]


@pytest.mark.parametrize("tag", KEPT_WHOLE)
def test_languages_that_are_kept_whole_lack_nothing(tag: str) -> None:
    wording = speaker(tag).wording
    assert [message.id for message in MESSAGES.values() if wording.forms(message) is None] == []


def test_a_message_needs_class_note_and_known_placeholders() -> None:
    for wrong in (
        ("X.a.b", "Text", "Note"),
        ("A.a.b", "Text", ""),
        ("A.a.b", "At {tiem}", "Note"),
        ("A.a", "T", "N"),
    ):
        with pytest.raises(ValueError, match=r"message"):
            Message(*wrong)


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


@pytest.mark.words_of("es")
@pytest.mark.words_of("ar")
def test_dates_are_written_as_the_language_does() -> None:
    day = dt.date(2026, 3, 18)
    assert without_marks(date_text(speaker("en"), day)) == "Wednesday 18 March"
    assert without_marks(date_text(speaker("es"), day)) == "miércoles, 18 de marzo"
    assert without_marks(date_text(speaker("ar"), day)) == "الأربعاء، 18 مارس"


def test_values_are_isolated_and_escaped() -> None:
    message = Message("A.test.stop", "Stop at {time} or call {phone}.", "Test.")
    html = speaker("en").markup(message, time="<b>18:00</b>", phone="01632 960 145")
    assert html == ("Stop at <bdi>&lt;b&gt;18:00&lt;/b&gt;</bdi> or call <bdi>01632\u00a0960\u00a0145</bdi>.")
    assert "18:00" in without_marks(when_text(speaker("en"), moment("2026-03-18", "18:00")))


@pytest.mark.words_of("ar")
def test_from_right_to_left_values_inside_values_keep_their_order() -> None:
    """In a language from left to right nothing could be reordered, so there are no marks (Unicode Annex 9)."""
    assert "\u206618:00\u2069" in when_text(speaker("ar"), moment("2026-03-18", "18:00"))
    assert not re.search("[\u2066\u2067]", when_text(speaker("en"), moment("2026-03-18", "18:00")))
    stop = Message("A.test.stop", "Stop at {time}.", "Test.")
    arabic = replace(speaker("ar").wording, texts={"A.test.stop": ("{time}",)})
    assert Speaker(arabic).markup(stop, time="18:00") == '<bdi dir="ltr">18:00</bdi>'


def test_percent_and_markup_in_a_translation_are_only_text() -> None:
    """Mark-up is refused where a file is read; should it come this far all the same, it is shown as it stands."""
    wording = replace(speaker("es").wording, texts={"A.test.one": ("Pare <script> 50% {time}.",)})
    html = Speaker(wording).markup(Message("A.test.one", "Stop at {time}.", "Test."), time="18:00")
    assert html.startswith("Pare &lt;script&gt; 50% <bdi")


def without_marks(text: str) -> str:
    return text.translate(dict.fromkeys((0x2066, 0x2067, 0x2068, 0x2069)))
