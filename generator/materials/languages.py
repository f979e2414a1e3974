"""Reads the languages that are there: each .po file is one, and nothing else has to know of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from generator.finding import Finding
from generator.materials.shipped import Shipped
from generator.materials.unit_folder import LOCALES, UnitFolder
from generator.page.life import source_wording
from generator.page.own_medicine_words import instruction_message
from generator.page.own_sentences import own_sentences
from generator.page.questions import answer_messages
from generator.words.message import SOURCE_TAG, Message
from generator.words.po import read_po_file
from generator.words.reviews import Review, Reviews, reviews_from
from generator.words.variants import base_tag
from generator.words.wording import Wording, wording_from


def wordings_from(words: Mapping[str, bytes]) -> tuple[dict[str, Wording], list[Finding]]:
    """The usable languages by tag, and every finding of the others."""
    wordings: dict[str, Wording] = {}
    findings: list[Finding] = []
    for tag, raw in words.items():
        wording, found = wording_from(raw, tag, f"{tag}.po")
        findings += found
        if wording is not None:
            wordings[tag] = wording
    return wordings, findings


def wordings_of_unit(shipped: Shipped, folder: UnitFolder | None) -> tuple[dict[str, Wording], list[Finding]]:
    """The usable languages by tag, with the unit's own sentences in them and all their reviews, and every finding.

    A sentence whose English has changed since it was translated counts as missing.
    """
    wordings, findings = wordings_from(shipped.words)
    if folder is not None:
        own = own_messages(folder)
        for tag, raw in folder.words.items():
            file = f"{LOCALES}/{tag}.po"
            po, found = read_po_file(raw, file)
            findings += found
            if tag in wordings:
                wordings[tag] = wordings[tag].with_entries(entry for entry in po.entries if entry.id in own)
    wordings = with_bases(wordings)
    for tag, wording in wordings.items():
        reviews, found = reviews_of(tag, shipped.reviews, folder.reviews if folder else {})
        findings += found
        wordings[tag] = replace(wording, reviews=reviews)
    return wordings, findings


def with_bases(wordings: Mapping[str, Wording]) -> dict[str, Wording]:
    """The languages, each region variant joined to the one whose words it takes where it has none of its own."""
    joined: dict[str, Wording] = {}
    known = {SOURCE_TAG: source_wording(), **wordings}
    for tag in sorted(wordings, key=len):  # a base has the shorter tag
        base = base_tag(tag, known)
        joined[tag] = replace(wordings[tag], base=joined.get(base, known[base])) if base else wordings[tag]
    return {tag: joined[tag] for tag in wordings}


def own_messages(folder: UnitFolder) -> dict[str, Message]:
    """The unit's own sentences by id."""
    instructed = map(instruction_message, folder.stated.instructions.values())
    answered = (message for answer in folder.advice.answers for message in answer_messages(answer))
    every = (*instructed, *answered, *own_sentences(folder.advice))
    return dict(sorted((message.id, message) for message in every))


def reviews_of(
    tag: str, shipped: Mapping[str, bytes], of_unit: Mapping[str, bytes]
) -> tuple[Reviews, list[Finding]]:
    """All reviews of a language: those that come with the program, then the unit's own; and every finding."""
    lines: list[Review] = []
    findings: list[Finding] = []
    for ledgers, is_unit in ((shipped, False), (of_unit, True)):
        if tag in ledgers:
            file = f"{LOCALES if is_unit else 'shipped'}/reviews/{tag}.csv"
            found, faults = reviews_from(_text_of(ledgers[tag]), file, of_unit=is_unit)
            lines += found
            findings += faults
    return Reviews(lines), findings


def _text_of(raw: bytes) -> str:
    return raw.decode("utf-8-sig", "replace")  # what is no UTF-8 is no line of a ledger, and is told as that
