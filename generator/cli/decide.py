"""`daybefore decide`: records what a nurse decided about a row, so that its plan may be built."""

from __future__ import annotations

from pathlib import Path

import click

from generator.cli.options import data_option, now_from, now_option, unit_option
from generator.cli.read import bytes_of
from generator.desk import read as read_rows
from generator.desk.decisions import CALL_FIRST, GO_AHEAD, LEAVE_OUT, choices_for, questions
from generator.errors import BadRequest
from generator.materials.unit_folder import read_unit_folder
from generator.records import Decision, Records

ROLES = ("nurse", "doctor", "lead")


@click.command("decide")
@click.argument("file", type=click.Path(path_type=Path))
@unit_option
@data_option
@click.option("--ref", required=True, help="Reference of the row.")
@click.option("--kind", required=True, help="Kind of the finding, as build names it.")
@click.option(
    "--choice",
    required=True,
    metavar="CHOICE",
    help=f"{GO_AHEAD}: a person has looked, the plan may be built as it is; {CALL_FIRST}: the page says “call the "
    f"unit before you change this medicine”; {LEAVE_OUT}: without what the factor would add; or the id of one of "
    "the unit's instructions or factors.",
)
@click.option("--role", required=True, type=click.Choice(ROLES), help="Who decided.")
@now_option
def decide(
    file: Path, unit_dir: Path, out_dir: Path, ref: str, kind: str, choice: str, role: str, now: str | None
) -> None:
    """Records what a nurse decided about a row of FILE, so that its plan may be built.

    The decision holds for the row as it stands; a changed row asks again.
    """
    folder = read_unit_folder(unit_dir)
    moment = now_from(now, folder.unit.zone)
    reading = read_rows(folder, bytes_of(file), file.name, moment)
    row = next((row for row in reading.rows if row.ref == ref), None)
    if row is None or row.booking is None:
        raise BadRequest(
            f"{file.name} has no usable row with that reference.",
            remedy=f"Look at it: daybefore read {file.name}",
        )
    records = Records(out_dir)
    try:
        waiting = questions(folder, row, moment, records.decisions(ref, row.digest))
        if kind not in waiting:
            raise BadRequest(
                f"The row has no finding “{kind}” that waits for a decision.",
                remedy=f"Waiting here: {', '.join(waiting) or 'nothing'}.",
            )
        choices = choices_for(kind, folder.stated)
        if choice not in choices:
            remedy = f"Use --choice with one of: {', '.join(choices)}."
            raise BadRequest(f"“{choice}” does not answer “{kind}”.", remedy=remedy)
        records.decide(Decision(ref, row.digest, kind, choice, role), moment)
    finally:
        records.close()
    click.echo(f"Recorded for row {row.row}: {kind} -> {choice} ({role}).")
