"""Where the words of the phone's scripts stand in the data block: under numbers, which weigh less than names.

The scripts' sources say `words.callNow`; what is sent says the number, in the block and in the scripts alike.
"""

from __future__ import annotations

from collections.abc import Iterable

from generator.page.pace_words import WORDS as PACE_WORDS
from generator.page.phone_words import WORDS
from generator.words.speaker import Speaker

_WORDS = WORDS | PACE_WORDS
PLACES = tuple(_WORDS)


def phone_words(speaker: Speaker, names: Iterable[str] = PLACES) -> dict[int, object]:
    """Place -> the sentence in this language; its forms where it is counted."""
    return {PLACES.index(name): speaker.raw(_WORDS[name]) for name in names}
