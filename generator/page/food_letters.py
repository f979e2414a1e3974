"""What the field that looks up a food forgives in a language: sent with its page, for a phone needs only its own."""

from __future__ import annotations

from babel import Locale

from generator.words.letters import script_of_language

# A letter, and as what it is compared. What Unicode takes apart (NFKD) needs no line: é is e and an accent.
_ALIKE = {
    "LATIN": "ßss æae œoe øo đd łl ıi",
    "GREEK": "ςσ",
    "ARABIC": "ةه ۃه ہه ھه ەه ىي یي ےي ېي کك ٱا ء",
}
# Endings of plurals in s, each with what stands in its place. Elsewhere a word in s is mostly no plural: Reis.
_PLURALS = "s- es- ies-y ces-z"
_PLURAL_S = frozenset({"en", "es", "pt", "fr", "ca", "gl"})


def food_letters(tag: str) -> str:
    """Letters with their likes, endings of plurals: `ßss æae|s- ies-y`. A tag that CLDR does not know is Latin."""
    plurals = _PLURALS if tag.partition("-")[0] in _PLURAL_S else ""
    return f"{_ALIKE.get(script_of_language(tag, Locale('en')), '')}|{plurals}"
