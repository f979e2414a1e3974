"""What may be wrong with a translated sentence: told to the translator and the reviewer, and never in the way.

Each was tried on published translations of free software; what was often wrong there is not here.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from itertools import pairwise

from generator.finding import Finding, warning
from generator.words.letters import is_spaceless
from generator.words.message import PLACEHOLDER, PLACEHOLDERS, is_only_searched
from generator.words.po import Entry
from generator.words.speech import Speech

Hint = tuple[str, str, str]  # kind, problem, remedy

_ENGLISH_DENIAL = re.compile(
    r"\b(?:not|no|never|none|nothing|nobody|neither|cannot|without)\b", re.IGNORECASE
)
_OTHERWISE = re.compile(
    r"(?i)\bnot sure\b|\bno longer\b|\bno more than\b|\bnot only\b|\bsay no\b|\bNobody answers\b"
)
_END = re.compile(r"(?:\*\*|[\s”“»«’'\")\]\u200f])*$")
_ENDS = {
    "。": ".",
    "।": ".",
    "۔": ".",
    "။": ".",
    "።": ".",
    "．": ".",
    "؟": "?",
    "？": "?",
    "：": ":",
    ";": "?",
}
_STOPS = ".?:"
_SENTENCE_END = re.compile(r"[.?!。।۔။።？！؟](?=\s|$|[^\s\d\w.])|[。？！](?=\S)")
_QUESTION = re.compile(r"\?(?=\s)")
_BRACKETS = (("(（", ")）"), ("“„«»”‟「『", "”“»«」』"))
# More than this many times the English, or less: a sentence that another was pasted onto, or half of one. The
# English of 10, 20, 40 and 70 letters or fewer, and longer. Well outside what published translations need.
_GROWTH = ((10, 0.2, 4.0), (20, 0.25, 3.2), (40, 0.3, 2.8), (70, 0.35, 2.3), (10_000, 0.4, 1.9))
_LOOK_ALIKES = {
    "ar": ("[یکھہےۓگپچژ]", "a letter of Persian or Urdu"),
    "fa": ("[يكىة]", "a letter of Arabic"),
    "ur": ("[يكىة]", "a letter of Arabic"),
    "ro": ("[şţŞŢ]", "a letter with a cedilla in place of a comma below"),
    "bn": ("[ৰৱ]", "a letter of Assamese"),
}


def entry_hints(entry: Entry, speech: Speech) -> list[Finding]:
    """What a person should look at in a translated entry."""
    where = f"{entry.where} {entry.id}".strip()
    if not all(entry.texts):
        return []
    hints = [hint for check in _CHECKS for hint in check(entry, speech)]
    return [warning(kind, where, problem, remedy) for kind, problem, remedy in dict.fromkeys(hints)]


def _pairs(entry: Entry) -> Iterator[tuple[str, str]]:
    """Each form with the English that it is judged by."""
    for text in entry.texts:
        yield entry.english[-1], text


def _denial(entry: Entry, speech: Speech) -> Iterator[Hint]:
    if speech.denial is None or is_only_searched(entry.id):
        return
    for english, text in _pairs(entry):
        found = _ENGLISH_DENIAL.search(_OTHERWISE.sub("", english))
        if found and not speech.denial.search(_unmarked(text)):
            problem = f"English says “{found[0]}”; no such word was found here."
            yield (
                "denial-lost",
                problem,
                "Look whether the sentence still forbids, or says that something is not so.",
            )


def _unmarked(text: str) -> str:
    """The text without the small marks upon Arabic letters, which writers leave out or put as they like."""
    whole = unicodedata.normalize("NFC", text)
    return "".join(sign for sign in whole if not "\u064b" <= sign <= "\u0652")


def _length(entry: Entry, speech: Speech) -> Iterator[Hint]:
    if is_only_searched(entry.id):
        return
    for english, text in _pairs(entry):
        before, after = _width(english), _width(text)
        least, most = next((low, high) for letters, low, high in _GROWTH if before <= letters)
        if before > 3 and not least <= after / before <= most:
            told = "much longer" if after > before else "much shorter"
            yield (
                "length",
                f"It is {told} than the English.",
                "Look whether something is too much or missing.",
            )


def _width(text: str) -> int:
    """Letters as the eye counts them: marks on letters are none, wide signs are two; a value counts as its sample."""
    plain = PLACEHOLDER.sub(lambda found: PLACEHOLDERS.get(found[1], ("", found[1]))[1], text)
    return sum(
        0 if unicodedata.combining(sign) else 2 if unicodedata.east_asian_width(sign) in "WF" else 1
        for sign in plain
    )


def _order(entry: Entry, speech: Speech) -> Iterator[Hint]:
    """Two values of one kind whose order changed may have been exchanged: “from {until} to {since}”."""
    for english, text in _pairs(entry):
        before, after = PLACEHOLDER.findall(english), PLACEHOLDER.findall(text)
        for first, second in (("since", "until"), ("until", "arrival"), ("weekday", "last_weekday")):
            if {first, second} <= set(before) & set(after):
                was, now = (names.index(first) < names.index(second) for names in (before, after))
                if was != now:
                    problem = f"{{{first}}} and {{{second}}} stand in another order than in English."
                    yield "placeholder-order", problem, "Look whether they were exchanged."
        for name in sorted(set(after)):
            if after.count(name) > before.count(name) > 0:
                yield (
                    "placeholder-twice",
                    f"{{{name}}} stands here more often than in English.",
                    "Look at it.",
                )


def _ends(entry: Entry, speech: Speech) -> Iterator[Hint]:
    for english, text in _pairs(entry):
        before, after = _last_sign(english), _last_sign(text)
        if before != after and (before or after):
            told = f"ends with “{before}”" if before else "has no stop at its end"
            yield "end-mark", f"The English {told}, the translation does not.", "End it as the English does."


def _last_sign(text: str) -> str:
    sign = _END.sub("", text)[-1:]
    sign = _ENDS.get(sign, sign)
    return sign if sign and sign in _STOPS else ""


def _sentences(entry: Entry, speech: Speech) -> Iterator[Hint]:
    if speech.script in ("THAI", "LAO", "KHMER"):
        return  # no stops at the ends of sentences
    for english, text in _pairs(entry):
        before, after = (len(_SENTENCE_END.findall(form)) for form in (english, text))
        # “Vomiting? Call.” may become “If you vomit, call.”; one more is often better.
        least = before - len(_QUESTION.findall(english))
        if max(before, after) > 1 and not least <= after <= before + 1:
            problem = f"The English has {before} sentences, the translation {after}."
            yield "sentences", problem, "Look whether one was lost or added."


def _spaces(entry: Entry, speech: Speech) -> Iterator[Hint]:
    for english, text in _pairs(entry):
        if text != text.strip() and english == english.strip():
            yield "space-edge", "A blank stands before or after the words.", "Delete it."
        if "  " in text or "\n" in text or "\t" in text:
            yield "space-inside", "Two blanks, or a break, stand inside.", "Leave one blank."


def _letters(entry: Entry, speech: Speech) -> Iterator[Hint]:
    letters, told = _LOOK_ALIKES.get(speech.language, ("", ""))
    for text in entry.texts:
        found = re.search(letters, text) if letters else None
        if found:
            yield "letter-other", f"“{found[0]}” is {told}.", "Type it with the keyboard of your language."
        if not unicodedata.is_normalized("NFC", text):
            remedy = "Nothing to do by hand: daybefore language update writes them as one."
            yield "letters-parted", "Letters and their marks are stored apart.", remedy
        if "\u0640" in text:
            yield "letter-stretched", "A word is stretched with a line (kashida).", "Delete the line."


def _doubled(entry: Entry, speech: Speech) -> Iterator[Hint]:
    for english, text in _pairs(entry):
        twice = _twice(text)
        if twice and speech.language != "vi" and not is_spaceless(speech.script) and not _twice(english):
            yield "word-doubled", f"“{twice}” stands twice.", "Delete one, unless it must be so."


def _twice(text: str) -> str:
    """A word that stands twice; not in scripts with marks for vowels, whose languages often say a word twice."""
    words = text.casefold().split()
    return next((one for one, two in pairwise(words) if one == two and one.isalpha()), "")


def _brackets(entry: Entry, speech: Speech) -> Iterator[Hint]:
    for _, text in _pairs(entry):
        for opening, closing in _BRACKETS:
            count = sum(text.count(sign) for sign in set(opening + closing))
            if count % 2:
                yield "brackets", "A bracket or a quote has no second one.", "Put one at each end."


def _bold(entry: Entry, speech: Speech) -> Iterator[Hint]:
    for english, text in _pairs(entry):
        if english.count("**") != text.count("**"):
            yield "bold", "Other words are bold than in English, or none.", "Put ** around the same words."


_CHECKS: tuple[Callable[[Entry, Speech], Iterator[Hint]], ...] = (
    _denial, _length, _order, _ends, _sentences, _spaces, _letters, _doubled, _brackets, _bold,
)  # fmt: skip
