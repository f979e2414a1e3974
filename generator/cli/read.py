"""`daybefore read`: what each row of a booking list means; writes nothing."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from generator.cli.options import json_option, now_from, now_option, print_findings, print_json, unit_option
from generator.desk import read as read_rows
from generator.errors import BadRequest
from generator.intake import Reading
from generator.materials.unit_folder import read_unit_folder


@click.command("read")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@unit_option
@now_option
@json_option
def read(files: tuple[Path, ...], unit_dir: Path, now: str | None, as_json: bool) -> None:
    """What each row of a booking list means; writes nothing."""
    folder = read_unit_folder(unit_dir)
    moment = now_from(now, folder.unit.zone)
    readings = [read_rows(folder, bytes_of(file), file.name, moment) for file in files]
    if as_json:
        print_json({"files": [reading.as_json() for reading in readings]})
    else:
        for reading in readings:
            print_reading(reading)
    if any(reading.refused or reading.counts["reject"] for reading in readings):
        sys.exit(1)


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


def print_reading(reading: Reading, links: dict[str, str] | None = None) -> None:
    """A list as a person reads it: each row, its verdict, start and findings, and its link where there is one."""
    click.echo(
        f"{reading.file}: "
        + ", ".join(f"{count} {verdict}" for verdict, count in reading.counts.items() if count)
    )
    if reading.refused:
        print_findings([reading.refused], "  ")
    for row in reading.rows:
        start = f"{row.start:%a %d %b %Y %H:%M}" if row.start else "no start"
        click.echo(f"  row {row.row}  {row.ref or '(no reference)'}  {row.verdict.value.upper()}  {start}")
        print_findings(row.findings)
        if links and row.ref in links:
            click.echo(f"    link  {links[row.ref]}")
