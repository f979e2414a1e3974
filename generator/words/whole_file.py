"""What a translator is told about a whole file: every fault, everything worth a look, and what is still missing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from generator.finding import Finding, refusal
from generator.words.checks import entry_faults
from generator.words.hints import entry_hints
from generator.words.message import SOURCE_TAG, Message
from generator.words.po import Entry, read_po_file
from generator.words.speech import Speech, speech_of
from generator.words.variants import may_inherit
from generator.words.wording import Wording, locale_of, rule_findings


@dataclass(frozen=True, slots=True)
class Remarks:
    """What is to be said of one message.

    Attributes:
        where: file and line, or the file alone where it has no entry.
        english: its English, as the program has it now.
        findings: faults before hints.
        missing: it cannot be shown: not there, not finished, or faulty.
    """

    where: str
    id: str
    english: str
    findings: tuple[Finding, ...]
    missing: bool


def file_findings(raw: bytes, tag: str, file: str) -> list[Finding]:
    """What keeps the whole file from being used."""
    po, findings = read_po_file(raw, file)
    return findings or locale_of(po, tag, file)[1]


def remarks_on(
    raw: bytes, tag: str, file: str, messages: Mapping[str, Message], base: Wording | None = None
) -> list[Remarks]:
    """What is to be said of each message, in the order of ids; only those of which there is something to say.

    Args:
        raw: a file of which `file_findings` says nothing.
        messages: all messages by id.
        base: for a region variant, the language whose words it takes where it has no entry.
    """
    po, _ = read_po_file(raw, file)
    locale, _ = locale_of(po, tag, file)
    if locale is None or tag == SOURCE_TAG:
        return []
    speech = speech_of(tag, locale)
    rule = rule_findings(po, tag, locale, file)
    entries = {entry.id: entry for entry in po.entries}
    told = []
    for message_id in sorted({*entries, *messages}):
        message, entry = messages.get(message_id), entries.get(message_id)
        if message and not (entry and any(entry.texts)) and _is_inherited(tag, message, base):
            continue
        findings = [*_state(message, entry, tag), *(_findings(entry, speech, rule) if entry else [])]
        told.append(_remarks(message_id, message, entry, file, findings))
    return [remarks for remarks in told if remarks.findings]


def _is_inherited(tag: str, message: Message, base: Wording | None) -> bool:
    return base is not None and may_inherit(tag, message.id) and base.forms(message) is not None


def _findings(entry: Entry, speech: Speech, rule: list[Finding]) -> Iterator[Finding]:
    yield from entry_faults(entry, speech)
    if len(entry.english) > 1 and any(entry.texts):
        yield from rule
    yield from entry_hints(entry, speech)


def _state(message: Message | None, entry: Entry | None, tag: str) -> Iterator[Finding]:
    """How far the translation of a message has come."""
    update = f"Run: daybefore language update {tag}"
    if message is None:
        yield refusal(
            "id-unknown", "", "The program has no message with this id.", f"Mend the id, or {_low(update)}"
        )
    elif entry is None:
        yield refusal("not-translated", "", "The file has no entry for it.", update)
    elif entry.english != message.forms:
        problem = "The English in the file is not the program's. The words may be for an older sentence."
        yield refusal("english-differs", "", problem, f"{update}, and compare.")
    elif entry.fuzzy:
        was = f" It was: “{entry.previous[-1]}”." if entry.previous else ""
        problem = f"It is marked as unfinished (fuzzy).{was}"
        yield refusal("unfinished", "", problem, "Make the words right, then delete the mark fuzzy.")
    elif not any(entry.texts):
        yield refusal("not-translated", "", "It is not translated yet.", "Write the words after msgstr.")


def _low(sentence: str) -> str:
    return sentence[0].lower() + sentence[1:]


def _remarks(
    message_id: str, message: Message | None, entry: Entry | None, file: str, findings: list[Finding]
) -> Remarks:
    english = message.forms if message else entry.english if entry else ()
    missing = message is not None and any(finding.severity == "refuse" for finding in findings)
    return Remarks(entry.where if entry else file, message_id, " / ".join(english), tuple(findings), missing)
