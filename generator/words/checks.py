"""What makes a translated sentence unusable, found without knowing the language; none of it can be waved through.

An entry with a fault counts as missing: a booking that shows it is refused in that language. What may be right
is only told, by `hints`. Which checks are worth having was tried on published translations of free software.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from functools import lru_cache
from itertools import pairwise

from generator.finding import Finding, refusal
from generator.words.letters import hidden_signs, misread, mixed_word, script_of, scripts_in
from generator.words.message import PLACEHOLDER, is_only_searched, placeholders_in
from generator.words.po import Entry
from generator.words.speech import Speech

Fault = tuple[str, str, str]  # kind, problem, remedy

_MARKUP = re.compile(r"</?[a-zA-Z!][^>]*>?|&(?:#\w+|[a-zA-Z]+);|\]\(")
_OLD_PLACEHOLDER = re.compile(r"%\(\w+\)[a-z]|%[sd]\b|\$\{|\$\w+|[｛｝]")
_NUMBER = re.compile(r"\d+")
_WORD = re.compile(r"[^\W\d_]+")
# English words that no other language in Latin letters has as a word of its own.
_ENGLISH = frozenset(
    "the you your with until when this what which should would without before because there they again "
    "please unit bowel drinks glasses nobody somebody ring medicine appointment".split()
)
# Abbreviations in capitals, numbers, and units of measure, are written alike everywhere.
_EVERYWHERE = re.compile(r"\b(?:[A-Z0-9]{2,}|[a-zA-Z\d]|m[lL]|min|cm|kg|mg)\b")
IN_WORDS = "in words"  # a translator's remark: a small number is written as a word
SAME = "same word"  # a translator's remark: the word is the same as the English


@lru_cache(maxsize=16384)  # the console opens the unit's folder for each request
def entry_faults(entry: Entry, speech: Speech) -> tuple[Finding, ...]:
    """Every fault of a translated entry; an entry without words has none, it is only not translated."""
    if not any(entry.texts):
        return ()
    where = f"{entry.where} {entry.id}".strip()
    faults = [fault for check in _CHECKS for fault in check(entry, speech)]
    return tuple(refusal(kind, where, problem, remedy) for kind, problem, remedy in dict.fromkeys(faults))


def _forms(entry: Entry, speech: Speech) -> Iterator[Fault]:
    wanted = len(speech.categories) if len(entry.english) > 1 else 1
    if len(entry.texts) != wanted:
        problem = f"The language has {wanted} forms for numbers; here are {len(entry.texts)}."
        remedy = f"Run: daybefore language update, then fill in: {', '.join(speech.categories)}."
        yield "plural-count", problem, remedy
    elif not all(entry.texts):
        empty = ", ".join(
            name for name, text in zip(speech.categories, entry.texts, strict=False) if not text
        )
        yield "plural-empty", f"A form is empty: {empty}.", "Fill in every form."
    if any(text and not text.strip() for text in entry.texts):
        yield "text-blank", "The translation is only blanks.", "Write the words, or leave it quite empty."


def _placeholders(entry: Entry, speech: Speech) -> Iterator[Fault]:
    """Braces are as in English; a number that a form can only mean may be left out of that form."""
    english = set().union(*(placeholders_in(form) for form in entry.english))
    needed = placeholders_in(entry.english[-1])
    for text, only in _forms_of(entry, speech):
        found = placeholders_in(text)
        for name in sorted(found - english):
            problem = f"{{{name}}} does not occur in the English."
            yield "placeholder-unknown", problem, f"Use only: {_braced(english) or 'no braces at all'}."
        for name in sorted(needed - found - ({"n"} if only is not None else set())):
            yield "placeholder-missing", f"{{{name}}} is missing.", "Put it where the value should stand."
        rest = PLACEHOLDER.sub("", text)
        if "{" in rest or "}" in rest or (_OLD_PLACEHOLDER.search(rest) and not _in_english(rest, entry)):
            problem = "A brace or a sign for a value is not as in the English."
            yield "placeholder-broken", problem, f"Copy exactly: {_braced(english) or 'there are none'}."


def _in_english(text: str, entry: Entry) -> bool:
    found = _OLD_PLACEHOLDER.search(text)
    return found is not None and any(found[0] in form for form in entry.english)


def _braced(names: set[str]) -> str:
    return ", ".join(f"{{{name}}}" for name in sorted(names))


def _forms_of(entry: Entry, speech: Speech) -> Iterator[tuple[str, int | None]]:
    """Each form that has words, and the one number it is for, if it is for one alone."""
    if len(entry.english) == 1:
        yield from ((text, None) for text in entry.texts if text.strip())
    elif len(entry.texts) == len(speech.only):
        yield from ((text, only) for text, only in zip(entry.texts, speech.only, strict=True) if text.strip())


def _signs(entry: Entry, speech: Speech) -> Iterator[Fault]:
    for text in entry.texts:
        markup = _MARKUP.search(text)
        if markup and not any(markup[0] in form for form in entry.english):
            yield (
                "markup",
                f"“{markup[0]}” is a mark-up sign.",
                "Write plain words; **bold** is all there is.",
            )
        if text.count("**") % 2:
            yield "bold-open", "A ** has no second one.", "Put ** before and after the bold words."
        for sign in hidden_signs(text, speech.script):
            problem = f"It holds a sign that nobody sees: {sign}."
            yield "sign-hidden", problem, "Delete it; type the sentence anew if you cannot find it."
        wrong = misread(text)
        if wrong:
            problem = f"“{wrong}” is what letters become when a file is read in the wrong encoding."
            yield "letters-broken", problem, "Type the letters anew and save as UTF-8."
        mixed = mixed_word(text)
        if mixed:
            problem = f"The word “{mixed}” mixes letters of two scripts that may look alike."
            yield "script-mixed", problem, "Type the word anew with the keyboard of your language."


def _numbers(entry: Entry, speech: Speech) -> Iterator[Fault]:
    """In classes A and B the same numbers stand in both; where a form is for one number, it may say it or not."""
    if entry.id[:1] == "C":
        return
    wanted = _digits(entry.english[-1])
    spelled = any(IN_WORDS in comment.casefold() for comment in entry.comments)
    for text, only in _forms_of(entry, speech):
        left = _joined(_digits(text), wanted)
        missing = []
        for number in wanted:
            left.remove(number) if number in left else missing.append(number)
        if only is not None and str(only) in left:
            left.remove(str(only))
        if spelled:
            missing = [number for number in missing if int(number) > 12]
        if any(len({_zero(sign) for sign in number}) > 1 for number in _NUMBER.findall(text)):
            yield "digits-mixed", "A number is written in digits of two kinds.", "Type the number anew."
        if missing or left:
            told = f"English has {', '.join(wanted) or 'none'}, the translation {', '.join(_digits(text)) or 'none'}"
            remedy = f"Write the same digits. A small number in words needs a remark: # {IN_WORDS}"
            yield "numbers-differ", f"The numbers differ: {told}.", remedy


def _digits(text: str) -> list[str]:
    """The numbers of a text in the digits 0 to 9, whatever digits it writes; parts of a decimal by themselves."""
    plain = PLACEHOLDER.sub(" ", text)
    return ["".join(str(unicodedata.digit(sign)) for sign in number) for number in _NUMBER.findall(plain)]


def _zero(digit: str) -> int:
    """The zero of the kind of digits that this one is of, as a code point."""
    return ord(digit) - unicodedata.digit(digit)


def _joined(found: list[str], wanted: list[str]) -> list[str]:
    """1 000 and 1.000 are 1000 where English has it so."""
    joined: list[str] = []
    for number in found:
        if joined and len(number) == 3 and joined[-1] + number in wanted:
            joined[-1] += number
        else:
            joined.append(number)
    return joined


def _english_left(entry: Entry, speech: Speech) -> Iterator[Fault]:
    """In classes A and B no English is left over: it is the commonest fault of half-made translations."""
    if entry.id[:1] == "C" or speech.language == "en":
        return
    english = [_spoken_words(form) for form in entry.english]
    remarked = any(SAME in comment.casefold() for comment in entry.comments)
    for text in entry.texts:
        words = _spoken_words(text)
        if is_only_searched(entry.id):  # names travel: “nori, konjac”; only a list left as it was is a fault
            left = " ".join(words) if words in english else ""
        else:
            left = _left_over(words, english, speech.script)
        if left and not (remarked and len(words) == 1):
            problem = f"English is left in it: “{left}”."
            yield "english-left", problem, "Translate it. Only proper names and abbreviations stay."


@lru_cache(maxsize=2048)
def _spoken_words(text: str) -> tuple[str, ...]:
    """The words, small; a placeholder stands as "{}" between them."""
    return tuple(
        word if word == "{}" else word.casefold()
        for word in re.findall(r"\{\}|[^\W_]+", PLACEHOLDER.sub("{}", text))
        if not _EVERYWHERE.fullmatch(word)
    )


def _left_over(words: tuple[str, ...], english: list[tuple[str, ...]], script: str) -> str:
    """English words that stand in the translation as they do in the English."""
    known = {word for form in english for word in form if _WORD.fullmatch(word)}
    if script not in ("LATIN", ""):
        return next((word for word in words if word in known and word.isascii()), "")
    pairs = {pair for form in english for pair in pairwise(form) if "{}" not in pair}
    for pair in pairwise(words):
        if pair in pairs:
            return " ".join(pair)
    return next((word for word in words if word in known and word in _ENGLISH), "")


def _other_script(entry: Entry, speech: Speech) -> Iterator[Fault]:
    """Most letters are of the language's own script."""
    if not speech.script:
        return
    for text in entry.texts:
        if not scripts_in(text) - {speech.script}:
            continue
        plain = _EVERYWHERE.sub(" ", PLACEHOLDER.sub(" ", text))
        letters = [script_of(sign) for sign in plain if script_of(sign)]
        if letters.count(speech.script) * 2 < len(letters):
            problem = "Most of it is not in the letters of this language."
            yield "script-other", problem, "Look whether the sentence belongs to another language."


_CHECKS: tuple[Callable[[Entry, Speech], Iterator[Fault]], ...] = (
    _forms, _placeholders, _signs, _numbers, _english_left, _other_script,
)  # fmt: skip
