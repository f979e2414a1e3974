"""Wording: one language as its file gives it: texts by id, direction, plural rule, and who has reviewed what."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from babel import Locale, UnknownLocaleError

from generator.finding import Finding, refusal
from generator.words.checks import entry_faults
from generator.words.message import SOURCE_TAG, Message
from generator.words.plurals import is_plural_header, plural_categories
from generator.words.po import Entry, PoFile, read_po_file
from generator.words.reviews import Reviews, Standing
from generator.words.speech import speech_of
from generator.words.variants import may_inherit

NOBODY = Reviews()


@dataclass(frozen=True, slots=True)
class Wording:
    """One language.

    Attributes:
        tag: BCP 47 tag, the file's name.
        locale: whose dates and weekdays are used.
        texts: id -> forms; one form, or one per category of `categories`.
        categories: CLDR plural categories that occur for 0 to 200, in CLDR's order.
        reviews: who has looked at which of its words; a page says so where nobody has, and a real unit shows none.
        entries: id -> the entry that the texts came from, where they came from a file.
        counting: what is wrong with every counted entry of that file.
        unfinished: ids whose entry in that file has words, but is not finished.
        base: for a region variant, the language whose words it takes where it has none of its own.
    """

    tag: str
    locale: Locale
    texts: dict[str, tuple[str, ...]]
    categories: tuple[str, ...]
    reviews: Reviews = NOBODY
    entries: Mapping[str, Entry] = field(default_factory=dict)
    counting: tuple[Finding, ...] = ()
    unfinished: frozenset[str] = frozenset()
    base: Wording | None = None
    _known: dict[str, tuple[Message, tuple[str, ...] | None]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _faults: dict[str, tuple[Finding, ...]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @property
    def direction(self) -> str:
        """ "rtl" or "ltr"."""
        return self.locale.text_direction

    @property
    def name(self) -> str:
        """The language's name in itself."""
        return self.texts.get("C.language.name", ("English" if self.tag == SOURCE_TAG else self.tag,))[0]

    def forms(self, message: Message) -> tuple[str, ...] | None:
        """The message in this language, or None where it is missing, faulty, or made for other English."""
        if self.tag == SOURCE_TAG:
            return message.forms
        if message.id not in self._known or self._known[message.id][0] != message:
            self._known[message.id] = message, self._forms(message)
        return self._known[message.id][1]

    def _forms(self, message: Message) -> tuple[str, ...] | None:
        forms = self.texts.get(message.id)
        if not forms and message.id not in self.unfinished:
            return self._inherited(message)
        wanted = len(self.categories) if message.other is not None else 1
        if not forms or len(forms) != wanted or not all(forms) or self.faults_of(message.id):
            return None
        entry = self.entries.get(message.id)
        return forms if entry is None or entry.english == message.forms else None

    def _inherited(self, message: Message) -> tuple[str, ...] | None:
        """The base language's words, for a variant that has none of its own and counts alike."""
        if self.base is None or not may_inherit(self.tag, message.id):
            return None
        return None if message.other and self.base.categories != self.categories else self.base.forms(message)

    def faults_of(self, message_id: str) -> tuple[Finding, ...]:
        """Why a message that has words counts as missing; looked at when it is first asked for, most are not."""
        if message_id not in self._faults:
            entry = self.entries.get(message_id)
            found = entry_faults(entry, speech_of(self.tag, self.locale)) if entry else ()
            found += self.counting if entry and len(entry.english) > 1 else ()
            self._faults[message_id] = found
        return self._faults[message_id]

    def standing(self, message: Message) -> Standing | None:
        """How far the message is reviewed in its present words, or None where it is missing."""
        forms = self.forms(message)
        return None if forms is None else self.reviews.standing(self.tag, message.id, message.forms, forms)

    def is_reviewed(self, message: Message) -> bool:
        """Whether everybody who has to has looked at the message as it stands."""
        standing = self.standing(message)
        return standing is not None and standing.is_whole

    def form_for(self, number: int) -> int:
        """Which form a counted message takes for a number."""
        return self.categories.index(self.locale.plural_form(number))

    def with_entries(self, entries: Iterable[Entry]) -> Wording:
        """This wording with these entries added; an unfinished one adds nothing."""
        begun = [entry for entry in entries if any(entry.texts)]
        added = {entry.id: entry for entry in begun if not entry.fuzzy and all(entry.texts)}
        texts = self.texts | {message_id: entry.texts for message_id, entry in added.items()}
        unfinished = self.unfinished | {entry.id for entry in begun if entry.id not in added}
        return replace(self, texts=texts, entries={**self.entries, **added}, unfinished=unfinished)


def wording_from(raw: bytes, tag: str, file: str) -> tuple[Wording | None, list[Finding]]:
    """A language from its file, or what keeps the whole file from being used.

    Unfinished (fuzzy) entries and entries with faults count as missing; `Wording.faults_of` tells of the latter.
    """
    wording, findings = _wording_from(raw, tag, file)
    return wording, list(findings)


@lru_cache(maxsize=32)  # the console opens the unit's folder for each request, and its files seldom change
def _wording_from(raw: bytes, tag: str, file: str) -> tuple[Wording | None, tuple[Finding, ...]]:
    po, findings = read_po_file(raw, file)
    if findings:
        return None, tuple(findings)
    locale, findings = locale_of(po, tag, file)
    if locale is None or findings:
        return None, tuple(findings)
    counting = tuple(rule_findings(po, tag, locale, file))
    wording = Wording(tag, locale, {}, plural_categories(locale), counting=counting)
    return wording.with_entries(po.entries), ()


def locale_of(po: PoFile, tag: str, file: str) -> tuple[Locale | None, list[Finding]]:
    """Whose dates, weekdays and plural rule a file uses, and what its header says against that."""
    formats = po.header.get("X-Formats-From", tag)
    try:
        locale = Locale.parse(formats, sep="-")
    except (UnknownLocaleError, ValueError):
        problem = f"No dates and weekdays are known for “{formats}”."
        remedy = "Add a header line such as “X-Formats-From: en-GB” naming a related language."
        return None, [refusal("locale-unknown", file, problem, remedy)]
    stated = po.header.get("Language", tag)
    if _language(stated) == _language(tag):
        return locale, []
    problem = f"The header says that the file is in “{stated}”; its name says “{tag}”."
    remedy = "Look whether one language was saved over another; then mend the header or the name."
    return locale, [refusal("language-differs", file, problem, remedy)]


def rule_findings(po: PoFile, tag: str, locale: Locale, file: str) -> list[Finding]:
    """What is wrong with every counted entry: an editor has named its forms for other numbers than they are for."""
    rule = po.header.get("Plural-Forms")
    if rule is None or is_plural_header(rule, locale):
        return []
    problem = "The header's Plural-Forms choose other forms than this language has (CLDR)."
    remedy = f"Delete that line, run: daybefore language update {tag}, and look at each msgstr[…]."
    return [refusal("plural-rule", file, problem, remedy)]


def _language(tag: str) -> str:
    return tag.replace("_", "-").partition("-")[0].casefold()
