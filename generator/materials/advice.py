"""Reads the files of the unit's advice to patients. Each is signed by itself; a file that is not there says nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from generator.clinic.advice import Advice
from generator.clinic.advice_notes import aftercare_notes, figure_notes
from generator.clinic.aftercare import aftercare_from
from generator.clinic.answer import answers_from
from generator.clinic.day import day_from
from generator.clinic.figures import figures_from
from generator.clinic.food import foods_from
from generator.clinic.signoff import digest_of
from generator.clinic.symptoms import levels_from
from generator.finding import Finding
from generator.materials.toml_files import parsed
from generator.page.foods import FOOD_IDS
from generator.page.questions import ANSWERABLE
from generator.page.symptoms import SIGN_LEVELS

_Reader = Callable[[Mapping[str, Any], str], tuple[Any, list[Finding]]]

# File -> the part of Advice that it states, and what reads it.
_READERS: dict[str, tuple[str, _Reader]] = {
    "food.toml": ("foods", lambda table, file: foods_from(table, FOOD_IDS, file)),
    "answers.toml": ("answers", lambda table, file: answers_from(table, ANSWERABLE, file)),
    "day.toml": ("day", day_from),
    "figures.toml": ("figures", figures_from),
    "aftercare.toml": ("aftercare", aftercare_from),
    "symptoms.toml": ("levels", lambda table, file: levels_from(table, SIGN_LEVELS, file)),
}
# What the clinical lead is told beside the faults, when a file is checked.
_NOTES: dict[str, Callable[[Any, str], Iterable[Finding]]] = {
    "figures.toml": figure_notes,
    "aftercare.toml": aftercare_notes,
}
PARTS = {file: part for file, (part, _) in _READERS.items()}


def read_advice(folder: Path, findings: list[Finding]) -> tuple[Advice, dict[str, str]]:
    """The advice in a unit's folder, and the digest of each of its files; findings are added."""
    parts, digests = {}, {}
    for file in PARTS:
        if (folder / file).is_file():
            parts[PARTS[file]], digests[file] = _read(folder, file, findings)
    return Advice(**parts), digests


def advice_findings(folder: Path, file: str) -> list[Finding]:
    """Every finding of one of these files, or what the clinical lead should know of one without any."""
    findings: list[Finding] = []
    value, _ = _read(folder, file, findings)
    return findings or list(_NOTES[file](value, file) if file in _NOTES else ())


def _read(folder: Path, file: str, findings: list[Finding]) -> tuple[Any, str]:
    faults: list[Finding] = []
    table = parsed(folder / file, file, faults)
    value, found = _READERS[file][1](table, file)
    # A file that cannot be read at all has one fault, not one for each key it seems to lack.
    findings += faults or found
    return value, digest_of(table)
