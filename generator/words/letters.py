"""Which script a letter is of, signs that nobody sees, and letters that were read in the wrong encoding.

Scripts go by the letters' Unicode names; a language's script by CLDR's likely subtags.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from babel import Locale
from babel.core import get_global

# ISO 15924 code -> first words of the letters' Unicode names. A script that is not here is not checked.
_NAMES = {
    "Arab": "ARABIC",
    "Armn": "ARMENIAN",
    "Beng": "BENGALI",
    "Cyrl": "CYRILLIC",
    "Deva": "DEVANAGARI",
    "Ethi": "ETHIOPIC",
    "Geor": "GEORGIAN",
    "Grek": "GREEK",
    "Gujr": "GUJARATI",
    "Guru": "GURMUKHI",
    "Hans": "CJK",
    "Hant": "CJK",
    "Hebr": "HEBREW",
    "Jpan": "CJK",
    "Khmr": "KHMER",
    "Kore": "CJK",
    "Laoo": "LAO",
    "Latn": "LATIN",
    "Mymr": "MYANMAR",
    "Sinh": "SINHALA",
    "Taml": "TAMIL",
    "Telu": "TELUGU",
    "Thai": "THAI",
    "Tibt": "TIBETAN",
}
_SPACELESS = frozenset({"CJK", "THAI", "LAO", "KHMER", "MYANMAR", "TIBETAN"})
_EAST_ASIAN = frozenset(
    {"HIRAGANA", "KATAKANA", "HANGUL", "BOPOMOFO", "IDEOGRAPHIC", "HALFWIDTH", "FULLWIDTH"}
)
# Joiners are letters' helpers in these scripts, and a space of no width parts words in those without spaces.
_JOINED = frozenset(
    {
        "ARABIC",
        "BENGALI",
        "DEVANAGARI",
        "GUJARATI",
        "GURMUKHI",
        "KHMER",
        "MYANMAR",
        "SINHALA",
        "TAMIL",
        "TELUGU",
    }
)
_REPLACED = re.compile("[\ufffd\u115f\u1160\u3164\uffa0]")  # stands for a lost sign, or for no sound
_ENCODINGS = ("cp1252", "cp1250")  # what Windows took files for, in the west and in the middle of Europe
# What the first byte of a longer sign in UTF-8 becomes, and before what its next bytes become.
_FIRST = "".join(bytes(range(0xC2, 0xF5)).decode(encoding) for encoding in _ENCODINGS)
_NEXT = "".join(bytes(range(0x80, 0xC0)).decode(encoding, "ignore") for encoding in _ENCODINGS)
_LEAD = re.compile(f"[{_FIRST}](?=[\x80-\xbf{re.escape(_NEXT)}])")
_LOST = re.compile(r"[^\W\d_]\?+[^\W\d_]+|\?{2,}")  # letters that a smaller alphabet turned into "?"
# Look-alikes: a Cyrillic “о” in a Latin word looks right, and is wrong for a voice, a search and a font.
_ALIKE = frozenset({"LATIN", "CYRILLIC", "GREEK", "ARMENIAN"})


def script_of_language(tag: str, formats: Locale) -> str:
    """The first word of the names of a language's letters, such as "LATIN"; "" if it is not known.

    Args:
        tag: the language's own tag, whose script counts if it is known.
        formats: the language whose dates are used, for a tag that CLDR does not know.
    """
    likely = get_global("likely_subtags")
    for name in (tag.replace("-", "_"), str(formats)):
        for part in (name, likely.get(name, ""), likely.get(name.partition("_")[0], "")):
            codes = [code for code in part.split("_") if code in _NAMES]
            if codes:
                return _NAMES[codes[0]]
    return ""


def is_spaceless(script: str) -> bool:
    """Whether words of the script are written without spaces between them."""
    return script in _SPACELESS


@lru_cache(maxsize=4096)
def script_of(letter: str) -> str:
    """The script of a letter or of a mark upon letters, or "" for what no script owns."""
    if unicodedata.category(letter)[0] not in "LM":
        return ""
    name = unicodedata.name(letter, "").split()
    if not name or name[0] in ("COMBINING", "MODIFIER", "FEMININE", "MASCULINE", "VARIATION", "MICRO"):
        return ""
    return "CJK" if name[0] in _EAST_ASIAN else name[0]


def hidden_signs(text: str, script: str) -> list[str]:
    """Signs that nobody sees or that stand for no letter, as U+ and name."""
    if text.isprintable() and not _REPLACED.search(text):
        return []
    return [
        f"U+{ord(sign):04X} ({unicodedata.name(sign, 'without a name').lower()})"
        for sign in sorted(set(text))
        if _is_hidden(sign, script)
    ]


@lru_cache(maxsize=4096)
def _is_hidden(sign: str, script: str) -> bool:
    if sign == "\n":
        return False  # a blank like others, which is only worth a look
    if sign in "\u200c\u200d":
        return script not in _JOINED
    if sign == "\u200b":
        return script not in _SPACELESS
    category = unicodedata.category(sign)
    return category in ("Cc", "Cf", "Co", "Cs", "Cn", "Zl", "Zp") or bool(_REPLACED.match(sign))


@lru_cache(maxsize=1024)
def scripts_in(text: str) -> frozenset[str]:
    """The scripts of the text's letters."""
    return frozenset(map(script_of, set(text))) - {""}


def mixed_word(text: str) -> str:
    """The first word that is written in letters of two scripts, or ""."""
    if len(scripts_in(text)) < 2:
        return ""
    for word in "".join(sign if script_of(sign) else " " for sign in text).split():
        scripts = scripts_in(word)
        if len(scripts) > 1 and (len(scripts & _ALIKE) > 1 or "LATIN" not in scripts):
            return word
    return ""


def misread(text: str) -> str:
    """The first letters that came of a file read in the wrong encoding, such as “Å‚” for “ł”, or ""."""
    lost = _LOST.search(text) if "?" in text else None
    if lost or text.isascii():
        return lost[0] if lost else ""
    for lead in _LEAD.finditer(text):
        found = _decoded_twice(text, lead.start())
        if found:
            return found
    return ""


def _decoded_twice(text: str, start: int) -> str:
    """The signs from here on whose bytes are one sign in UTF-8, or ""."""
    for encoding in _ENCODINGS:
        for length in (2, 3, 4):
            part = text[start : start + length]
            raw = _bytes_of(part, encoding)
            # A capital with a closing quote after it can look like two such bytes.
            if len(part) < length or raw is None or (length == 2 and part[1] in "“”‘’»–—"):
                continue
            try:
                sign = raw.decode("utf-8")
            except UnicodeDecodeError:
                continue
            if len(sign) == 1:
                return part
    return ""


def _bytes_of(text: str, encoding: str) -> bytes | None:
    """The bytes that the text was read from; what the encoding leaves open is read as it stands."""
    raw = bytearray()
    for sign in text:
        try:
            raw += sign.encode(encoding)
        except UnicodeEncodeError:
            if ord(sign) > 0xFF:
                return None
            raw.append(ord(sign))
    return bytes(raw)
