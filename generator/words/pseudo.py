"""Made-up languages that show what a real one will do to a page: longer words, right to left, and the ids.

They are ordinary language files, read and checked like any other; nothing in the program knows their tags.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from babel import Locale

from generator.words.message import PLACEHOLDER, Message
from generator.words.plurals import plural_categories, plural_header
from generator.words.po import Entry, PoFile

# None of them is a letter that a wrong encoding makes of others.
_ACCENTS = str.maketrans(
    "AaBbCcDdEeGgHhIiJjKkLlNnOoRrSsTtUuWwYyZz", "ĀāḂḃĊċḊḋĒēĜĝĤĥĪīĴĵĶķĻļŅņŌōŖŗŜŝŦŧŪūŴŵŶŷẐẑ"
)
# Each Latin letter as one Arabic letter, so that words run and join as real ones do; it means nothing.
_ARABIC = dict(
    zip(map(ord, "abcdefghijklmnopqrstuvwxyz"), "ابثدهفجحيشكلمنوطقرستعغوخىز", strict=True),
)
_GROWTH = "ļōņĝēŗ ŵōŗḋŝ ŧĥāņ īņ Ēņĝļīŝĥ āŗē ņēċēŝŝāŗŷ ŧō ŝĥōŵ ŧĥē ŗōōm ŧĥāŧ ōŧĥēŗ ļāņĝūāĝēŝ ŧāķē".split()
# Growth of published software translations, German, French, Polish and others: about the 95th percentile for each
# length of the English (own count over some 300,000 sentences of free software).
_GROWTHS = ((10, 1.5), (20, 1.0), (70, 0.7))
_LONG = 0.5
_KEPT = re.compile(rf"({PLACEHOLDER.pattern}|\*\*)")


@dataclass(frozen=True, slots=True)
class Pseudo:
    """One made-up language.

    Attributes:
        tag: its tag, with a region that BCP 47 keeps for private use.
        formats: the language whose weekdays, months, plural forms and direction it takes.
        name: what it is for.
        spoken: id and English form -> its text.
    """

    tag: str
    formats: str
    name: str
    spoken: Callable[[str, str], str]


def _each_part(text: str, change: Callable[[str], str]) -> str:
    """The text with every part but placeholders and bold marks changed."""
    parts = _KEPT.split(text)
    # split() gives: text, kept, the placeholder's name (or None), text, ...
    return "".join(
        change(part) if index % 3 == 0 else part for index, part in enumerate(parts) if index % 3 != 2
    )


def _accented(_: str, english: str) -> str:
    """The English with accents on its letters, and as many words more as other languages need."""
    length = len(PLACEHOLDER.sub("", english))
    rate = next((rate for longest, rate in _GROWTHS if length <= longest), _LONG)
    # The filling stands before the last sign, so that the sentence ends as the English does.
    words = english.rstrip(".:?!)”")
    end = english[len(words) :]
    filling = " ".join(_filling(length * rate))
    return f"{_each_part(words, lambda part: part.translate(_ACCENTS))} {filling}{end}"


def _filling(letters: float) -> Iterator[str]:
    at = 0
    while letters > 0:
        word = _GROWTH[at % len(_GROWTH)]
        yield word
        letters -= len(word) + 1
        at += 1


def _mirrored(_: str, english: str) -> str:
    """The English in Arabic letters: it runs from right to left, and numbers in it do not."""
    return _each_part(english, lambda part: part.lower().translate(_ARABIC))


def id_text(message_id: str, english: str) -> str:
    """The id, and what else a sentence has to hold: its placeholders and its numbers."""
    held = [found[0] for found in PLACEHOLDER.finditer(english)]
    numbers = re.findall(r"\d+", PLACEHOLDER.sub("", english))
    # Each number of the sentence stands there once, be it in the id; one that the id alone has would be a fault.
    message_id = re.sub(r"\d+", lambda found: found[0] if found[0] in numbers else "", message_id)
    for number in re.findall(r"\d+", message_id):
        numbers.remove(number)
    return " ".join([message_id, *held, *numbers])


PSEUDO_LANGUAGES = (
    Pseudo("en-XA", "en-GB", "Longer words", _accented),
    Pseudo("ar-XB", "ar", "Right to left", _mirrored),
    Pseudo("en-XC", "en-GB", "Ids", id_text),
)


def pseudo_file(pseudo: Pseudo, messages: Iterable[Message]) -> PoFile:
    """The file of a made-up language, whole."""
    locale = Locale.parse(pseudo.formats, sep="-")
    header = {
        "Project-Id-Version": "daybefore",
        "Language": pseudo.tag,
        "MIME-Version": "1.0",
        "Content-Type": "text/plain; charset=UTF-8",
        "Content-Transfer-Encoding": "8bit",
        "Plural-Forms": plural_header(locale),
        "X-Formats-From": pseudo.formats,
    }
    forms = len(plural_categories(locale))
    return PoFile(header, tuple(_entry(pseudo, message, forms) for message in messages))


def _entry(pseudo: Pseudo, message: Message, forms: int) -> Entry:
    english = pseudo.name if message.id == "C.language.name" else message.forms[-1]
    spoken = pseudo.spoken(message.id, english)
    return Entry(message.id, message.forms, (spoken,) * (1 if message.other is None else forms), message.note)
