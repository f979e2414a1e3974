"""What to say on the phone: for somebody who does not speak the unit's language, to read aloud or to show."""

from __future__ import annotations

from dataclasses import dataclass

from babel import Locale, UnknownLocaleError
from markupsafe import Markup

from generator.words.message import SOURCE_TAG, Message
from generator.words.speaker import Speaker
from generator.words.wording import Wording

_SAID = "Said on the phone by somebody who calls, or shown to whoever helps. Short and plain."
_SENTENCES = (
    Message("A.say.examination", "I have a bowel examination.", _SAID),
    Message(
        "A.say.language", "I speak {language}.", f"{_SAID} {{language}}: the name of the caller's language."
    ),
    Message("A.say.interpreter", "I need an interpreter.", _SAID),
    Message(
        "A.say.number",
        "My call number is {code}.",
        f"{_SAID} {{code}}: six digits, by which the clinic finds the booking.",
    ),
)
_SPELLED = Message(
    "C.say.spelled",
    "I have a bowel examination. I speak English. I need an interpreter. My call number is:",
    "These English sentences as they sound, written with the letters of your language, so that somebody who cannot "
    "read English can say them aloud. In place of “English” put the English name of your language, as it sounds.",
)
MESSAGES = (*_SENTENCES, _SPELLED)


@dataclass(frozen=True, slots=True)
class SayingView:
    """The card.

    Attributes:
        lang, dir: of the unit's own language, in which the sentences are.
        sentences: what to say.
        spelled: the same as it sounds, in the reader's letters; "" where the unit speaks no English.
        digits: the call number, digit by digit.
    """

    lang: str
    dir: str
    sentences: tuple[Markup, ...]
    spelled: Markup
    digits: str


def saying_view(of_unit: Wording, speaker: Speaker, call_number: str) -> SayingView | None:
    """The card for a page in the speaker's language; None where the unit speaks it too.

    Args:
        of_unit: the language that the staff speak.
    """
    wording = speaker.wording
    if _language(of_unit.tag) == _language(wording.tag):
        return None
    staff = Speaker(of_unit)
    values = {"language": language_name(wording, of_unit), "code": call_number}
    return SayingView(
        lang=of_unit.tag,
        dir=of_unit.direction,
        sentences=tuple(staff.markup(message, **values) for message in _SENTENCES),
        spelled=speaker.markup(_SPELLED) if _language(of_unit.tag) == SOURCE_TAG else Markup(),
        digits=" ".join(call_number),
    )


def language_name(wording: Wording, reader: Wording) -> str:
    """What a language is called in another one; its own name where the other has none for it."""
    try:
        # What somebody speaks has neither script nor region.
        name = Locale.parse(_language(wording.tag)).get_display_name(reader.locale)
    except (UnknownLocaleError, ValueError):
        name = None
    return name or wording.name


def _language(tag: str) -> str:
    return tag.partition("-")[0]
