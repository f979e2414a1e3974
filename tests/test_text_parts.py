"""In how many parts a text is sent: 3GPP TS 23.038, 23.040; the alphabet is held against the library gsm0338 too."""

from __future__ import annotations

import gsm0338  # type: ignore[import-untyped]  # the package has no types
import pytest

from generator.page.text_parts import Parts, parts_of, sendable

# The numbers were agreed on by three counters of other people: split-sms, sms-segments-calculator, gsm (npm).
COUNTED = [
    ("", Parts(1, "GSM-7", 0)),
    ("a" * 160, Parts(1, "GSM-7", 160)),
    ("a" * 161, Parts(2, "GSM-7", 161)),
    ("a" * 306, Parts(2, "GSM-7", 306)),
    ("a" * 307, Parts(3, "GSM-7", 307)),
    ("€" * 80, Parts(1, "GSM-7", 160)),
    ("€" * 81, Parts(2, "GSM-7", 162)),
    # The euro sign is two septets, and they stay in one part.
    ("a" * 152 + "€" + "a" * 152, Parts(3, "GSM-7", 306)),
    ("á" + "a" * 69, Parts(1, "UCS-2", 70)),
    ("á" + "a" * 70, Parts(2, "UCS-2", 71)),
    ("á" + "a" * 133, Parts(2, "UCS-2", 134)),
    ("á" + "a" * 134, Parts(3, "UCS-2", 135)),
    ("😀" * 35, Parts(1, "UCS-2", 70)),
    # A part of 67 units has room for 33 pairs.
    ("😀" * 66, Parts(2, "UCS-2", 132)),
    ("😀" * 67, Parts(3, "UCS-2", 134)),
]


@pytest.mark.parametrize(("text", "parts"), COUNTED)
def test_parts(text: str, parts: Parts) -> None:
    assert parts_of(text) == parts


@pytest.mark.parametrize("letter", ["’", "\u00a0", "\t", "`", "ç", "\u2066"])
def test_one_letter_that_the_alphabet_lacks_makes_the_whole_text_another(letter: str) -> None:
    """Letters that are easily taken for ones it has; it has the capital Ç and no small one."""
    assert parts_of("a" * 80 + letter) == Parts(2, "UCS-2", 81)
    assert parts_of("a" * 80 + "Ç").alphabet == "GSM-7"


def test_the_alphabet_is_the_one_of_another_library() -> None:
    codec = gsm0338.Codec()
    for point in range(0x10000):
        if point == 0x1B:
            continue  # the escape itself: a letter to the library, nothing that a text has
        letter = chr(point)
        try:
            septets = len(codec.encode(letter)[0])
        except UnicodeError:
            septets = 0
        counted = parts_of(letter)
        assert (counted.units if counted.alphabet == "GSM-7" else 0) == septets, hex(point)


@pytest.mark.parametrize(
    ("text", "direction", "sent"),
    [
        ("The unit’s “plan” …", "ltr", 'The unit\'s "plan" ...'),
        ("Call \u206601632\u00a0960\u00a0145\u2069.", "ltr", "Call 01632 960 145."),
        ("Página – “plan”", "ltr", "Página – “plan”"),  # of no use: the á stays
        ("رمز \u2066417\u2069", "rtl", "رمز \u2066417\u2069"),
    ],
)
def test_typographic_signs_are_made_plain_where_that_saves_parts(
    text: str, direction: str, sent: str
) -> None:
    assert sendable(text, direction) == sent
