"""`daybefore protocol page`: a protocol's rules in words, on a page to print, read and sign."""

from __future__ import annotations

from pathlib import Path

import click

from generator.cli.options import now_from, now_option, unit_option
from generator.cli.protocol.standing import kept_in, standing_of
from generator.clinic.signoff import validity
from generator.errors import BadMaterials, BadRequest
from generator.materials.shipped import read_rule_page_parts
from generator.materials.whole_files import replace_file
from generator.staff.protocol_page import RulePage, RulePageParts, rule_page


@click.command("page")
@click.argument("file")
@unit_option
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Where to write it. Without it: the protocol's name with .html, in this folder.",
)
@now_option
def page(file: str, unit_dir: Path, out: Path | None, now: str | None) -> None:
    """Writes the rules of FILE in words, with sources, departures and sample timetables, as one HTML file to print."""
    kept = kept_in(unit_dir)
    standing, findings = standing_of(file, kept)
    if standing is None:
        raise BadMaterials(
            "The rules cannot be put into words: the file has faults.",
            remedy="Mend the findings below.",
            findings=findings,
        )
    today = now_from(now, kept.unit.zone).date()
    told = RulePage(
        unit=kept.unit,
        protocol=standing.protocol,
        file=standing.file,
        digest=standing.digest,
        validity=validity(standing.file, standing.digest, kept.signoffs, today),
        samples=standing.samples,
        departed=standing.departed,
        findings=standing.findings,
    )
    path = out or Path(f"{standing.protocol.id}.html")
    try:
        replace_file(path, rule_page(told, RulePageParts(*read_rule_page_parts())))
    except OSError as error:
        raise BadRequest(
            f"The page cannot be written: {error.strerror or 'the disk failed'}.",
            remedy="Name a file in a folder that is there and may be written: --out FILE.html",
        ) from None
    click.echo(f"The rules in words are in {path}. Open it in a browser and print it.")
