"""How it stands with one protocol's file: its samples, what is wrong with it, what departs and was accepted."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from generator.cli.protocol.named import name_inside, path_of
from generator.clinic.acceptance import Acceptance
from generator.clinic.food import Food
from generator.clinic.plausible import implausible_findings
from generator.clinic.protocol import Protocol
from generator.clinic.signoff import SignOff
from generator.clinic.unit import Unit
from generator.finding import Finding, note
from generator.materials.signed_samples import kept_samples, sample_differences, settings_differences
from generator.materials.signoffs import read_acceptances, read_signoffs
from generator.materials.unit_folder import read_foods, read_protocol, read_unit, unsignable_findings
from generator.plan.departures import DepartedRule, departed_rules, departures_of
from generator.plan.samples import Sample, sample_findings, samples_of


@dataclass(frozen=True, slots=True)
class Kept:
    """What a unit's folder holds that a protocol is looked at with."""

    folder: Path
    unit: Unit
    foods: tuple[Food, ...]
    signoffs: tuple[SignOff, ...]
    acceptances: tuple[Acceptance, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """A protocol whose file can be read.

    Attributes:
        file: its path inside the unit's folder.
        departed: the published rules that its samples, and the unit's foods, depart from.
    """

    file: str
    protocol: Protocol
    digest: str
    samples: tuple[Sample, ...]
    findings: tuple[Finding, ...]
    departed: tuple[DepartedRule, ...]


def kept_in(folder: Path) -> Kept:
    """What the folder holds.

    Raises:
        BadMaterials: if unit.toml, signoffs.csv or accepted.csv has faults.
    """
    return Kept(
        folder, read_unit(folder), read_foods(folder), read_signoffs(folder), read_acceptances(folder)
    )


def standing_of(name: str, kept: Kept) -> tuple[Standing | None, tuple[Finding, ...]]:
    """How it stands with a file, or None and what keeps it from being read."""
    path = path_of(name, kept.folder)
    signed, findings = read_protocol(path, name)
    if findings:
        return None, tuple(findings)
    protocol, file = signed.protocol, name_inside(path, kept.folder)
    samples = samples_of(protocol, kept.unit)
    findings = [
        *unsignable_findings(path, name),
        *implausible_findings(protocol),
        *sample_findings(samples, protocol, kept.unit),
        *_signed_findings(protocol, file, signed.digest, kept),
    ]
    departures = departures_of(samples, kept.foods)
    departed = departed_rules(departures, file, kept.acceptances)
    return Standing(file, protocol, signed.digest, samples, tuple(findings), departed), tuple(findings)


def _signed_findings(protocol: Protocol, file: str, digest: str, kept: Kept) -> list[Finding]:
    """What is another now than when the protocol was signed as it stands."""
    samples = kept_samples(kept.folder, protocol.id, digest)
    if samples is not None:
        return sample_differences(protocol, file, kept.unit, samples) or settings_differences(
            protocol, file, kept.unit, samples
        )
    if all((one.file, one.digest) != (file, digest) for one in kept.signoffs):
        return []
    return [
        note(
            "samples-missing",
            file,
            f"{file} is signed, and no sample timetables were kept: a change of the software would not be noticed.",
            f"Copy the folder signed/ along with signoffs.csv. Or sign anew: daybefore protocol sign {file}",
        )
    ]
