"""Reads the languages that are there: each .po file is one, and nothing else has to know of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from generator.finding import Finding
from generator.materials.unit_folder import UnitFolder
from generator.page.own_medicine_words import instruction_message
from generator.words.message import Message
from generator.words.po import read_po_file
from generator.words.wording import Wording, placeholder_findings, wording_from

UNIT_LOCALES = "locales"


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


def wordings_of_unit(
    words: Mapping[str, bytes], folder: UnitFolder
) -> tuple[dict[str, Wording], list[Finding]]:
    """The usable languages by tag, with the unit's own sentences in them, and every finding.

    A sentence whose English has changed since it was translated counts as missing.
    """
    wordings, findings = wordings_from(words)
    own = {message.id: message for message in map(instruction_message, folder.stated.instructions.values())}
    for tag, raw in folder.words.items():
        texts, found = _unit_texts(raw, f"{UNIT_LOCALES}/{tag}.po", own)
        findings += found
        if tag in wordings:
            wordings[tag] = replace(wordings[tag], texts=wordings[tag].texts | texts)
    return wordings, findings


def _unit_texts(
    raw: bytes, file: str, own: Mapping[str, Message]
) -> tuple[dict[str, tuple[str, ...]], list[Finding]]:
    po, findings = read_po_file(raw, file)
    if findings:
        return {}, findings
    texts = {}
    for entry in po.entries:
        message = own.get(entry.id)
        if message is None or entry.fuzzy or not all(entry.texts) or entry.english != message.forms:
            continue
        texts[entry.id] = entry.texts
        findings += placeholder_findings(entry.id, entry.english, entry.texts, file)
    return texts, findings
