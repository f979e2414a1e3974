"""How hard English is to read, by two published formulas; they guard against drift, people judge.

Flesch-Kincaid grade: Kincaid, Fishburne, Rogers and Chissom 1975. SMOG grade: McLaughlin 1969, for a text of at least
30 sentences. Syllables are counted by the rules below; words that break them are named.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from math import sqrt

LONG = 3  # syllables from which a word counts as long
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*|\d+")
_ENDS = re.compile(r"(?<=[.?!:])[”’)]*\s+|\n+")
_VOWELS = re.compile(r"[aeiouy]+")
_SILENT = re.compile(
    r"(?<=[^aeiouyl])es?$(?<!ses)(?<!xes)(?<!zes)(?<!ches)(?<!shes)(?<!ces)(?<!ges)|(?<=[aeiouyl]l)es?$|(?<=[rlw]l)ed$"
    r"|(?<=[^aeiouytd])ed$|(?<=[a-z]{2}[^aeiouyl])e(?=(?:ly|ful|less|ment|ments|times|where|thing|body|one)$)"
)
_APART = re.compile(
    r"i(?=a(?!l|n)|o(?!n|us)|u|et)|[aeou](?=ing)|y(?=ing)|(?<=[^qg])u(?=[ae]l)|i(?=er$|est$)|e(?=o(?!us))"
)
_EXCEPT = {
    "diarrhoea": 4, "people": 2, "somebody": 3, "someone": 2, "something": 2, "sometimes": 2, "every": 2, "area": 3,
    "everybody": 4, "breathe": 1, "clothes": 1, "whole": 1, "lying": 2, "being": 2, "phenylketonuria": 7,
    "doing": 2, "diabetes": 4, "evening": 2, "fibre": 2, "pacemaker": 3, "tired": 2, "tongue": 1,
    "vegetables": 3, "wednesday": 2,
}  # fmt: skip
_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


@dataclass(frozen=True)
class Level:
    """What a text holds, and what the formulas make of it; `long_words` are those of three syllables and more."""

    sentences: int
    words: int
    syllables: int
    long_words: int

    @property
    def grade(self) -> float:
        """Flesch-Kincaid grade."""
        return 0.39 * self.words / self.sentences + 11.8 * self.syllables / self.words - 15.59

    @property
    def smog(self) -> float:
        """SMOG grade."""
        return 1.0430 * sqrt(self.long_words * 30 / self.sentences) + 3.1291


def syllables(word: str) -> int:
    """The syllables of a word as spoken; of a number, those of its digits."""
    if word.isdigit():
        return sum(syllables(_DIGITS[int(digit)]) for digit in word)
    plain = re.sub(r"[^a-z]", "", word.lower().replace("’s", "").replace("'s", ""))
    if plain in _EXCEPT:
        return _EXCEPT[plain]
    count = len(_VOWELS.findall(plain)) + len(_APART.findall(plain)) - len(_SILENT.findall(plain))
    return max(1, count)


def words_of(text: str) -> list[str]:
    """The words and numbers of a text."""
    return _WORD.findall(text)


def sentences_of(text: str) -> list[str]:
    """The sentences of a text, ended by a stop, a question mark, a colon or the line."""
    return [part for part in _ENDS.split(text) if words_of(part)]


def level_of(texts: Iterable[str], known: Collection[str] = ()) -> Level:
    """The level of all texts together.

    Args:
        known: words in small letters that count as short, for the reader hears them all along.
    """
    sentences = [one for text in texts for one in sentences_of(text)]
    words = [word for one in sentences for word in words_of(one)]
    counts = [(1 if word.lower() in known else syllables(word)) for word in words]
    return Level(len(sentences), len(words), sum(counts), sum(count >= LONG for count in counts))
