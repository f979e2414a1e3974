"""A desk over a data folder, as every command that changes plans needs it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import click

from generator.cli.options import now_from
from generator.desk import Desk
from generator.desk.address import base_url_of
from generator.errors import BadMaterials, BadRecords
from generator.materials.languages import wordings_of_unit
from generator.materials.shipped import read_shipped
from generator.materials.unit_folder import UnitFolder, read_unit_at_least, read_unit_folder
from generator.page.booklet import parts_from
from generator.plan.cases import Cases
from generator.records import Records
from generator.shelves import FolderShelf, plans_without_records

base_url_option = click.option(
    "--base-url", envvar="DAYBEFORE_BASE_URL", help="Where the plans will be served, with the last slash."
)


@contextmanager
def desk_at(
    folder: UnitFolder | Path,
    out_dir: Path,
    base_url: str | None = None,
    now: str | None = None,
    *,
    taking_down: bool = False,
    single_file: bool = False,
) -> Iterator[Desk]:
    """The desk of a unit over a data folder, at a moment.

    Args:
        taking_down: plans are only taken down, which no fault in a protocol or a language may keep from happening.
        single_file: plans that are made are copied into one file for each language.

    Raises:
        BadMaterials: if a file of the unit, or a language, has faults.
        BadRecords: if the records cannot be used, or are gone while plans are up.
        BadRequest: if the base URL is none.
    """
    if isinstance(folder, Path):
        folder = read_unit_at_least(folder) if taking_down else read_unit_folder(folder)
    moment = now_from(now, folder.unit.zone).replace(microsecond=0)  # the records keep seconds
    address = base_url_of(folder.unit, base_url)
    shipped = read_shipped()
    wordings, faults = wordings_of_unit(shipped, folder)
    if faults and not taking_down:
        raise BadMaterials(
            "A language file has faults.", remedy="Mend the findings below.", findings=tuple(faults)
        )
    if plans_without_records(out_dir):
        raise BadRecords(
            "Plans are up in this data folder, and the records of their bookings are gone.",
            remedy="Restore records.sqlite from the last copy; a new one would give every patient a second plan.",
        )
    parts = parts_from(shipped.templates, shipped.style, shipped.assets, shipped.drawn, shipped.worker)
    with closing(Records(out_dir)) as records:
        cases = Cases(folder.unit, folder.regimens, folder.stated)
        shelf = FolderShelf(out_dir)
        yield Desk(folder, wordings, parts, records, shelf, address, moment, cases, single_file)
