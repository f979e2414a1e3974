"""Twelve languages with all their reviews: `python -m tests.bench.languages`.

Read: every file of words and every ledger, cold. Status: what `daybefore language status --unit` works out.
"""

from __future__ import annotations

import importlib
import os
import shutil
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from generator.cli.language.words_at import words_at
from generator.materials.reviews import add_reviews
from generator.materials.shipped import shipped_folder
from generator.words.reviews import CLINICIAN
from tests.command import DEMO_UNIT
from tests.reviewed import REVIEWED_ON, reviews_for

ROUNDS = 5
LANGUAGES = 12


def twelve_languages(place: Path) -> Path:
    """A unit, and twelve languages beside it, each with some 900 reviews; returns the unit's folder."""
    unit, locales = Path(shutil.copytree(DEMO_UNIT, place / "unit")), place / "words"
    locales.mkdir()
    shutil.copy(shipped_folder("locales") / "en.po", locales)
    for number in range(1, LANGUAGES):
        tag, source = f"q{chr(96 + number)}x", "ar" if number % 2 else "es"
        head = f'"Language: {tag}\\n"\n"X-Formats-From: {source}\\n"'
        for here, there in ((shipped_folder("locales"), locales), (unit / "locales", unit / "locales")):
            text = (here / f"{source}.po").read_text("utf-8")
            (there / f"{tag}.po").write_text(text.replace(f'"Language: {source}\\n"', head), "utf-8")
    os.environ["DAYBEFORE_LOCALES"] = str(locales)
    words = words_at(unit)
    assert len(words.wordings) == LANGUAGES, words.findings
    for tag in words.wordings:
        lines = reviews_for(words, tag, REVIEWED_ON)
        add_reviews(locales, tag, [line for line in lines if line.role != CLINICIAN])
        add_reviews(unit / "locales", tag, [line for line in lines if line.role == CLINICIAN])
    return unit


def best(work: Callable[[], object]) -> float:
    """Seconds of processor time, the best of the rounds."""
    found = []
    for _ in range(ROUNDS):
        began = time.process_time()
        work()
        found.append(time.process_time() - began)
    return min(found)


def main() -> None:
    """Prints the best of five rounds in processor time."""
    status = importlib.import_module("generator.cli.language.status")
    with tempfile.TemporaryDirectory() as place:
        unit = twelve_languages(Path(place))
        read = best(lambda: words_at(unit))
        told = best(lambda: status.told_of(words_at(unit), None, None))
        print(f"{LANGUAGES} languages: read with their reviews {read:.2f} s, status {told:.2f} s")


if __name__ == "__main__":
    main()
