"""Speech: what the checks must know of a language: its script, its plural forms, and how it denies."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from babel import Locale

from generator.words.letters import script_of_language
from generator.words.plurals import plural_numbers

# How a language denies, as the checks look for it. A language that is not here is not looked at for it: in some
# the denial is a syllable inside the verb (Turkish). Bengali's words were chosen with sentences of this kind at hand.
_DENIALS = {
    "ar": r"\b[وفب]?(?:لا|لم|لن|ألم|أليس|ليس\w*|لست|غير|دون|بدون|بلا|عدم|ألا)\b|منع|تعذر|التوقف|تجنب|امتنع|امتناع",
    "bn": r"(?<!\S)(?:না|নেই|নয়|নিষেধ|নিষিদ্ধ|ছাড়া|ছাড়াই|ছাড়ানো|বিনা)(?![^\s।,:;?!])|নি(?![^\s।,:;?!])",
    "de": r"\b(?:nicht|nichts|nie|niemals|niemand\w*|kein\w*|ohne|weder|noch)\b|los\b",
    "es": r"\b(?:no|nunca|jamás|ning\w+|nada|nadie|sin|ni|tampoco|dej\w+ de|falta|evite)\b",
    "fa": r"\b(?:ن\w+|بدون|هیچ\w*|غیر|عدم)\b",
    "fr": r"\b(?:ne|n|pas|jamais|aucun\w*|rien|personne|sans|ni|non)\b",
    "id": r"\b(?:tidak|tak|jangan|bukan|tanpa|belum)\b",
    "it": r"\b(?:non|mai|nessun\w*|niente|nulla|senza|né|no)\b",
    "pl": r"\b(?:nie\w*|nigdy|nikt|nikogo|nic|niczego|żad\w+|bez\w*|ani|zakaz\w*|brak\w*)\b",
    "pt": r"\b(?:não|nunca|jamais|nenhum\w*|nada|ninguém|sem|nem)\b",
    "ro": r"\b(?:nu|n|niciodată|nici\w*|nimic|nimeni|fără)\b",
    "ru": r"\b(?:не\w*|ни\w*|нет|нельзя|без\w*)\b",
    "uk": r"\b(?:не\w*|ні\w*|немає|без\w*)\b",
    "ur": r"نہیں|\bنہ\b|بغیر|مت\b|بلا",
    "vi": r"\b(?:không|đừng|chưa|chẳng|chớ)\b",
    "zh": r"[不没沒无無勿未莫别別免禁]",
}
_DENIAL_PATTERNS = {
    language: re.compile(unicodedata.normalize("NFC", pattern), re.IGNORECASE)
    for language, pattern in _DENIALS.items()
}


@dataclass(frozen=True, slots=True)
class Speech:
    """How a language writes, as far as the checks look at it.

    Attributes:
        language: the language alone, without region or script.
        script: the first word of its letters' Unicode names; "" if it is not known.
        categories: CLDR plural categories that occur for 0 to 200, in CLDR's order.
        only: for each category the one number it stands for, or None where there are several.
        denial: finds how it denies; None where the checks do not know.
    """

    language: str
    script: str
    categories: tuple[str, ...]
    only: tuple[int | None, ...]
    denial: re.Pattern[str] | None


@lru_cache(maxsize=64)
def speech_of(tag: str, locale: Locale) -> Speech:
    """A language's speech.

    Args:
        tag: its BCP 47 tag.
        locale: whose formats it uses.
    """
    numbers = plural_numbers(locale)
    only = tuple(found[0] if len(found) == 1 else None for found in numbers.values())
    language = tag.partition("-")[0].lower()
    script = script_of_language(tag, locale)
    return Speech(language, script, tuple(numbers), only, _DENIAL_PATTERNS.get(language))
