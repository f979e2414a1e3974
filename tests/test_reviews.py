"""Stamps, ledgers and what a review counts for: the rules, without any file of ours."""

from __future__ import annotations

import datetime as dt

import pytest

from generator.words.reviews import (
    COLUMNS,
    Review,
    Reviews,
    is_code,
    ledger_lines,
    needed_roles,
    reviews_from,
    stamp_of,
)

DAY = dt.date(2026, 1, 5)
WORDS = ("es", "A.a.b", ("Stop at {time}.",), ("Pare a las {time}.",))
STAMP = stamp_of(*WORDS)


def by(role: str, code: str, stamp: str = STAMP, day: dt.date = DAY, **more: str) -> Review:
    return Review("A.a.b", stamp, role, code, day, **more)


THREE = (by("translator", "tr-1"), by("reviser", "rv-2"), by("clinician", "dr-3"))


def test_a_stamp_is_twelve_hex_digits_of_the_words_and_of_nothing_else() -> None:
    """Worked out apart, with sha256sum over the same bytes: tag, id, English and translation parted by 1f, 1e."""
    assert STAMP == "2d686aab9704"


@pytest.mark.parametrize(
    "other",
    [
        ("pt", *WORDS[1:]),
        ("es", "B.a.b", *WORDS[2:]),
        ("es", "A.a.b", ("Stop at {time}",), WORDS[3]),
        ("es", "A.a.b", WORDS[2], ("Para a las {time}.",)),
        ("es", "A.a.b", (*WORDS[2], *WORDS[3]), ()),
    ],
)
def test_another_letter_anywhere_is_another_stamp(
    other: tuple[str, str, tuple[str, ...], tuple[str, ...]],
) -> None:
    assert stamp_of(*other) != STAMP


def test_spacing_and_the_composition_of_letters_do_not_count() -> None:
    """Unicode Annex 15: e + U+0301 is é."""
    assert stamp_of("es", "A.a.b", ("a b",), ("\u00e9",)) == stamp_of(
        "es", "A.a.b", (" a\n b",), ("e\u0301",)
    )


@pytest.mark.parametrize(
    ("tag", "message_id", "roles"),
    [
        ("es", "A.a.b", ("translator", "reviser", "clinician")),
        ("es", "B.a.b", ("translator", "reviser")),
        ("es", "C.a.b", ("translator",)),
        ("en", "A.a.b", ("reviser", "clinician")),
        ("en", "B.a.b", ("reviser",)),
        ("en", "C.a.b", ("reviser",)),
    ],
)
def test_who_has_to_look_at_a_message(tag: str, message_id: str, roles: tuple[str, ...]) -> None:
    assert needed_roles(tag, message_id) == roles
    assert Reviews().standing_of(tag, message_id, STAMP).lacking == roles


def test_all_three_have_looked() -> None:
    assert Reviews(THREE).standing(*WORDS).is_whole
    assert Reviews(THREE).standing("es", "A.a.b", WORDS[2], ("Pare a las {time}!",)).lacking == (
        "translator",
        "reviser",
        "clinician",
    )


def test_nobody_revises_what_they_translated() -> None:
    """ISO 17100: revision is by another person than the translator."""
    alone = (by("translator", "tr-1"), by("reviser", "tr-1"), by("clinician", "dr-3"))
    assert Reviews(alone).standing(*WORDS).lacking == ("reviser",)
    assert Reviews((*alone, by("reviser", "rv-2"))).standing(*WORDS).is_whole


def test_in_english_the_second_reader_is_not_the_clinician() -> None:
    english = ("en", "A.a.b", WORDS[2], WORDS[2])
    stamp = stamp_of(*english)
    alone = (by("reviser", "dr-3", stamp), by("clinician", "dr-3", stamp))
    assert Reviews(alone).standing(*english).lacking == ("reviser",)
    assert Reviews((*alone, by("reviser", "rv-2", stamp))).standing(*english).is_whole


def test_a_message_is_as_old_as_the_oldest_review_that_it_rests_on() -> None:
    later = dt.date(2027, 3, 1)
    renewed = (*THREE, by("translator", "tr-1", day=later), by("clinician", "dr-9", day=later))
    assert Reviews(renewed).standing(*WORDS).since == DAY
    assert Reviews((*renewed, by("reviser", "rv-2", day=later))).standing(*WORDS).since == later


def test_who_stopped_words_may_pass_them_and_nobody_else() -> None:
    stopped = (*THREE, by("stop", "rn-7", reason="says the opposite"))
    assert Reviews(stopped).standing(*WORDS).stopped_by == ("rn-7",)
    assert Reviews((*stopped, by("clinician", "dr-3"))).standing(*WORDS).stopped_by == ("rn-7",)
    assert Reviews((*stopped, by("clinician", "rn-7"))).standing(*WORDS).is_whole


def test_reviews_carried_over_count_as_they_were_given() -> None:
    new = "0123456789ab"
    former = (
        *THREE,
        Review("B.a.b", STAMP, "translator", "tr-1", DAY),
        Review("B.a.b", STAMP, "reviser", "rv-2", DAY),
    )
    later = dt.date(2027, 1, 1)

    def carried(message_id: str, code: str) -> Reviews:
        return Reviews((*former, Review(message_id, new, "carried", code, later, STAMP, "a comma")))

    assert carried("A.a.b", "dr-3").standing_of("es", "A.a.b", new).since == DAY  # not made younger
    assert (
        not carried("A.a.b", "rv-2").standing_of("es", "A.a.b", new).is_whole
    )  # for class A a clinician alone
    assert carried("B.a.b", "tr-1").standing_of("es", "B.a.b", new).is_whole


def test_lines_that_carry_each_other_carry_nothing() -> None:
    one, two = "0" * 12, "1" * 12
    round_trip = (
        Review("B.a.b", one, "carried", "rv-2", DAY, two, "a comma"),
        Review("B.a.b", two, "carried", "rv-2", DAY, one, "a comma"),
    )
    assert Reviews(round_trip).standing_of("es", "B.a.b", one).lacking == ("translator", "reviser")


def test_a_ledger_is_read_as_it_was_written() -> None:
    lines = (
        *THREE,
        by("carried", "dr-3", "0" * 12, carries=STAMP, reason="a comma, only"),
        by("stop", "rn-7"),
    )
    assert reviews_from(ledger_lines(lines, headed=True), "es.csv", of_unit=True) == (lines, [])


@pytest.mark.parametrize(
    "line",
    [
        "A.a.b,abc,translator,tr-1,2026-01-05,,",
        "A.a.b,0123456789ab,boss,tr-1,2026-01-05,,",
        "A.a.b,0123456789ab,translator,Maria,2026-01-05,,",
        "A.a.b,0123456789ab,translator,tr-1,5.1.2026,,",
        "X.a.b,0123456789ab,translator,tr-1,2026-01-05,,",
        "A.a.b,0123456789ab,translator,tr-1",
        "A.a.b,0123456789ab,carried,tr-1,2026-01-05,,a comma",
        "A.a.b,0123456789ab,carried,tr-1,2026-01-05,0123456789aa,",
        "A.a.b,0123456789ab,clinician,dr-3,2026-01-05,,",  # in the shipped ledger
        '"A.a.b,0123456789ab,transl',
    ],
)
def test_a_line_that_is_no_review_is_told_with_its_number(line: str) -> None:
    text = f"{','.join(COLUMNS)}\n{line}\nA.c.d,0123456789ab,reviser,rv-2,2026-01-05,,\n"
    _, findings = reviews_from(text, "es.csv", of_unit=False)
    assert {(one.kind, one.where) for one in findings} <= {
        ("review-invalid", f"es.csv:{n}") for n in (2, 3, 4)
    }
    assert findings


def test_another_heading_is_refused() -> None:
    assert [one.kind for one in reviews_from("id,hash\n", "es.csv", of_unit=True)[1]] == ["reviews-header"]


@pytest.mark.parametrize(
    ("code", "good"),
    [
        ("rn-7", True),
        ("tr12", True),
        ("maria", False),
        ("Rn-7", False),
        ("rn 7", False),
        ("", False),
        ("r" * 20 + "1", False),
    ],
)
def test_a_reviewer_is_a_code_and_no_name(code: str, good: bool) -> None:
    assert is_code(code) is good
