"""`daybefore protocol`: checks and signs a unit's protocols."""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path

import click

from generator.cli.options import json_option, now_from, now_option, print_findings, print_json, unit_option
from generator.cli.step_names import NO_NAMES, Names, in_words, names_of_rows
from generator.cli.stopped import refused_protocols, stops_as_json
from generator.clinic.plausible import implausible_findings
from generator.clinic.signoff import SignOff, role_is_visible
from generator.errors import BadRequest
from generator.finding import Finding, Severity
from generator.materials.signoffs import add_signoffs
from generator.materials.unit_folder import read_foods, read_protocol, read_unit, read_unit_folder
from generator.plan.samples import Departure, departures_of, sample_findings, samples_of

LONGEST_ROLE = 100


@click.group("protocol")
def protocol() -> None:
    """Checks and signs a unit's protocols."""


@protocol.command("check")
@click.argument("files", nargs=-1, required=True)
@unit_option
@json_option
@stops_as_json(refused_protocols)
def check(files: tuple[str, ...], unit_dir: Path, as_json: bool) -> None:
    """Says what is wrong with FILES, and where they depart from published rules.

    Departures are for the clinical lead to know; they change no plan.
    """
    unit, foods = read_unit(unit_dir), read_foods(unit_dir)
    names: dict[str, Names] = {}
    told: list[tuple[str, list[Finding], tuple[Departure, ...]]] = []
    for name in files:
        path = Path(name) if Path(name).is_file() else unit_dir / name
        signed, findings = read_protocol(path, name)
        departures: tuple[Departure, ...] = ()
        if not findings:
            samples = samples_of(signed.protocol, unit)
            findings += implausible_findings(signed.protocol)
            findings += sample_findings(samples, signed.protocol, unit)
            departures = departures_of(samples, foods)
            names[name] = names_of_rows(signed.protocol.rows)
        told.append((name, findings, departures))
    if as_json:
        print_json({"files": [_json(*one) for one in told]})
    else:
        for name, findings, departures in told:
            click.echo(f"{name}: {len(findings)} findings, {len(departures)} departures from published rules")
            words = names.get(name, NO_NAMES)
            print_findings(findings, "  ", words)
            for departure in departures:
                click.echo(f"  differs from {departure.yardstick}: {in_words(departure.problem, words)}")
    if any(finding.severity is Severity.REFUSE for _, findings, _ in told for finding in findings):
        sys.exit(1)


def _json(file: str, findings: list[Finding], departures: tuple[Departure, ...]) -> dict[str, object]:
    return {
        "file": file,
        "findings": [finding.as_json() for finding in findings],
        "departures": [departure.as_json() for departure in departures],
    }


@protocol.command("sign")
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
    today = now_from(now, folder.unit.zone).date()
    unknown = [file for file in files if file not in folder.digests]
    if unknown:
        known = ", ".join(folder.digests) or "a file in protocols/; there is none yet"
        raise BadRequest(f"There is no file {unknown[0]} to sign.", remedy=f"Use: {known}.")
    role = " ".join(role.split())
    if not role_is_visible(role) or len(role) > LONGEST_ROLE:
        raise BadRequest("That is no role.", remedy="Write a few words, such as --role “clinical lead”.")
    if review_by.date() <= today:
        raise BadRequest("The signature would have ended already.", remedy="State a later --review-by.")
    signoffs = [
        SignOff(name, folder.digests[name], role, today, review_by.date()) for name in dict.fromkeys(files)
    ]
    add_signoffs(unit_dir, signoffs)
    for line in signoffs:
        click.echo(f"Signed {line.file} as it stands ({line.digest}), until {line.review_by}.")
