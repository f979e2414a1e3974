"""`daybefore language pseudo`: made-up languages that show what longer words and another direction do to a page."""

from __future__ import annotations

from pathlib import Path

import click

from generator.cli.options import unit_if_any_option
from generator.errors import BadRequest
from generator.materials.languages import own_messages
from generator.materials.shipped import locales_folder, read_shipped, shipped_folder
from generator.materials.unit_folder import LOCALES, read_unit_folder
from generator.materials.whole_files import replace_file
from generator.page.catalogue import catalogue
from generator.words.po_text import po_text
from generator.words.pseudo import PSEUDO_LANGUAGES, pseudo_file


@click.command("pseudo")
@click.option(
    "--out",
    "out_dir",
    required=True,
    type=click.Path(file_okay=False, path_type=Path),
    help="A folder for them; it also gets a copy of the languages there are.",
)
@unit_if_any_option
def pseudo(out_dir: Path, unit_dir: Path | None) -> None:
    """Writes made-up languages to try pages with: longer words, right to left, and ids in place of words.

    Use them with DAYBEFORE_LOCALES=DIR. With --unit the unit's own sentences too, below DIR/unit.
    """
    if out_dir.resolve() in {shipped_folder("locales").resolve(), locales_folder().resolve()}:
        raise BadRequest("That folder holds the real languages.", remedy="Name another one with --out.")
    messages = catalogue(read_shipped().templates)
    for path in sorted(locales_folder().glob("*.po")):
        _write(out_dir / path.name, path.read_bytes())
    for made in PSEUDO_LANGUAGES:
        _write(out_dir / f"{made.tag}.po", po_text(pseudo_file(made, messages.values())).encode())
        click.echo(f"{made.tag}: {made.name}")
    if unit_dir is not None:
        own = own_messages(read_unit_folder(unit_dir)).values()
        for made in PSEUDO_LANGUAGES:
            _write(out_dir / "unit" / f"{made.tag}.po", po_text(pseudo_file(made, own)).encode())
        click.echo(
            f"The unit's own sentences: copy {out_dir / 'unit'}/*.po to a copy of the unit's {LOCALES}/."
        )
    click.echo(f"Use them: DAYBEFORE_LOCALES={out_dir} daybefore build …")


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    replace_file(path, content)
