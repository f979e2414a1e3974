"""What makes a translated sentence unusable, and what is only worth a look; by sentences of several languages."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from babel import Locale
from click.testing import CliRunner

from generator.cli.language import language
from generator.materials.shipped import read_shipped, shipped_folder
from generator.page.catalogue import catalogue
from generator.words.checks import entry_faults
from generator.words.hints import entry_hints
from generator.words.message import Message
from generator.words.plurals import is_plural_header, plural_header
from generator.words.po import Entry
from generator.words.speech import Speech, speech_of
from generator.words.whole_file import remarks_on
from generator.words.wording import wording_from

MESSAGES = catalogue(read_shipped().templates)


def speech(tag: str) -> Speech:
    return speech_of(tag, Locale.parse(tag, sep="-"))


def faults(
    tag: str, english: str | tuple[str, str], *texts: str, risk: str = "A", remark: str = ""
) -> list[str]:
    return [finding.kind for finding in entry_faults(entry(english, texts, risk, remark), speech(tag))]


def hints(tag: str, english: str | tuple[str, str], *texts: str) -> list[str]:
    return [finding.kind for finding in entry_hints(entry(english, texts, "A", ""), speech(tag))]


def entry(english: str | tuple[str, str], texts: tuple[str, ...], risk: str, remark: str) -> Entry:
    forms = (english,) if isinstance(english, str) else english
    return Entry(f"{risk}.test.one", forms, texts, comments=(remark,) if remark else ())


STOP = "Stop at {time}."


@pytest.mark.parametrize(
    ("tag", "text", "kind"),
    [
        ("pl", "Przestań o {godzina}.", "placeholder-unknown"),
        ("pl", "Przestań o 18.", "placeholder-missing"),
        ("pl", "Przestań o { time }.", "placeholder-broken"),
        ("pl", "Przestań o {Time}.", "placeholder-broken"),
        ("pl", "Przestań o {time.", "placeholder-broken"),
        ("pl", "Przestań o {{time}}.", "placeholder-broken"),
        ("pl", "Przestań o %(time)s.", "placeholder-broken"),
        ("zh-Hans", "在｛time｝停止。", "placeholder-broken"),
        ("pl", "Przestań <b>o</b> {time}.", "markup"),
        ("pl", "Przestań o&nbsp;{time}.", "markup"),
        ("pl", "Przestań **o {time}.", "bold-open"),
        ("ar", "التوقف عند \u200f{time}.", "sign-hidden"),
        ("ar", "التوقف عند \u202b{time}\u202c.", "sign-hidden"),
        ("pl", "Przesta\u00adń o {time}.", "sign-hidden"),
        ("pl", "\ufeffPrzestań o {time}.", "sign-hidden"),
        ("pl", "Przesta\u200bń o {time}.", "sign-hidden"),
        ("pl", "Przesta\ufffd o {time}.", "sign-hidden"),
        ("pl", "PrzestaÅ„ o {time}.", "letters-broken"),
        ("pl", "Zażyj dwie szklanki zimnej wody pĂłźniej o {time}.", "letters-broken"),
        ("ar", "Ø§Ù„ØªÙˆÙ‚Ù عند {time}.", "letters-broken"),
        ("bn", "à¦¬à¦¨à§à¦§ করুন {time}।", "letters-broken"),
        (
            "pl",
            "Przesta? pi? o {time}.",
            "",
        ),  # only inside words can a question mark be told from a question's
        ("pl", "Przesta?cie o {time}.", "letters-broken"),
        ("pl", "Przestań о kаwie o {time}.", "script-mixed"),  # Cyrillic а in “kаwie”
        ("bn", "বন্ধ করуন {time}।", "script-mixed"),
        ("pl", "   ", "text-blank"),
        ("pl", "Перестаньте в {time}.", "script-other"),
        ("bn", "{time} पर रुकें।", "script-other"),
        ("pl", STOP, "english-left"),
        ("ar", "Stop عند {time}.", "english-left"),
        ("ar", "Stop at {time}.", "english-left"),
    ],
)
def test_a_fault_in_a_sentence_is_found(tag: str, text: str, kind: str) -> None:
    """Misread letters as Windows-1252 and -1250 show UTF-8; look-alikes by Unicode's confusables."""
    assert (kind in faults(tag, STOP, text)) if kind else faults(tag, STOP, text) == []


@pytest.mark.parametrize(
    ("tag", "english", "text", "expected"),
    [
        ("pl", "For 24 hours do not drive.", "Przez 24 godziny nie prowadź samochodu.", []),
        ("pl", "For 24 hours do not drive.", "Przez 42 godziny nie prowadź samochodu.", ["numbers-differ"]),
        ("pl", "For 24 hours do not drive.", "Przez dobę nie prowadź samochodu.", ["numbers-differ"]),
        ("pl", "Do not drive.", "Nie prowadź przez 24 godziny.", ["numbers-differ"]),
        ("bn", "For 24 hours do not drive.", "২৪ ঘণ্টা গাড়ি চালাবেন না।", []),
        ("bn", "For 24 hours do not drive.", "২৫ ঘণ্টা গাড়ি চালাবেন না।", ["numbers-differ"]),
        ("pl", "Drink 1.5 litres.", "Wypij 1,5 litra.", []),
        ("pl", "Drink 1.5 litres.", "Wypij 15 litra.", ["numbers-differ"]),
        ("pl", "Drink 1000 mL.", "Wypij 1 000 mL.", []),
        ("de", "Drink 1000 mL.", "Trinken Sie 1.000 mL.", []),
        ("pl", "Drink 1000 mL.", "Wypij 100 mL.", ["numbers-differ"]),
        ("ar", "Fever of 38 degrees or more", "حرارة ٣٨ درجة أو أكثر", []),
    ],
)
def test_numbers_are_the_same(tag: str, english: str, text: str, expected: list[str]) -> None:
    assert faults(tag, english, text) == expected


def test_a_small_number_in_words_needs_a_remark() -> None:
    english, text = "Drink 2 glasses.", "Wypij dwie szklanki."
    assert faults("pl", english, text) == ["numbers-differ"]
    assert faults("pl", english, text, remark="In words: two") == []
    assert faults("pl", "Drink 200 mL.", "Wypij dwieście mL.", remark="in words") == ["numbers-differ"]


@pytest.mark.parametrize(
    ("tag", "english", "text", "expected"),
    [
        ("pl", "Take no more of the bowel medicine.", "Nie bierz więcej of the bowel medicine.", ["english-left"]),
        ("pl", "Call the unit.", "Zadzwoń do unit.", ["english-left"]),
        ("pl", "Belly pain that stays", "Ból brzucha, który which trwa", []),  # not this sentence's English
        ("es", "No", "No", []),  # the same word
        ("es", "Alcohol", "Alcohol", []),  # the same word
        ("es", "Take glucose or sugar at once.", "Tome glucosa o azúcar enseguida.", []),
        ("de", "in the night from Monday to Tuesday", "in der Nacht von Montag auf Dienstag", []),
        ("nl", "You vomit the bowel medicine", "U braakt het darmmiddel uit", []),
        ("fr", "medicine of the GLP-1 kind, not insulin", "médicament du type GLP-1, pas l’insuline", []),
        ("ar", "in {hours} h {minutes} min", "بعد {hours} h {minutes} min", []),
        ("ar", "diabetes tablets of the SGLT2 kind", "أقراص السكري من نوع SGLT2", []),
        ("ar", "You take lithium", "إذا كنت تتناول lithium", ["english-left"]),
        ("zh-Hans", "{date}, {time}", "{date}, {time}", []),
        ("en-US", "Yellow or green jelly", "Yellow or green jelly", []),
    ],
)  # fmt: skip
def test_english_is_not_left_in_a_sentence(tag: str, english: str, text: str, expected: list[str]) -> None:
    assert faults(tag, english, text) == expected


DAYS = ("in 1 day", "in {n} days")


@pytest.mark.parametrize(
    ("tag", "texts", "expected"),
    [
        ("pl", ("za 1 dzień", "za {n} dni", "za {n} dni"), []),
        ("pl", ("za dzień", "za {n} dni", "za {n} dni"), []),
        ("pl", ("za {n} dzień", "za {n} dni", "za {n} dni"), []),
        ("pl", ("za 2 dni", "za {n} dni", "za {n} dni"), ["numbers-differ"]),
        ("pl", ("za 1 dzień", "za kilka dni", "za {n} dni"), ["placeholder-missing"]),
        ("pl", ("za 1 dzień", "za {n} dni"), ["plural-count"]),
        ("pl", ("za 1 dzień", "", "za {n} dni"), ["plural-empty"]),
        # In Russian the first form is also for 21 and 31: there it must say the number.
        ("ru", ("через день", "через {n} дня", "через {n} дней"), ["placeholder-missing"]),
        ("ar", ("اليوم", "بعد يوم", "بعد يومين", "بعد {n} أيام", "بعد {n} يومًا", "بعد {n} يوم"), []),
        ("ar", ("اليوم", "بعد يوم", "بعد يومين", "بعد أيام", "بعد {n} يومًا", "بعد {n} يوم"), ["placeholder-missing"]),
        ("bn", ("{n} দিনে", "{n} দিনে"), []),
    ],
)  # fmt: skip
def test_each_form_says_the_number_it_needs(tag: str, texts: tuple[str, ...], expected: list[str]) -> None:
    """CLDR's plural rules: Polish one/few/many, Russian one is 1, 21, 31 …, Arabic six forms."""
    assert faults(tag, DAYS, *texts, risk="B") == expected


@pytest.mark.parametrize(
    ("tag", "english", "text", "kind"),
    [
        ("pl", "Do not start the bowel medicine.", "Proszę zacząć pić lek na jelita.", "denial-lost"),
        ("pl", "Do not start the bowel medicine.", "Nie zaczynaj pić leku na jelita.", ""),
        ("ar", "Do not start the bowel medicine.", "يُرجى بدء دواء تنظيف الأمعاء.", "denial-lost"),
        ("ar", "Do not start the bowel medicine.", "يُمنع بدء دواء تنظيف الأمعاء.", ""),
        ("es", "Take no more of it.", "Tome más.", "denial-lost"),
        ("pl", "Stop the bowel medicine and ring the unit now", "Stop", "length"),
        ("pl", "From {since} until {until}, eat.", "Od {until} do {since} jedz.", "placeholder-order"),
        ("pl", "Call {phone}.", "Zadzwoń: {phone}, {phone}.", "placeholder-twice"),
        ("pl", "Are there bits in it?", "Są w nim kawałki.", "end-mark"),
        ("ar", "Are there bits in it?", "هل توجد فيه قطع؟", ""),
        ("bn", "You may eat.", "আপনি খেতে পারেন।", ""),
        ("pl", "Do it. Then call. Then wait.", "Zrób to. Potem zadzwoń.", "sentences"),
        ("pl", "Call the unit.", " Zadzwoń do nas.", "space-edge"),
        ("pl", "Call the unit.", "Zadzwoń  do nas.", "space-inside"),
        ("pl", "Call the unit.", "Zadzwoń do do nas.", "word-doubled"),
        ("pl", "Call the unit.", "Zadzwoń (do nas.", "brackets"),
        ("pl", "Call the unit.", "Zadzwon\u0301 do nas.", "letters-parted"),
        ("ar", "Call the unit.", "الاتصال بالوحدۀ یجب.", "letter-other"),
        ("ro", "Call the unit.", "Sunaţi la unitate.", "letter-other"),
        ("pl", "**Call** the unit.", "Zadzwoń do nas.", "bold"),
    ],
)
def test_what_is_worth_a_look_is_told_and_stops_nothing(tag: str, english: str, text: str, kind: str) -> None:
    assert (kind in hints(tag, english, text)) if kind else hints(tag, english, text) == []
    assert faults(tag, english, text) == []


@pytest.mark.parametrize("tag", [pytest.param(tag, marks=pytest.mark.words_of(tag)) for tag in ("es", "ar")])
def test_drafts_that_are_there_give_no_false_alarm(tag: str) -> None:
    raw = (shipped_folder("locales") / f"{tag}.po").read_bytes()
    assert remarks_on(raw, tag, f"{tag}.po", MESSAGES) == []


@pytest.mark.parametrize(
    ("rule", "right"),
    [
        ("nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<12 || n%100>14) ? 1 : 2);", True),
        ("nplurals=3; plural=n==1 ? 0 : n%10>=2 && n%10<=4 && n%100<10 || n%100>=20 ? 1 : 2", False),
        ("nplurals=4; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<12 || n%100>14) ? 1 : 2);", False),
        ("nplurals=2; plural=(n != 1);", False),
        ("nplurals=3; plural=(n==1 ?", False),
        ("nplurals=3; plural=n/0;", False),
        ("", False),
    ],
)
def test_a_plural_rule_is_judged_by_what_it_chooses(rule: str, right: bool) -> None:
    """The second lacks a bracket, as a platform once wrote it into a whole desktop's Polish."""
    assert is_plural_header(rule, Locale.parse("pl")) is right
    assert is_plural_header(plural_header(Locale.parse("pl")), Locale.parse("pl"))


PO = """msgid ""
msgstr ""
"Language: es\\n"

msgctxt "A.test.one"
msgid "Stop at {time}."
msgstr "Pare a las 18:00."

msgctxt "A.test.two"
msgid "Call."
msgstr "Llame."

msgctxt "B.test.days"
msgid "in 1 day"
msgid_plural "in {n} days"
msgstr[0] "en 1 día"
msgstr[1] "en {n} días"
"""
ONE = Message("A.test.one", "Stop at {time}.", "N.")
TWO = Message("A.test.two", "Call.", "N.")
COUNTED = Message("B.test.days", *DAYS[:1], "N.", other=DAYS[1])


def test_one_faulty_sentence_is_missing_and_told_and_the_rest_stays() -> None:
    wording, findings = wording_from(PO.encode(), "es", "es.po")
    assert findings == []
    assert wording is not None
    assert wording.forms(ONE) is None
    assert {finding.kind for finding in wording.faults_of("A.test.one")} == {
        "placeholder-missing",
        "numbers-differ",
    }
    assert wording.faults_of("A.test.one")[0].where == "es.po:5 A.test.one"
    assert wording.forms(TWO) == ("Llame.",)
    assert wording.forms(COUNTED) == ("en 1 día", "en {n} días")


def test_words_made_for_other_english_are_missing() -> None:
    wording, _ = wording_from(PO.encode(), "es", "es.po")
    assert wording is not None
    assert wording.forms(replace(TWO, english="Do not call.")) is None


def test_a_wrong_plural_rule_costs_the_counted_sentences_alone() -> None:
    wrong = PO.replace("es\\n", 'es\\n"\n"Plural-Forms: nplurals=2; plural=(n > 1);\\n')
    wording, _ = wording_from(wrong.encode(), "es", "es.po")
    assert wording is not None
    assert wording.forms(COUNTED) is None
    assert [finding.kind for finding in wording.faults_of("B.test.days")] == ["plural-rule"]
    assert wording.forms(TWO) == ("Llame.",)


def test_a_file_of_another_language_is_refused() -> None:
    wording, findings = wording_from(PO.encode(), "pl", "pl.po")
    assert wording is None
    assert [finding.kind for finding in findings] == ["language-differs"]


def test_a_translator_is_told_line_id_english_and_what_to_do() -> None:
    messages = {message.id: message for message in (ONE, replace(TWO, english="Call now."), COUNTED)}
    raw = PO.replace('#, fuzzy\nmsgctxt "B', 'msgctxt "B').encode()
    one, two = remarks_on(raw, "es", "es.po", messages)
    assert (one.where, one.id, one.english, one.missing) == ("es.po:5", "A.test.one", "Stop at {time}.", True)
    assert one.findings[0].problem == "{time} is missing."
    assert (two.where, two.english) == ("es.po:9", "Call now.")
    assert [finding.kind for finding in two.findings] == ["english-differs"]


@pytest.mark.parametrize(
    ("change", "kind"),
    [
        (('msgctxt "A.test.two"', 'msgctxt "A.test.tow"'), "id-unknown"),
        (('msgstr "Llame."', 'msgstr ""'), "not-translated"),
        (('msgctxt "A.test.two"', '#, fuzzy\nmsgctxt "A.test.two"'), "unfinished"),
    ],
)
def test_what_is_not_finished_is_told(change: tuple[str, str], kind: str) -> None:
    messages = {message.id: message for message in (ONE, TWO, COUNTED)}
    told = remarks_on(PO.replace(*change).encode(), "es", "es.po", messages)
    assert kind in {finding.kind for remarks in told for finding in remarks.findings}


@pytest.mark.words_of("es")
def test_the_command_says_it_in_plain_sentences(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = (shipped_folder("locales") / "es.po").read_text("utf-8")
    (tmp_path / "es.po").write_text(text.replace('"No beba alcohol."', '"Beba alcohol <b>."'), "utf-8")
    monkeypatch.setenv("DAYBEFORE_LOCALES", str(tmp_path))
    result = CliRunner().invoke(language, ["check", "es"])
    assert result.exit_code == 1
    assert result.output == (
        "es.po:11 A.after.alcohol\n"
        "  English: Do not drink alcohol.\n"
        "  MEND  “<b>” is a mark-up sign.\n"
        "        Next: Write plain words; **bold** is all there is.\n"
        "  LOOK  English says “not”; no such word was found here.\n"
        "        Next: Look whether the sentence still forbids, or says that something is not so.\n"
        "es.po: 1 of the messages cannot be shown. Worth a look: 1.\n"
    )


@pytest.mark.parametrize(
    ("message_id", "text", "told"),
    [
        ("B.find.seaweed", "nori, konjac, wodorosty", []),
        ("B.find.seaweed", "seaweed, nori, konjac", ["english-left"]),
        ("B.food.seaweed", "nori, konjac, wodorosty", ["english-left"]),
        ("B.look.small", "a, i, z, ze", []),
    ],
)
def test_words_that_are_only_searched_may_be_those_of_another_language(
    message_id: str, text: str, told: list[str]
) -> None:
    """Names of foods travel, and a language has as many of them as it has; a list left as it was is still a fault."""
    found = Entry(message_id, ("seaweed, nori, konjac",), (text,))
    assert [finding.kind for finding in entry_faults(found, speech("pl"))] == told


def test_a_list_of_names_may_be_of_any_length() -> None:
    names = "alubias, frijoles, judías, porotos, habichuelas, caraotas, fabes"
    for message_id, told in (("B.find.beans", []), ("B.food.beans", ["length"])):
        found = Entry(message_id, ("beans",), (names,))
        assert [finding.kind for finding in entry_hints(found, speech("es"))] == told
