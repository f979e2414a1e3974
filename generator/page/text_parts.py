"""In how many parts a text message is sent, and with which letters: 3GPP TS 23.038 (alphabets), TS 23.040 (parts).

What matters: one letter that the 7-bit alphabet lacks makes the whole message one of 16-bit units, which takes more
than twice as many parts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

# TS 23.038 section 6.2.1, the default alphabet in its order, without the escape; and its extension table, whose
# characters are sent as two.
_BASIC = frozenset(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
_EXTENDED = frozenset("\f^{}\\[~]|€")
# What a keyboard has in the place of typographic signs that no reader would miss.
_PLAIN = str.maketrans(
    {
        "\u00a0": " ",
        "\u202f": " ",
        "’": "'",
        "‘": "'",
        "“": '"',
        "”": '"',
        "–": "-",
        "—": "-",
        "…": "...",
    }
)
_ISOLATES = str.maketrans("", "", "\u2066\u2067\u2068\u2069")


@dataclass(frozen=True, slots=True)
class Parts:
    """How a text is sent.

    Attributes:
        count: parts, each paid for as one message.
        alphabet: "GSM-7" or "UCS-2".
        units: septets of GSM-7, or 16-bit units.
    """

    count: int
    alphabet: str
    units: int


def parts_of(text: str) -> Parts:
    """How a text is sent: 160 septets or 70 units alone, 153 or 67 in each of several parts (TS 23.040, 9.2.3.24.1).

    Neither an escaped character nor a surrogate pair is split between two parts.
    """
    if _is_seven_bit(text):
        sizes, alphabet = [2 if letter in _EXTENDED else 1 for letter in text], "GSM-7"
        alone, each = 160, 153
    else:
        sizes, alphabet = [2 if ord(letter) > 0xFFFF else 1 for letter in text], "UCS-2"
        alone, each = 70, 67
    units = sum(sizes)
    return Parts(1 if units <= alone else _filled(sizes, each), alphabet, units)


def _filled(sizes: Iterable[int], each: int) -> int:
    parts, room = 1, each
    for size in sizes:
        if size > room:
            parts, room = parts + 1, each
        room -= size
    return parts


def sendable(text: str, direction: str) -> str:
    """The text as it is sent: typographic signs made plain where that saves parts and changes no letter.

    Args:
        direction: "ltr" or "rtl". Marks of direction are needed in right-to-left text alone, and no 7-bit alphabet
            has them.
    """
    if direction == "ltr":
        text = text.translate(_ISOLATES)
    plain = text.translate(_PLAIN)
    return plain if _is_seven_bit(plain) else text


def _is_seven_bit(text: str) -> bool:
    return all(letter in _BASIC or letter in _EXTENDED for letter in text)
