"""Settings for all tests: nothing here is timed, so a busy machine fails no test; no language but English is needed.

The demonstration's bookings are in English, Spanish and Arabic. Where one of these files is not there, a made-up
language stands in under its tag, and tests that compare its very words are left out (`words_of`).
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from generator.materials.shipped import read_shipped, shipped_folder
from generator.page.catalogue import catalogue
from generator.words.po_text import po_text
from generator.words.pseudo import PSEUDO_LANGUAGES, Pseudo, pseudo_file

settings.register_profile("daybefore", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("daybefore")

STAND_INS = {
    tag: Pseudo(tag, tag, f"Stand-in for {tag}", made.spoken)
    for tag, made in zip(("es", "ar"), PSEUDO_LANGUAGES, strict=False)
}


def pytest_configure(config: pytest.Config) -> None:
    """Puts stand-ins where a language of the demonstration has no file."""
    config.addinivalue_line("markers", "words_of(tag): compares the very words of a shipped language")
    shipped = shipped_folder("locales")
    missing = [tag for tag in STAND_INS if not (shipped / f"{tag}.po").is_file()]
    if not missing or "DAYBEFORE_LOCALES" in os.environ:
        return
    place = Path(tempfile.mkdtemp(prefix="daybefore-locales-"))
    for path in shipped.glob("*.po"):
        (place / path.name).write_bytes(path.read_bytes())
    messages = catalogue(read_shipped().templates).values()
    for tag in missing:
        (place / f"{tag}.po").write_text(po_text(pseudo_file(STAND_INS[tag], messages)), "utf-8")
    os.environ["DAYBEFORE_LOCALES"] = str(place)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Leaves out what compares the words of a language that is not there."""
    shipped = shipped_folder("locales")
    for item in items:
        for mark in item.iter_markers("words_of"):
            if not (shipped / f"{mark.args[0]}.po").is_file():
                item.add_marker(pytest.mark.skip(reason=f"there is no {mark.args[0]}.po"))
