"""`daybefore unit new`: a folder to begin a unit in."""

from __future__ import annotations

import shutil
from pathlib import Path

import click

from generator.errors import BadRequest
from generator.materials.shipped import shipped_folder


@click.group("unit")
def unit() -> None:
    """Begins a unit's folder."""


@unit.command("new")
@click.argument("folder", type=click.Path(path_type=Path))
def new(folder: Path) -> None:
    """Copies the starter files into FOLDER, which must be new or empty.

    Everything in them is unsigned: no plan is made before a clinical lead has read and signed it.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise BadRequest(
            f"“{folder.name}” is there already and is not empty; nothing was copied.",
            remedy="Name a folder that does not exist yet.",
        )
    try:
        shutil.copytree(shipped_folder("templates") / "unit", folder, dirs_exist_ok=True)
    except OSError as error:
        raise BadRequest(
            f"The starter files cannot be copied: {error.strerror or 'the disk failed'}.",
            remedy="See that the folder may be written and has room, then run this command again.",
        ) from None
    click.echo(f"The starter files are in {folder}. Next:")
    click.echo("  1. Fill in unit.toml: what stands in brackets.")
    click.echo("  2. Have the clinical lead read PROTOCOLS.md and make the protocols the unit's own.")
    click.echo(f"  3. daybefore protocol check protocols/*.toml --unit {folder}")
    click.echo(f"  4. daybefore protocol page protocols/NAME.toml --unit {folder}   to print, read and sign")
    click.echo(
        f"  5. daybefore protocol sign protocols/NAME.toml --unit {folder} --role ROLE --review-by DAY"
    )
