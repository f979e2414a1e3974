"""Speaker: says messages in one language, and remembers which it said; the review gate and the facts read that.

Values are escaped and isolated from the direction of the text around them (Unicode Annex 9; W3C, inline
bidi markup), so that no number or phone number is ever reordered.
"""

from __future__ import annotations

import re
from functools import lru_cache

from markupsafe import Markup, escape

from generator.words.message import LEFT_TO_RIGHT, NAMES, PLACEHOLDER, UNBROKEN, Message
from generator.words.wording import Wording

_BOLD = re.compile(r"\*\*(.+?)\*\*")
_MARKS = {
    "ltr": "\u2066",
    "rtl": "\u2067",
    "auto": "\u2068",
}  # isolates: left to right, right to left, by itself
_PDI = "\u2069"
_ISOLATES = str.maketrans("", "", "\u2066\u2067\u2068\u2069")


@lru_cache(maxsize=4096)  # the templates' own, the same for every page
def _message(message_id: str, english: str, note: str) -> Message:
    return Message(message_id, english, note)


class Speaker:
    """Says messages in one language for one page.

    Attributes:
        shown: every message said, by id.
        said: every class A text as said, for the plan's facts.
        missing: ids that this language lacks; a page with any is not published.
    """

    def __init__(self, wording: Wording) -> None:
        self.wording = wording
        self._runs = wording.direction
        self.shown: dict[str, Message] = {}
        self.said: set[str] = set()
        self.missing: set[str] = set()

    @property
    def says_unreviewed(self) -> bool:
        """Whether it has said a message in words that not everybody who has to has looked at."""
        return not all(map(self.wording.is_reviewed, self.shown.values()))

    def t(self, message_id: str, english: str, note: str, **values: object) -> Markup:
        """A message written where it is shown: id, English, note for the translator, values."""
        return self.markup(_message(message_id, english, note), **values)

    def markup(self, message: Message, **values: object) -> Markup:
        """The message as HTML: values escaped and isolated, **bold** as strong."""
        text = self._form(message, values)
        if "{" not in text and "**" not in text:  # most
            return escape(text)
        parts, at = [], 0
        for found in PLACEHOLDER.finditer(text):
            value = values[found[1]]
            direction = self._direction(found[1], str(value))
            if found[1] in UNBROKEN:
                value = str(value).replace(" ", "\u00a0")
            parts += [escape(text[at : found.start()]), self._boxed(direction, value)]
            at = found.end()
        html = Markup("").join([*parts, escape(text[at:])])
        return Markup(_BOLD.sub(r"<strong>\1</strong>", str(html)))

    def plain(self, message: Message, **values: object) -> str:
        """The message as text: values isolated with Unicode marks."""

        def value(found: re.Match[str]) -> str:
            text = str(values[found[1]])
            return self._kept(self._direction(found[1], text), text)

        return PLACEHOLDER.sub(value, self._form(message, values)).replace("**", "")

    def raw(self, message: Message) -> str | list[str]:
        """The message with its placeholders left in, for the phone to fill; a counted one gives all forms."""
        forms = self._forms(message)
        if message.risk == "A":
            self.said.update(f"{message.id}={form}" for form in forms)
        return forms[0] if message.other is None else list(forms)

    def isolated(self, text: str) -> str:
        """A text that keeps its own left-to-right order."""
        return self._kept("ltr", text)

    def _kept(self, direction: str, text: str) -> str:
        """The text with marks around it; none where all of it runs left to right anyway, for they are letters too."""
        if direction == self._runs == "ltr":
            return text
        return f"{_MARKS[direction]}{text}{_PDI}"

    def _boxed(self, direction: str, value: object) -> Markup:
        """The value isolated. The root of each page says that none of it is to be translated.

        Where all of it runs left to right anyway, the element's own rule finds so by its first letter.
        """
        if direction == self._runs == "ltr":
            return Markup("<bdi>{}</bdi>").format(value)
        return Markup('<bdi dir="{}">{}</bdi>').format(direction, value)

    def _direction(self, name: str, value: str) -> str:
        """Numbers run left to right, names as their own letters do, words of this language as it does.

        It is stated, never left to the first letter: values hold isolates themselves, and the rule that
        finds the first letter passes over those (Unicode Annex 9, P2).
        """
        if name in NAMES:
            return "auto"
        words_in_time = name in ("time", "since", "until") and any(letter.isalpha() for letter in value)
        return "ltr" if name in LEFT_TO_RIGHT and not words_in_time else self._runs

    def _forms(self, message: Message) -> tuple[str, ...]:
        known = self.shown.setdefault(message.id, message)
        if known.english != message.english:
            raise ValueError(f"message {message.id} is written with two English texts")
        forms = self.wording.forms(message)
        if forms is None:
            self.missing.add(message.id)
            return message.forms
        return forms

    def _form(self, message: Message, values: dict[str, object]) -> str:
        forms = self._forms(message)
        index = self.wording.form_for(int(str(values["n"]))) if message.other is not None else 0
        text = forms[min(index, len(forms) - 1)]
        if message.risk == "A":
            # The code belongs to the version itself; it is not part of what the version says.
            filled = PLACEHOLDER.sub(
                lambda found: found[0] if found[1] == "code" else str(values.get(found[1], found[0])), text
            )
            self.said.add(f"{message.id}={filled.translate(_ISOLATES)}")
        return text
