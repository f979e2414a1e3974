"""`daybefore protocol sign`: binds a signature to files as they stand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

import click

from generator.cli.options import now_from, now_option, unit_option
from generator.cli.protocol.named import expanded, role_from
from generator.cli.protocol.standing import kept_in, standing_of
from generator.clinic.plausible import override_findings
from generator.clinic.protocol import Protocol
from generator.clinic.signoff import SignOff
from generator.errors import BadMaterials, BadRequest
from generator.finding import Severity
from generator.materials.signed_samples import keep_samples
from generator.materials.signoffs import add_signoffs
from generator.materials.unit_folder import read_unit_folder, unsignable_findings


@click.command("sign")
@click.argument("files", nargs=-1, required=True)
@unit_option
@click.option("--role", required=True, help="Role of whoever signs, such as “clinical lead”; never a name.")
@click.option(
    "--review-by", required=True, type=click.DateTime(["%Y-%m-%d"]), help="Last day the signature holds."
)
@now_option
def sign(files: tuple[str, ...], unit_dir: Path, role: str, review_by: dt.datetime, now: str | None) -> None:
    """Binds a signature to FILES (such as protocols/peg.toml or factors.toml) as they stand now.

    One changed figure afterwards, and the signature is dead.
    """
    folder = read_unit_folder(unit_dir)
    files = expanded(files, unit_dir)
    today = now_from(now, folder.unit.zone).date()
    unknown = [file for file in files if file not in folder.digests]
    if unknown:
        known = ", ".join(folder.digests) or "a file in protocols/; there is none yet"
        raise BadRequest(f"There is no file {unknown[0]} to sign.", remedy=f"Use: {known}.")
    _stop_at_examples(files, unit_dir)
    _stop_without_reason([own.protocol for own in folder.protocols.values() if own.file in files])
    role = role_from(role)
    if review_by.date() <= today:
        raise BadRequest("The signature would have ended already.", remedy="State a later --review-by.")
    signoffs = [
        SignOff(name, folder.digests[name], role, today, review_by.date()) for name in dict.fromkeys(files)
    ]
    for own in folder.protocols.values():
        if own.file in files:
            keep_samples(unit_dir, own.protocol, own.digest, folder.unit)
    add_signoffs(unit_dir, signoffs)
    for line in signoffs:
        click.echo(f"Signed {line.file} as it stands ({line.digest}), until {line.review_by}.")
    _tell_departures(unit_dir, [own.file for own in folder.protocols.values() if own.file in files])


def _tell_departures(unit_dir: Path, files: Iterable[str]) -> None:
    """Which of the protocols depart from a published rule without anybody's word that it is meant."""
    kept = kept_in(unit_dir)
    for file in files:
        standing, _ = standing_of(file, kept)
        unsaid = [one for one in standing.departed if one.accepted is None] if standing else []
        if unsaid:
            click.echo(
                f"{file} departs from {len(unsaid)} published rule(s) that nobody has accepted. See them:"
            )
            click.echo(f"  daybefore protocol check {file} --unit {unit_dir}")


def _stop_without_reason(protocols: Iterable[Protocol]) -> None:
    found = [one for protocol in protocols for one in override_findings(protocol)]
    refused = tuple(one for one in found if one.severity is Severity.REFUSE)
    if refused:
        raise BadMaterials(
            "Nothing was signed: a protocol needs the clinical lead's own reason.",
            remedy="Mend the findings below.",
            findings=refused,
        )


def _stop_at_examples(files: Iterable[str], unit_dir: Path) -> None:
    found = [finding for file in files for finding in unsignable_findings(unit_dir / file, file)]
    if found:
        raise BadMaterials(
            "Nothing was signed: a source says that it is only an example.",
            remedy="Mend the findings below.",
            findings=tuple(found),
        )
