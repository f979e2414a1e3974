"""`daybefore protocol`: signs a unit's protocols."""

from __future__ import annotations

import csv
import datetime as dt
from pathlib import Path

import click

from generator.cli.options import now_from, now_option, unit_option
from generator.clinic.signoff import COLUMNS, SignOff
from generator.errors import BadRequest
from generator.materials.unit_folder import SIGNOFF_FILE, read_unit_folder


@click.group("protocol")
def protocol() -> None:
    """Signs a unit's protocols."""


@protocol.command("sign")
@click.argument("files", nargs=-1, required=True)
@unit_option
@click.option("--role", required=True, help="Role of whoever signs, such as “clinical lead”; never a name.")
@click.option(
    "--review-by", required=True, type=click.DateTime(["%Y-%m-%d"]), help="Last day the signature holds."
)
@now_option
def sign(files: tuple[str, ...], unit_dir: Path, role: str, review_by: dt.datetime, now: str | None) -> None:
    """Binds a signature to FILES (such as protocols/peg.toml) as they stand now.

    One changed figure afterwards, and the signature is dead.
    """
    folder = read_unit_folder(unit_dir)
    today = now_from(now, folder.unit.zone).date()
    by_file = {signed.file: signed for signed in folder.protocols.values()}
    unknown = [file for file in files if file not in by_file]
    if unknown:
        raise BadRequest(f"There is no protocol file {unknown[0]}.", remedy=f"Use: {', '.join(by_file)}.")
    if review_by.date() <= today:
        raise BadRequest("The signature would have ended already.", remedy="State a later --review-by.")
    path = unit_dir / SIGNOFF_FILE
    is_new = not path.exists()
    with path.open("a", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        if is_new:
            writer.writerow(COLUMNS)
        for name in files:
            signoff = SignOff(name, by_file[name].digest, role, today, review_by.date())
            writer.writerow([signoff.file, signoff.digest, signoff.role, signoff.signed, signoff.review_by])
            click.echo(f"Signed {name} as it stands ({signoff.digest}), until {signoff.review_by}.")
