"""`daybefore prepare, clear`: a booking waits at the desk until the patient has been cleared; then it has a link."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from generator.cli.booking_options import booking_from, booking_options, known
from generator.cli.change import answer_options, answers_from_options
from generator.cli.desk_option import desk_at
from generator.cli.life import ref_option, role_option, shared_options, tell
from generator.cli.options import print_findings
from generator.desk import preparing
from generator.errors import BadRequest
from generator.materials.unit_folder import read_unit_folder


@click.command("prepare")
@ref_option
@booking_options
@click.option(
    "--language", metavar="TAG", multiple=True, help="A language the patient reads, the first one first."
)
@click.option("--speaks", metavar="TAG", help="The language to speak with the patient.")
@role_option
@shared_options
def prepare(unit_dir: Path, out_dir: Path, ref: str, role: str, **asked: Any) -> None:
    """Puts a booking on the desk, where the console shows that it waits to be cleared. There is no link yet."""
    if any(asked[name] for name in ("agreed", "instruction", "call_first")):
        raise BadRequest(
            "What becomes of a medicine is decided when the patient is cleared.",
            remedy="State it with daybefore clear, or in the console; here only --factor, which raises it.",
        )
    folder = read_unit_folder(unit_dir)
    tags = [known(tag, folder.unit.languages, "language", "language-missing") for tag in asked["language"]]
    booking = replace(
        booking_from(asked, folder),
        ref=ref,
        languages=tuple(tags) or folder.unit.languages[:1],
        speaks=asked["speaks"],
    )
    with desk_at(folder, out_dir, asked["base_url"], asked["now"]) as desk:
        made = preparing.prepare(desk, booking, role, new=True)
    print_findings(made.findings, indent="")
    if made.findings:
        raise SystemExit(1)
    click.echo("It waits to be cleared: daybefore clear --ref … , or in the console.")


@click.command("clear")
@ref_option
@answer_options
@role_option
@shared_options
def clear(unit_dir: Path, out_dir: Path, ref: str, role: str, **asked: Any) -> None:
    """Records that this patient may take this medicine, with what was decided, and publishes the plan that waited."""
    folder = read_unit_folder(unit_dir)
    answers = answers_from_options(asked, folder)
    with desk_at(folder, out_dir, asked["base_url"], asked["now"]) as desk:
        tell(preparing.clear(desk, ref, answers, role), as_json=asked["as_json"])
