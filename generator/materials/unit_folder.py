"""Reads a unit's folder: unit, protocols, factors, instructions, food, signatures; every fault at once."""

from __future__ import annotations

import datetime as dt
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generator.clinic.booking import Booking
from generator.clinic.factor import Factor, factors_from
from generator.clinic.food import Food, foods_from
from generator.clinic.instruction import Instruction, instructions_from
from generator.clinic.protocol import Protocol, protocol_from
from generator.clinic.signoff import SignOff, digest_of, ending_findings, signature_findings, signoffs_from
from generator.clinic.sources import example_findings
from generator.clinic.unit import Unit, unit_from
from generator.errors import BadMaterials
from generator.finding import Finding, Severity, refusal
from generator.page.foods import FOOD_IDS
from generator.plan.moments import zone_named
from generator.plan.suited import Stated

UNIT_FILE, FOOD_FILE, SIGNOFF_FILE = "unit.toml", "food.toml", "signoffs.csv"
FACTOR_FILE, INSTRUCTION_FILE = "factors.toml", "instructions.toml"


@dataclass(frozen=True, slots=True)
class SignedProtocol:
    """A protocol, its path inside the unit's folder, and the digest that a signature is bound to."""

    protocol: Protocol
    file: str
    digest: str


@dataclass(frozen=True, slots=True)
class UnitFolder:
    """All that a unit states."""

    unit: Unit
    protocols: dict[str, SignedProtocol]
    stated: Stated
    digests: dict[str, str]  # file -> digest of its meaning, for every file that carries a signature
    foods: tuple[Food, ...]
    signoffs: tuple[SignOff, ...]
    words: dict[str, bytes]  # language tag -> the unit's own sentences in that language, a .po file

    @property
    def regimens(self) -> dict[str, Protocol]:
        """The protocols by id."""
        return {name: signed.protocol for name, signed in self.protocols.items()}

    def signature_findings(self, booking: Booking, today: dt.date) -> list[Finding]:
        """Empty when living signatures cover every file this booking's plan comes from, as they stand."""
        files = [self.protocols[booking.protocol].file]
        files += [FACTOR_FILE] if booking.factors and FACTOR_FILE in self.digests else []
        files += [INSTRUCTION_FILE] if booking.instructions and INSTRUCTION_FILE in self.digests else []
        return [
            finding
            for file in files
            for finding in signature_findings(file, self.digests[file], self.signoffs, today)
        ]

    def ending_findings(self, today: dt.date) -> list[Finding]:
        """The signatures that end soon, a notice for each file."""
        return [
            finding
            for file, digest in self.digests.items()
            for finding in ending_findings(file, digest, self.signoffs, today)
        ]


def read_unit_folder(folder: Path) -> UnitFolder:
    """Everything in a unit's folder.

    Raises:
        BadMaterials: with every finding of every file, if any of them is a refusal.
    """
    findings: list[Finding] = []
    unit = _read_unit(folder, findings)
    protocols = _read_protocols(folder, findings)
    findings += _code_findings(unit, protocols)
    digests = {signed.file: signed.digest for signed in protocols.values()}
    stated = _read_stated(folder, tuple(protocols), digests, findings)
    foods = _read_foods(folder, findings)
    signoffs = _read_signoffs(folder, findings)
    _stop_at_faults(folder, findings)
    words = {path.stem: path.read_bytes() for path in sorted((folder / "locales").glob("*.po"))}
    return UnitFolder(unit, protocols, stated, digests, foods, signoffs, words)


def read_unit_at_least(folder: Path) -> UnitFolder:
    """Everything in a unit's folder, or the unit alone when another file has faults: enough to take a plan down.

    Raises:
        BadMaterials: if unit.toml itself has faults.
    """
    try:
        return read_unit_folder(folder)
    except BadMaterials:
        return UnitFolder(read_unit(folder), {}, Stated(), {}, (), (), {})


def read_unit(folder: Path) -> Unit:
    """The unit alone, for when its protocols are the very thing being checked.

    Raises:
        BadMaterials: with every finding of unit.toml, if any of them is a refusal.
    """
    findings: list[Finding] = []
    unit = _read_unit(folder, findings)
    _stop_at_faults(folder, findings)
    return unit


def read_foods(folder: Path) -> tuple[Food, ...]:
    """The unit's foods as far as they can be read; its faults are told when the whole folder is read."""
    return _read_foods(folder, [])


def _read_unit(folder: Path, findings: list[Finding]) -> Unit:
    if not (folder / UNIT_FILE).is_file():
        raise BadMaterials(
            f"There is no {UNIT_FILE} in the folder “{folder.name}”.",
            remedy="Name the unit's folder with --unit; templates/unit/ holds starter files.",
        )
    unit, found = unit_from(_parsed(folder / UNIT_FILE, UNIT_FILE, findings), UNIT_FILE)
    # A file that cannot be read at all has one fault, not one for each key it seems to lack.
    findings += [] if findings else found
    if unit.zone and zone_named(unit.zone) is None:
        remedy = "Write an IANA name such as “Europe/London”."
        findings.append(
            refusal("zone-unknown", f"{UNIT_FILE} zone", f"There is no time zone “{unit.zone}”.", remedy)
        )
    return unit


def _stop_at_faults(folder: Path, findings: list[Finding]) -> None:
    if any(finding.severity is Severity.REFUSE for finding in findings):
        raise BadMaterials(
            f"The unit's folder “{folder.name}” has faults.",
            remedy="Mend the findings below.",
            findings=tuple(findings),
        )


def _parsed(path: Path, file: str, findings: list[Finding]) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text("utf-8-sig"))
    except OSError as error:
        problem = f"{file} cannot be opened: {error.strerror or 'the disk failed'}."
        remedy = "Check its name, and that you may read it."
        findings.append(refusal("file-unreadable", file, problem, remedy))
        return {}
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        findings.append(
            refusal(
                "file-unreadable",
                file,
                f"{file} cannot be read as TOML: {error}",
                "Mend that line; texts need straight quotes, the file UTF-8.",
            )
        )
        return {}


def _read_protocols(folder: Path, findings: list[Finding]) -> dict[str, SignedProtocol]:
    protocols = {}
    for path in sorted((folder / "protocols").glob("*.toml")):
        protocols[path.stem], found = read_protocol(path, f"protocols/{path.name}")
        findings += found
    return protocols


def read_protocol(path: Path, file: str) -> tuple[SignedProtocol, list[Finding]]:
    """One protocol's file, and every finding; with a refusal it must not be used."""
    findings: list[Finding] = []
    table = _parsed(path, file, findings)
    protocol, found = protocol_from(table, path.stem, file)
    # A file that cannot be read at all has one fault, not one for each key it seems to lack.
    return SignedProtocol(protocol, file, digest_of(table)), findings or found


def read_stated_file(folder: Path, name: str) -> list[Finding]:
    """Every finding of factors.toml or instructions.toml; a factor may name any file in protocols/."""
    findings: list[Finding] = []
    table = _parsed(folder / name, name, findings)
    if findings:
        return findings
    protocols = [path.stem for path in (folder / "protocols").glob("*.toml")]
    if name == FACTOR_FILE:
        return factors_from(table, protocols, name)[1]
    return instructions_from(table, name)[1]


def unsignable_findings(path: Path, file: str) -> list[Finding]:
    """What keeps a file from being signed although it can be read: sources that are only examples."""
    return example_findings(_parsed(path, file, []), file)


def _code_findings(unit: Unit, protocols: dict[str, SignedProtocol]) -> list[Finding]:
    known = ", ".join(protocols) or "none"
    return [
        refusal(
            "protocol-unknown",
            f"{UNIT_FILE} list codes {code}",
            f"The list code “{code}” names “{name}”, and there is no such protocol.",
            f"Name one of the files in protocols/: {known}.",
        )
        for code, names in unit.listing.codes.items()
        for name in names
        if name not in protocols
    ]


def _read_stated(
    folder: Path, protocols: tuple[str, ...], digests: dict[str, str], findings: list[Finding]
) -> Stated:
    """The unit's factors and instructions, where it has any; their digests are added."""
    factors: dict[str, Factor] = {}
    instructions: dict[str, Instruction] = {}
    if (folder / FACTOR_FILE).is_file():
        table = _parsed(folder / FACTOR_FILE, FACTOR_FILE, findings)
        factors, found = factors_from(table, protocols, FACTOR_FILE)
        findings += found
        digests[FACTOR_FILE] = digest_of(table)
    if (folder / INSTRUCTION_FILE).is_file():
        table = _parsed(folder / INSTRUCTION_FILE, INSTRUCTION_FILE, findings)
        instructions, found = instructions_from(table, INSTRUCTION_FILE)
        findings += found
        digests[INSTRUCTION_FILE] = digest_of(table)
    return Stated(factors, instructions)


def _read_foods(folder: Path, findings: list[Finding]) -> tuple[Food, ...]:
    if not (folder / FOOD_FILE).is_file():
        return ()
    foods, found = foods_from(_parsed(folder / FOOD_FILE, FOOD_FILE, findings), FOOD_IDS, FOOD_FILE)
    findings += found
    return foods


def _read_signoffs(folder: Path, findings: list[Finding]) -> tuple[SignOff, ...]:
    path = folder / SIGNOFF_FILE
    if not path.is_file():
        return ()
    try:
        text = path.read_text("utf-8-sig")
    except (UnicodeDecodeError, OSError):
        remedy = "Save it as UTF-8, and see that it may be read."
        findings.append(refusal("file-unreadable", SIGNOFF_FILE, f"{SIGNOFF_FILE} cannot be read.", remedy))
        return ()
    signoffs, found = signoffs_from(text, SIGNOFF_FILE)
    findings += found
    return signoffs
