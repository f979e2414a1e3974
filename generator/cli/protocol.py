"""`daybefore protocol`: checks and signs a unit's protocols."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import click

from generator.cli.options import json_option, now_from, now_option, print_findings, print_json, unit_option
from generator.cli.step_names import NO_NAMES, Names, in_words, names_of_rows
from generator.cli.stopped import refused_protocols, stops_as_json
from generator.clinic.food import Food
from generator.clinic.plausible import implausible_findings
from generator.clinic.signoff import SignOff, role_is_visible
from generator.clinic.unit import Unit
from generator.errors import BadMaterials, BadRequest
from generator.finding import Finding, Severity
from generator.materials.signed_samples import keep_samples, sample_differences
from generator.materials.signoffs import add_signoffs
from generator.materials.unit_folder import (
    FACTOR_FILE,
    INSTRUCTION_FILE,
    read_foods,
    read_protocol,
    read_stated_file,
    read_unit,
    read_unit_folder,
    unsignable_findings,
)
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
    told = [_checked(name, unit_dir, unit, foods) for name in expanded(files, unit_dir)]
    if as_json:
        print_json({"files": [one.as_json() for one in told]})
    else:
        for one in told:
            one.print()
    if any(finding.severity is Severity.REFUSE for one in told for finding in one.findings):
        sys.exit(1)


def expanded(files: Iterable[str], unit_dir: Path) -> tuple[str, ...]:
    """The names with each pattern, such as protocols/*.toml, replaced by the files of the unit's folder it fits."""
    named: list[str] = []
    for name in files:
        found = sorted(unit_dir.glob(name)) if set("*?[") & set(name) and not Path(name).is_absolute() else []
        named += [path.relative_to(unit_dir).as_posix() for path in found] or [name]
    return tuple(dict.fromkeys(named))


@dataclass(frozen=True, slots=True)
class _Checked:
    """What one file was told, in words for its rows; departures None: they were not looked for."""

    file: str
    findings: list[Finding]
    departures: tuple[Departure, ...] | None
    names: Names = field(default_factory=lambda: NO_NAMES)

    def as_json(self) -> dict[str, object]:
        """The promised JSON form."""
        return {
            "file": self.file,
            "findings": [finding.as_json() for finding in self.findings],
            "departures": [departure.as_json() for departure in self.departures or ()],
        }

    def print(self) -> None:
        """Prints it; a file that could not be read departs from nothing, which is not said."""
        departures = (
            "" if self.departures is None else f", {len(self.departures)} departures from published rules"
        )
        click.echo(f"{self.file}: {len(self.findings)} findings{departures}")
        print_findings(self.findings, "  ", self.names)
        for departure in self.departures or ():
            click.echo(f"  differs from {departure.yardstick}: {in_words(departure.problem, self.names)}")


def _checked(name: str, unit_dir: Path, unit: Unit, foods: Sequence[Food]) -> _Checked:
    path = Path(name) if Path(name).is_file() else unit_dir / name
    if name in (FACTOR_FILE, INSTRUCTION_FILE):
        return _Checked(name, [*read_stated_file(unit_dir, name), *unsignable_findings(path, name)], None)
    signed, findings = read_protocol(path, name)
    if findings:
        return _Checked(name, findings, None)
    samples = samples_of(signed.protocol, unit)
    findings += unsignable_findings(path, name)
    findings += implausible_findings(signed.protocol)
    findings += sample_findings(samples, signed.protocol, unit)
    findings += sample_differences(unit_dir, signed.protocol.id, signed.digest, samples)
    return _Checked(name, findings, departures_of(samples, foods), names_of_rows(signed.protocol.rows))


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
    files = expanded(files, unit_dir)
    today = now_from(now, folder.unit.zone).date()
    unknown = [file for file in files if file not in folder.digests]
    if unknown:
        known = ", ".join(folder.digests) or "a file in protocols/; there is none yet"
        raise BadRequest(f"There is no file {unknown[0]} to sign.", remedy=f"Use: {known}.")
    _stop_at_examples(files, unit_dir)
    role = " ".join(role.split())
    if not role_is_visible(role) or len(role) > LONGEST_ROLE:
        raise BadRequest("That is no role.", remedy="Write a few words, such as --role “clinical lead”.")
    if review_by.date() <= today:
        raise BadRequest("The signature would have ended already.", remedy="State a later --review-by.")
    signoffs = [
        SignOff(name, folder.digests[name], role, today, review_by.date()) for name in dict.fromkeys(files)
    ]
    for own in folder.protocols.values():
        if own.file in files:
            keep_samples(unit_dir, own.protocol.id, own.digest, samples_of(own.protocol, folder.unit))
    add_signoffs(unit_dir, signoffs)
    for line in signoffs:
        click.echo(f"Signed {line.file} as it stands ({line.digest}), until {line.review_by}.")


def _stop_at_examples(files: Iterable[str], unit_dir: Path) -> None:
    found = [finding for file in files for finding in unsignable_findings(unit_dir / file, file)]
    if found:
        raise BadMaterials(
            "Nothing was signed: a source says that it is only an example.",
            remedy="Mend the findings below.",
            findings=tuple(found),
        )
