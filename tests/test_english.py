"""The English itself: short, one thing at a time, and nothing in it that translators are known to stumble over.

Length: common practice for plain instructions, no source. Other rules: what machine and hasty translation got wrong
in published reviews (“once” read as the Spanish word for eleven: Sharif and Tse, Pediatrics 2010), and words that
mean another time or thing in another country, or on another day than the one on which they were written.

A rule that a sentence may break is broken by name, with the reason beside it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest

from generator.materials.shipped import read_shipped
from generator.page.catalogue import catalogue
from generator.words.message import PLACEHOLDER, Message

MESSAGES = catalogue(read_shipped().templates).values()
_DENIAL = re.compile(r"\b(?:not|no|never|none|nothing|nobody|neither|nor|cannot|without)\b", re.IGNORECASE)

Rule = Callable[[Message, str], bool]


def having(pattern: str, classes: str = "ABC") -> Rule:
    """A text of one of the classes in which the pattern is found; placeholders left out."""
    found = re.compile(pattern, re.IGNORECASE)
    return lambda message, text: message.risk in classes and bool(found.search(PLACEHOLDER.sub("{}", text)))


def sentences(text: str) -> list[str]:
    return [part for part in re.split(r"(?<=[.?!])\s+", text) if part]


def too_long(message: Message, text: str) -> bool:
    return len(text.split()) > (15 if message.risk == "A" else 20)


def too_many_sentences(message: Message, text: str) -> bool:
    """More than two, besides the question that says whom it is for, and a heading of one word."""
    told = [part for part in sentences(text) if not part.endswith("?") and len(part.split()) > 1]
    return message.risk == "A" and len(told) > 2


def denied_twice(message: Message, text: str) -> bool:
    """“Not even water” only strengthens the denial before it."""
    return any(len(_DENIAL.findall(part.replace("not even water", ""))) > 1 for part in sentences(text))


def clear_unexplained(message: Message, text: str) -> bool:
    """“Clear” is see-through, never light or pale: the text or the note says so."""
    return having(r"\bclear", "AB")(message, text) and "see-through" not in f"{text} {message.note}"


# name -> rule, and the ids that may break it with the reason
RULES: dict[str, tuple[Rule, dict[str, str]]] = {
    "too long": (too_long, {}),
    "more than two sentences": (too_many_sentences, {}),
    "once": (having(r"\bonce\b"), {}),
    "since": (
        having(r"\bsince\b"),
        {"A.checked.since": "“since {when}” is a time and can be no reason"},
    ),
    "a day that moves with the reader": (
        having(r"\b(?:today|tonight|tomorrow|yesterday|noon|midnight|midday)\b"),
        {
            "A.cancelled.own": "the page is read on the day on which it is to be done",
            "A.checked.today": "written by the phone on the day on which it is read",
        },
    ),
    "a meal for a time": (having(r"\b(?:breakfast|lunch|dinner|supper|teatime|brunch)\b"), {}),
    "denied twice": (denied_twice, {}),
    "not until": (having(r"\bnot\b[^.?!]*\buntil\b|\buntil\b[^.?!]*\bnot\b|\bor not\b|\bstop without\b"), {}),
    "shortened": (having(r"n['’]t\b|\be\.g\.|\bi\.e\.|\betc\b"), {}),
    "a range with a dash": (having(r"[\d}]\s*[-–—]\s*[\d{]"), {}),
    "signs": (having(r"\(s\)|/|[<>!&]"), {}),
    "a time, date or phone number typed in": (
        having(r"\d{1,2}[:.]\d\d|\d{5}|\b\d+ (?:January|March|am|pm)\b"),
        {},
    ),
    "another name for the bowel medicine": (
        having(r"\b(?:laxative|purge|prep|solution|cleans\w+|product|sachet|fluids?)\b"),
        {},
    ),
    # “Stop drinking”, “do not drink” and “drink” are three things: the bowel medicine is drunk, clear drinks are
    # taken, and the end of both is “nothing, not even water”.
    "a bare drink": (
        having(r"\bdrink(?:ing)?\b(?<!clear drink)(?! the bowel medicine| (?:one|the) glass)", "A"),
        {
            "A.after.alcohol": "says which drink",
            "A.call.emergency.breath": "choking while drinking: anything",
            "A.cancelled.order": "normal life again: everything",
            "A.held.eat": "everything is allowed",
            "A.held.not-begun": "everything is allowed",
            "A.held.new-times": "names the subject of a call",
            "A.start.fluid-limit": "anything that is drunk, as a doctor limits it",
            "A.text.normal": "normal life again: everything",
        },
    ),
    "stop drinking": (
        having(r"\bstop drinking\b|\bdo not drink\b"),
        {"A.after.alcohol": "says which drink"},
    ),
    "nothing, and not even water left out": (
        having(r"\btake nothing\b(?!.*not even water)|\bnothing by mouth\b(?!.*not even water)", "A"),
        {
            "A.call.sugar-drowsy": "of somebody who cannot swallow, now and not by the clock",
        },
    ),
    "clear, unexplained": (clear_unexplained, {}),
    "blame": (
        having(r"\b(?:late|behind|missed|failed)\b(?! as)"),
        {
            "A.call.unit.ate": "what the reader says of himself, under “call”",
            "A.start.failed": "an earlier time, and the preparation, not the reader",
        },
    ),
}


def broken(rule: Rule) -> Iterator[str]:
    for message in MESSAGES:
        if any(rule(message, text) for text in message.forms):
            yield message.id


@pytest.mark.parametrize("name", RULES)
def test_no_sentence_breaks_a_rule_but_those_named_beside_it(name: str) -> None:
    rule, allowed = RULES[name]
    assert set(broken(rule)) <= set(allowed), "mend the English, or name the sentence and the reason"


@pytest.mark.parametrize("name", RULES)
def test_no_exception_outlives_its_sentence(name: str) -> None:
    rule, allowed = RULES[name]
    assert set(allowed) <= set(broken(rule)), "delete the exception"


@pytest.mark.parametrize(
    ("name", "message_id", "english"),
    [
        ("too long", "A.x.y", "Take the bowel medicine " + "and a glass of water " * 3),
        ("more than two sentences", "A.x.y", "Stop now. Call us. Then wait."),
        ("once", "A.x.y", "Take it once a day."),
        ("since", "A.x.y", "Call, since you must."),
        ("a day that moves with the reader", "B.x.y", "Call us today."),
        ("a meal for a time", "B.x.y", "Take it before dinner."),
        ("denied twice", "A.x.y", "Never go without water."),
        ("not until", "A.x.y", "Do not eat until {time}."),
        ("shortened", "A.x.y", "Don’t eat."),
        ("a range with a dash", "B.x.y", "Take 2-3 glasses."),
        ("a range with a dash", "B.x.y", "From {since}–{until}."),
        ("signs", "C.x.y", "Glass(es) and/or cup"),
        ("a time, date or phone number typed in", "A.x.y", "Stop at 18:30."),
        ("another name for the bowel medicine", "A.x.y", "Mix the laxative."),
        ("a bare drink", "A.x.y", "Drink it now."),
        ("stop drinking", "A.x.y", "Stop drinking at {time}."),
        ("nothing, and not even water left out", "A.x.y", "Take nothing from {time}."),
        ("clear, unexplained", "A.x.y", "Take clear drinks."),
        ("blame", "A.x.y", "You are late."),
    ],
)
def test_each_rule_finds_what_it_is_for(name: str, message_id: str, english: str) -> None:
    rule, _ = RULES[name]
    assert rule(Message(message_id, english, "A note."), english)
