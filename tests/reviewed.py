"""A real unit with a made-up language in which every word is reviewed; and the same with something amiss."""

from __future__ import annotations

import datetime as dt
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from generator.cli.language.words_at import Words, words_at
from generator.materials.reviews import add_reviews
from generator.materials.shipped import locales_folder
from generator.words.message import SOURCE_TAG
from generator.words.reviews import CLINICIAN, Review, needed_roles
from tests.command import DEMO_NOW, run_json
from tests.plans import copy_of_demo_unit

TAG = "qxx"
CODES = {"translator": "tr-1", "reviser": "rv-2", "clinician": "dr-3"}
HEADING = "Appt Ref,Appt Date,Appt Time,Adm Time,Procedure,Prep Code,Lang,Transport,Comments\n"
ROW = f"REF-1,18/03/2026,14:00,13:30,COLON,PEGASC2,{TAG},45,\n"
REVIEWED_ON = dt.date(2026, 1, 5)


@dataclass(frozen=True)
class Place:
    """Folders of a unit, of languages, and of a booking list."""

    unit: Path
    locales: Path
    list: Path

    @property
    def words(self) -> Words:
        """The words as they stand now."""
        return words_at(self.unit)

    @property
    def po(self) -> Path:
        """The made-up language's file."""
        return self.locales / f"{TAG}.po"

    def ledger(self, tag: str = TAG, *, of_unit: bool = False) -> Path:
        """A ledger of reviews."""
        return (self.unit / "locales" if of_unit else self.locales) / "reviews" / f"{tag}.csv"

    def change(self, old: str, new: str) -> None:
        """Other words in the made-up language."""
        text = self.po.read_text("utf-8")
        assert text.count(old) == 1
        self.po.write_text(text.replace(old, new), "utf-8")

    def row(self, now: str = DEMO_NOW) -> Any:
        """What `build --json` says of the one booking."""
        data = self.unit.parent / "out"
        said = run_json("build", self.list, "--unit", self.unit, "--out", data, "--now", now)
        return said["files"][0]["rows"][0]


def place_at(folder: Path, patch: pytest.MonkeyPatch) -> Place:
    """A real unit and a made-up language in a folder of its own; nothing is reviewed yet."""
    unit, locales = copy_of_demo_unit(folder), folder / "words"
    locales.mkdir()
    shutil.copy(locales_folder() / "en.po", locales)
    for source, target in ((locales_folder(), locales), (unit / "locales", unit / "locales")):
        text = (source / "es.po").read_text("utf-8")
        head = f'"Language: {TAG}\\n"\n"X-Formats-From: es\\n"'
        (target / f"{TAG}.po").write_text(text.replace('"Language: es\\n"', head), "utf-8")
    text = (unit / "unit.toml").read_text("utf-8")
    for old, new in (
        ("demonstration = true", "demonstration = false"),
        ('"en", "*"', f'"en", "{TAG}"'),
    ):
        assert old in text
        text = text.replace(old, new)
    (unit / "unit.toml").write_text(f'{text}\n[assessed]\nrole = "nurse"\nuntil = 2036-01-01\n', "utf-8")
    (folder / "list.csv").write_text(HEADING + ROW, "utf-8")
    patch.setenv("DAYBEFORE_LOCALES", str(locales))
    return Place(unit, locales, folder / "list.csv")


def reviews_for(words: Words, tag: str, day: dt.date) -> list[Review]:
    """A line for every role that every message of a language needs."""
    languages = words.languages(tag)
    return [
        Review(message.id, stamp, role, CODES[role], day)
        for message in words.messages.values()
        if (stamp := languages.stamp(message)) is not None
        for role in needed_roles(tag, message.id)
    ]


def review_all(place: Place, day: dt.date = REVIEWED_ON) -> None:
    """Everybody has looked at everything: translator and reviser for all units, the clinician for this one."""
    words = place.words
    for tag in (SOURCE_TAG, TAG):
        lines = reviews_for(words, tag, day)
        add_reviews(place.locales, tag, [line for line in lines if line.role != CLINICIAN])
        add_reviews(place.unit / "locales", tag, [line for line in lines if line.role == CLINICIAN])
