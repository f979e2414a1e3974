"""The card for who does not speak the unit's language: what to say, and how it sounds, beside every number."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from generator.page.booklet import booklet_for
from generator.page.life import Life
from generator.page.saying import saying_view
from generator.words.speaker import Speaker
from tests.notices import Office, office


@pytest.fixture(scope="module")
def unit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("office")) as opened:
        yield opened


def card(page: str) -> str:
    """The card as a person reads it; "" where there is none."""
    found = re.search(r'<div class="say" id="say">.*?</div>', page, re.DOTALL)
    return " ".join(re.sub("<[^>]+>|[\u2066-\u2069]", "", found[0]).split()) if found else ""


def test_it_stands_in_the_units_language_on_a_page_in_another_one(unit: Office) -> None:
    plan = unit.plans["DEMO-102"]
    files = booklet_for(plan, unit.desk.parts).files
    spanish = files["index.html"].decode()
    number = plan.identity.call_number
    assert (
        f"I have a bowel examination. I speak Spanish. I need an interpreter. My call number is {number}."
        in card(spanish)
    )
    assert card(spanish).endswith(" ".join(number))  # digit by digit, after the sentences as they sound
    assert '<p class="said" lang="en" dir="ltr">' in spanish
    assert 'href="#say"' in spanish[: spanish.index('<section id="steps"')]  # from the number on the card
    assert card(files["en.html"].decode()) == ""


@pytest.mark.parametrize("what", [Life.HELD, Life.CANCELLED, Life.ENDED])
def test_it_stands_beside_the_numbers_of_every_page_in_a_plans_place(unit: Office, what: Life) -> None:
    page = unit.booklet(unit.notice(what, "DEMO-103")).files["index.html"].decode()
    assert "I speak Arabic." in card(page)


def test_the_farewell_has_none_for_nothing_of_the_booking_is_left_there(unit: Office) -> None:
    assert card(unit.booklet(unit.notice(Life.FAREWELL, "DEMO-103")).files["index.html"].decode()) == ""


def test_a_unit_that_speaks_no_english_is_spoken_to_in_its_own_language(unit: Office) -> None:
    """Arabic staff, a Spanish reader: the sentences in Arabic, and no English as it sounds."""
    arabic, spanish = unit.desk.wordings["ar"], unit.desk.wordings["es"]
    view = saying_view(arabic, Speaker(spanish), "204816")
    assert view is not None
    assert (view.lang, view.dir, view.spelled) == ("ar", "rtl", "")
    assert "الإسبانية" in view.sentences[1]
    assert saying_view(arabic, Speaker(replace(arabic, tag="ar-EG")), "204816") is None
