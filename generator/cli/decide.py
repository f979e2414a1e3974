"""`daybefore decide`: records what a nurse decided about a row, so that its plan may be built."""

from __future__ import annotations

from pathlib import Path

import click

from generator.cli.options import data_option, now_from, now_option, unit_option
from generator.cli.read import bytes_of
from generator.desk import CALL_FIRST, INSTRUCTION_KIND, questions
from generator.desk import read as read_rows
from generator.errors import BadRequest
from generator.materials.unit_folder import UnitFolder, read_unit_folder
from generator.page.medicine_classes import is_medicine
from generator.records import Decision, Records

ROLES = ("nurse", "doctor", "lead")
GO_AHEAD = "go-ahead"
_DIABETES = ("diabetes", "insulin", "sglt2", "glp1")  # a hint says “diabetes”, an instruction which medicine


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
    "unit before you change this medicine”; or the id of one of the unit's instructions or factors.",
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
        _check_choice(folder, kind, choice)
        records.decide(Decision(ref, row.digest, kind, choice, role), moment)
    finally:
        records.close()
    click.echo(f"Recorded for row {row.row}: {kind} -> {choice} ({role}).")


def _check_choice(folder: UnitFolder, kind: str, choice: str) -> None:
    """A choice must answer the question: a medicine's instruction for a medicine, a factor for a hint.

    Raises:
        BadRequest: if it does not.
    """
    subject = kind.removeprefix(f"{INSTRUCTION_KIND}:") if kind.startswith(f"{INSTRUCTION_KIND}:") else ""
    instructions = [one.id for one in folder.stated.instructions.values() if _fits(one.medicine, subject)]
    allowed = [GO_AHEAD]
    if subject:
        allowed += [CALL_FIRST] if is_medicine(subject) else []
        allowed += [*instructions, *folder.stated.factors]
    if choice not in allowed:
        raise BadRequest(
            f"“{choice}” does not answer “{kind}”.", remedy=f"Use --choice with one of: {', '.join(allowed)}."
        )


def _fits(medicine: str, subject: str) -> bool:
    return medicine == subject or (subject == "diabetes" and medicine in _DIABETES)
