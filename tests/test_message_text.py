"""Text messages: what each says, and what none may say. Common practice, no source, but where one is named."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from generator.page.message_text import MESSAGES, Kind, TextMessage, text_message
from generator.words.speaker import Speaker
from tests.notices import Office, office

LINK = re.compile(r"https://plans\.example\.org/p/[a-z0-9]{26}/")


@pytest.fixture(scope="module")
def unit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("texts")) as found:
        yield found


def said(unit: Office, kind: Kind, tag: str = "en", replaced: str = "", **changed: object) -> TextMessage:
    plan = unit.plans["DEMO-101"]
    clinic = replace(plan.unit, **changed)  # type: ignore[arg-type]
    speaker = Speaker(unit.desk.wordings[tag])
    text = text_message(kind, clinic, plan.identity, "https://plans.example.org/", speaker, replaced)
    assert speaker.missing == set()
    return text


def test_the_first_message_as_a_patient_gets_it(unit: Office) -> None:
    text, link = said(unit, Kind.FIRST, demonstration=False).text.split("\n")
    assert text == (
        "From Marl Bay Clinic: Here is the plan for your appointment. Open the link now and read it. "
        "The page must show plan code 461. This message asks for nothing else. Questions? Call 01632 960 182."
    )
    assert LINK.fullmatch(link)


@pytest.mark.parametrize(
    ("kind", "replaced", "sentences"),
    [
        (Kind.FIRST, "352", ["Plan 352 holds no longer."]),
        (
            Kind.MOVED,
            "352",
            ["has moved. Do not follow the old times. Plan 352 holds no longer.", "code 461"],
        ),
        (Kind.CHANGED, "352", ["plan has changed. Do not follow the old one. Plan 352 holds", "code 461"]),
        (
            Kind.HELD,
            "461",
            ["Do not follow the old times. Plan 461 holds no longer. Call us: 01632 960 182."],
        ),
        (Kind.HELD, "461", ["Until someone answers, take none of the medicine for this appointment."]),
        (
            Kind.CANCELLED,
            "461",
            ["Take no more of the medicine for this appointment. Eat and drink normally again."],
        ),
        (Kind.CANCELLED, "461", ["stopped or changed a tablet or an injection? Call us: 01632 960 182."]),
        (Kind.SIX_DAYS, "", ["in a few days", "plan code 461"]),
        (Kind.TWO_DAYS, "", ["whether you have all that it lists", "plan code 461"]),
        (Kind.DAY_BEFORE, "", ["follow your plan hour by hour", "plan code 461"]),
    ],
)
def test_each_kind_says_what_it_is_for(unit: Office, kind: Kind, replaced: str, sentences: list[str]) -> None:
    text = said(unit, kind, replaced=replaced).text
    for sentence in sentences:
        assert sentence in text


@pytest.mark.parametrize("kind", Kind)
@pytest.mark.parametrize("tag", ["en", "es", "ar"])
def test_every_message_names_unit_and_number_ends_with_the_link_and_is_marked(
    unit: Office, kind: Kind, tag: str
) -> None:
    """A link is followed by nothing: telephones take a full stop or a mark of direction for a part of it."""
    made = said(unit, kind, tag, replaced="352")
    body, link = made.text.split("\n")
    assert "Marl Bay Clinic" in body
    assert "01632 960 182" in body.replace("\u00a0", " ")
    assert LINK.fullmatch(link)
    assert {"en": "Demonstration. Do not follow.", "es": "Demostración.", "ar": "عرض توضيحي"}[tag] in body
    assert said(unit, kind, tag, replaced="352", demonstration=False).parts.count <= 5


def test_none_names_an_examination_a_day_or_an_hour() -> None:
    """It stands on a locked screen, and a day or hour in it would outlive the plan that it is from."""
    telling = re.compile(
        r"bowel|colon|stool|endoscop|examin|laxative|toilet|hospital|\{(?:date|time|day|when)\}"
    )
    assert [message.id for message in MESSAGES if telling.search(message.english.lower())] == []
    assert [message.id for message in MESSAGES if re.search(r"\d", message.english)] == []


def test_where_a_unit_has_no_other_name_its_own_is_said(unit: Office) -> None:
    assert said(unit, Kind.FIRST, sender="Marl Bay Endoscopy Unit").text.startswith(
        "From Marl Bay Endoscopy Unit:"
    )


def test_a_number_keeps_its_order_in_arabic(unit: Office) -> None:
    """Unicode Annex 9, rule W4: a no-break space between two numbers joins them; a space would swap them."""
    text = said(unit, Kind.FIRST, "ar").text
    assert "01632\u00a0960\u00a0182" in text
    assert said(unit, Kind.FIRST, "ar").dir == "rtl"


def test_english_is_sent_in_the_small_alphabet(unit: Office) -> None:
    assert said(unit, Kind.FIRST).parts.alphabet == "GSM-7"
    assert said(unit, Kind.FIRST).parts.count == 2


def test_the_unit_file_says_how_messages_name_it(tmp_path: Path, unit: Office) -> None:
    assert unit.desk.folder.unit.sender == "Marl Bay Clinic"
