"""`daybefore read`: what each row of a booking list means; writes nothing."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Mapping
from pathlib import Path

import click

from generator.cli.options import json_option, now_from, now_option, print_findings, print_json, unit_option
from generator.cli.stopped import refused_lists, stops_as_json
from generator.desk import Made
from generator.desk import read as read_rows
from generator.errors import BadRequest
from generator.finding import refusal
from generator.intake import Reading, settled
from generator.materials.unit_folder import UnitFolder, read_unit_folder
from generator.staff.step_names import NO_NAMES, names_of_unit


@click.command("read")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@unit_option
@now_option
@json_option
@stops_as_json(refused_lists)
def read(files: tuple[Path, ...], unit_dir: Path, now: str | None, as_json: bool) -> None:
    """What each row of a booking list means; writes nothing."""
    folder = read_unit_folder(unit_dir)
    moment = now_from(now, folder.unit.zone)
    readings = settled(tuple(reading_of(folder, file, moment) for file in files))
    if as_json:
        print_json({"files": [reading.as_json() for reading in readings]})
    else:
        for reading in readings:
            print_reading(reading, folder)
    if any(reading.refused or reading.counts["reject"] for reading in readings):
        sys.exit(1)


def reading_of(folder: UnitFolder, path: Path, now: dt.datetime) -> Reading:
    """What the list in this file means; one that cannot be read is refused, so that others can be read.

    A reference that stands in several lists is told by `settled`, which is to be given all of them.
    """
    name = click.format_filename(path, shorten=True) or str(path)
    try:
        raw = path.read_bytes()
    except OSError as error:
        return Reading(name, refusal("file-unreadable", name, *_unreadable(error)), ())
    return read_rows(folder, raw, name, now)


def _unreadable(error: OSError) -> tuple[str, str]:
    """What is wrong with a file that cannot be read, and the next step."""
    if isinstance(error, FileNotFoundError):
        return "There is no such file.", "Check its name and folder, and read it again."
    if isinstance(error, IsADirectoryError):
        return "This is a folder, not a list.", "Name the file in the folder that holds the list."
    if isinstance(error, PermissionError):
        return (
            "This file may not be read.",
            "Have yourself given the right to read it, or copy it where you may.",
        )
    return "This file cannot be read.", "Check that the drive it is on can be reached, and read it again."


def bytes_of(file: Path) -> bytes:
    """The file's bytes.

    Raises:
        BadRequest: if it cannot be read.
    """
    try:
        return file.read_bytes()
    except OSError:
        raise BadRequest(
            f"The file “{file.name}” cannot be read.", remedy="Check its name and that you may read it."
        ) from None


def print_reading(reading: Reading, folder: UnitFolder, up: Mapping[str, Made] | None = None) -> None:
    """A list as a person reads it: each row, its verdict, start and findings; where a plan is up, link and copies."""
    counts = ", ".join(f"{count} {verdict}" for verdict, count in reading.counts.items() if count)
    click.echo(f"{reading.file}: {counts or 'no rows'}")
    if reading.refused:
        print_findings([reading.refused], "  ")
    for row in reading.rows:
        start = f"{row.start:%a %d %b %Y %H:%M}" if row.start else "no start"
        click.echo(f"  row {row.row}  {row.ref or '(no reference)'}  {row.verdict.value.upper()}  {start}")
        protocol = [folder.regimens[row.booking.protocol]] if row.booking else []
        names = names_of_unit(folder.stated, *protocol)
        for finding in row.findings:
            # What the list itself says is quoted as it stands; a column may be called as a step is.
            print_findings([finding], names=NO_NAMES if finding.where.startswith(reading.file) else names)
        if up and row.ref in up:
            click.echo(f"    link  {up[row.ref].link}")
            for copy in up[row.ref].copies:
                click.echo(f"    copy  {copy}")
