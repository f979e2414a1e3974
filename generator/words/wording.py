"""Wording: one language as its file gives it: texts by id, direction, plural rule, and whether it is a draft."""

from __future__ import annotations

from dataclasses import dataclass

from babel import Locale, UnknownLocaleError
from babel.plural import PluralRule, to_gettext

from generator.finding import Finding, refusal
from generator.words.message import Message, placeholders_in
from generator.words.po import read_po_file

SOURCE_TAG = "en"
PLURAL_ORDER = ("zero", "one", "two", "few", "many", "other")
PLURAL_TOP = 200  # counted things on a page (glasses, minutes) stay below this


@dataclass(frozen=True, slots=True)
class Wording:
    """One language.

    Attributes:
        tag: BCP 47 tag, the file's name.
        locale: whose dates and weekdays are used.
        texts: id -> forms; one form, or one per category of `categories`.
        categories: CLDR plural categories that occur for 0 to 200, in CLDR's order.
        draft: nobody has reviewed it; pages say so, and a real unit cannot use it.
    """

    tag: str
    locale: Locale
    texts: dict[str, tuple[str, ...]]
    categories: tuple[str, ...]
    draft: bool

    @property
    def direction(self) -> str:
        """ "rtl" or "ltr"."""
        return self.locale.text_direction

    @property
    def name(self) -> str:
        """The language's name in itself."""
        return self.texts.get("C.language.name", ("English" if self.tag == SOURCE_TAG else self.tag,))[0]

    def forms(self, message: Message) -> tuple[str, ...] | None:
        """The message in this language, or None where it is missing; English is its own source."""
        if self.tag == SOURCE_TAG:
            return message.forms
        forms = self.texts.get(message.id)
        wanted = len(self.categories) if message.other is not None else 1
        return forms if forms and len(forms) == wanted and all(forms) else None

    def form_for(self, number: int) -> int:
        """Which form a counted message takes for a number."""
        return self.categories.index(self.locale.plural_form(number))


def wording_from(raw: bytes, tag: str, file: str) -> tuple[Wording | None, list[Finding]]:
    """A language from its file, and every finding; fuzzy entries count as missing."""
    po, findings = read_po_file(raw, file)
    formats = po.header.get("X-Formats-From", tag)
    try:
        locale = Locale.parse(formats, sep="-")
    except (UnknownLocaleError, ValueError):
        findings.append(
            refusal(
                "locale-unknown",
                file,
                f"No dates and weekdays are known for “{formats}”.",
                "Add a header line such as “X-Formats-From: en-GB” naming a related language.",
            )
        )
        return None, findings
    if findings:
        return None, findings
    texts = {}
    for entry in po.entries:
        if not entry.fuzzy and all(entry.texts):
            texts[entry.id] = entry.texts
            findings += placeholder_findings(entry.id, entry.english, entry.texts, file)
    wording = Wording(tag, locale, texts, plural_categories(locale), draft=True)
    return (None if findings else wording), findings


def plural_categories(locale: Locale) -> tuple[str, ...]:
    """The CLDR categories that occur for whole numbers up to 200, in CLDR's order."""
    reached = {locale.plural_form(number) for number in range(PLURAL_TOP + 1)}
    return tuple(category for category in PLURAL_ORDER if category in reached)


def plural_header(locale: Locale) -> str:
    """The gettext Plural-Forms header that chooses as CLDR does, for translators' editors."""
    names = plural_categories(locale)
    rules = {name: text for name, text in locale.plural_form.rules.items() if name in names}
    if "other" not in names:
        rules.pop(names[-1], None)  # the last reachable category becomes "else"
    return to_gettext(PluralRule(rules))


def placeholder_findings(
    message_id: str, english: tuple[str, ...], texts: tuple[str, ...], file: str
) -> list[Finding]:
    """A translated placeholder must be one of the English ones; none may be lost but a counted {n}."""
    wanted = set().union(*(placeholders_in(form) for form in english))
    findings = []
    for text in texts:
        found = placeholders_in(text)
        missing = wanted - found - ({"n"} if len(texts) > 1 or len(english) > 1 else set())
        for name in sorted(found - wanted):
            findings.append(
                refusal(
                    "placeholder-unknown",
                    f"{file} {message_id}",
                    f"{{{name}}} does not occur in the English.",
                    "Copy the names from the English.",
                )
            )
        for name in sorted(missing):
            findings.append(
                refusal(
                    "placeholder-missing",
                    f"{file} {message_id}",
                    f"{{{name}}} is missing.",
                    "Put it where the value should stand.",
                )
            )
    return findings
