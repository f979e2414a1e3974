"""Plans of one booking in every language there is, the made-up ones among them."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.materials.languages import own_messages, wordings_of_unit
from generator.materials.shipped import locales_folder, read_shipped
from generator.materials.unit_folder import read_unit_folder
from generator.page.catalogue import catalogue
from tests.command import DEMO_UNIT, run
from tests.plans import Built, built, copy_of_demo_unit


def whole(tags: tuple[str, ...]) -> list[str]:
    """Those that lack no message: the others catch up when the English has settled."""
    shipped = read_shipped()
    messages = catalogue(shipped.templates) | own_messages(folder := read_unit_folder(DEMO_UNIT))
    joined, _ = wordings_of_unit(shipped, folder)
    return [tag for tag in tags if all(joined[tag].forms(message) for message in messages.values())]


SHIPPED = tuple(sorted(path.stem for path in locales_folder().glob("*.po")))
PSEUDO = ("ar-XB", "en-XA", "en-XC")
EVERY = tuple(dict.fromkeys((*whole(SHIPPED), *PSEUDO)))
HEADING = "Appt Ref,Appt Date,Appt Time,Adm Time,Procedure,Prep Code,Lang,Transport,Comments\n"


def unit_in_every_language(place: Path, patch: pytest.MonkeyPatch) -> Path:
    """A copy of the demonstration's unit that speaks the made-up languages as well."""
    unit = copy_of_demo_unit(place)
    assert run("language", "pseudo", "--out", place / "locales", "--unit", unit).exit_code == 0
    for path in (place / "locales" / "unit").glob("*.po"):
        path.rename(unit / "locales" / path.name)
    patch.setenv("DAYBEFORE_LOCALES", str(place / "locales"))
    return unit


def built_in_every_language(place: Path, base_url: str, patch: pytest.MonkeyPatch) -> Built:
    """The plan of an appointment on 18 March 2026 at 09:30 in each language; the reference is the language's tag."""
    unit = unit_in_every_language(place, patch)
    rows = (f"{tag},18/03/2026,09:30,09:00,COLON,PEGASC2,{tag},,\n" for tag in EVERY)
    (place / "list.csv").write_text(HEADING + "".join(rows), "utf-8")
    return built(place / "data", unit=unit, lists=(place / "list.csv",), base_url=base_url)
