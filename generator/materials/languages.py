"""Reads the languages that are there: each .po file is one, and nothing else has to know of it."""

from __future__ import annotations

from collections.abc import Mapping

from generator.finding import Finding
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
