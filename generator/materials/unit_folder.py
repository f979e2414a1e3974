"""Reads a unit's folder: unit, protocols, factors, instructions, food, signatures; every fault at once."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace
from pathlib import Path

from generator.clinic.advice import Advice
from generator.clinic.booking import Booking
from generator.clinic.factor import Factor, factors_from
from generator.clinic.food import Food
from generator.clinic.instruction import Instruction, instructions_from
from generator.clinic.protocol import Protocol, protocol_from
from generator.clinic.signoff import SignOff, digest_of, ending_findings, signature_findings, signoffs_from
from generator.clinic.sources import example_findings
from generator.clinic.unit import ANY_LANGUAGE, Unit, unit_from
from generator.errors import BadMaterials
from generator.finding import Finding, Severity, refusal, warning
from generator.materials.advice import PARTS, read_advice
from generator.materials.reviews import language_files
from generator.materials.shipped import language_tags
from generator.materials.signed_samples import kept_samples, sample_differences
from generator.materials.toml_files import parsed
from generator.plan.moments import zone_named
from generator.plan.suited import Stated

UNIT_FILE, SIGNOFF_FILE = "unit.toml", "signoffs.csv"
LOCALES = "locales"
FACTOR_FILE, INSTRUCTION_FILE = "factors.toml", "instructions.toml"
_NO_ADVICE = Advice()


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
    advice: Advice
    signoffs: tuple[SignOff, ...]
    words: dict[str, bytes]  # language tag -> the unit's own sentences in that language, a .po file
    reviews: dict[str, bytes] = field(default_factory=dict)  # language tag -> the unit's ledger of reviews
    samples: dict[str, str] = field(default_factory=dict)  # protocol id -> its timetables as they were signed

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

    def sample_findings(self, protocol_id: str) -> list[Finding]:
        """Empty when the software plans that protocol as when it was signed; else a sample that it does not."""
        signed, kept = self.protocols[protocol_id], self.samples.get(protocol_id)
        return sample_differences(signed.protocol, signed.file, self.unit, kept)[:1] if kept else []

    def advice_for(self, made: dt.date) -> Advice:
        """The advice for a plan made on that day: a part whose file has no signature for it is left out.

        A signature that ends later changes no plan that was given before.
        """
        unsigned = {
            part: getattr(_NO_ADVICE, part) for file, part in PARTS.items() if not self._covers(file, made)
        }
        return replace(self.advice, **unsigned)

    def _covers(self, file: str, day: dt.date) -> bool:
        bound = (file, self.digests.get(file))
        return any((one.file, one.digest) == bound and day <= one.review_by for one in self.signoffs)

    def unsigned_findings(self, today: dt.date) -> list[Finding]:
        """A warning for each file of advice that is there and says nothing, because nobody has signed it."""
        return [
            warning(
                "advice-unsigned",
                file,
                f"{file} has no living signature: pages say “call the unit” in its place, or leave it out.",
                f"Have the clinical lead read it, then run: daybefore protocol sign {file}",
            )
            for file in PARTS
            if file in self.digests and not self._covers(file, today)
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
    advice, advised = read_advice(folder, findings)
    findings += _watch_findings(unit, advice)
    signoffs = _read_signoffs(folder, findings)
    _stop_at_faults(folder, findings)
    words, reviews = language_files(folder / LOCALES)
    samples = {
        name: kept for name, one in protocols.items() if (kept := kept_samples(folder, name, one.digest))
    }
    return UnitFolder(unit, protocols, stated, digests | advised, advice, signoffs, words, reviews, samples)


def read_unit_at_least(folder: Path) -> UnitFolder:
    """Everything in a unit's folder, or the unit alone when another file has faults: enough to take a plan down.

    Raises:
        BadMaterials: if unit.toml itself has faults.
    """
    try:
        return read_unit_folder(folder)
    except BadMaterials:
        return UnitFolder(read_unit(folder), {}, Stated(), {}, Advice(), (), {})


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
    return read_advice(folder, [])[0].foods


def _read_unit(folder: Path, findings: list[Finding]) -> Unit:
    if not (folder / UNIT_FILE).is_file():
        raise BadMaterials(
            f"There is no {UNIT_FILE} in the folder “{folder.name}”.",
            remedy="Name the unit's folder with --unit; templates/unit/ holds starter files.",
        )
    unit, found = unit_from(parsed(folder / UNIT_FILE, UNIT_FILE, findings), UNIT_FILE)
    unit = replace(unit, languages=_offered(unit.languages))
    # A file that cannot be read at all has one fault, not one for each key it seems to lack.
    findings += [] if findings else found
    if unit.zone and zone_named(unit.zone) is None:
        remedy = "Write an IANA name such as “Europe/London”."
        findings.append(
            refusal("zone-unknown", f"{UNIT_FILE} zone", f"There is no time zone “{unit.zone}”.", remedy)
        )
    return unit


def _offered(stated: tuple[str, ...]) -> tuple[str, ...]:
    """The languages that the unit offers; "*" stands for every language that there is a file of."""
    every = [tag for one in stated for tag in (language_tags() if one == ANY_LANGUAGE else (one,))]
    return tuple(dict.fromkeys(every))


def _stop_at_faults(folder: Path, findings: list[Finding]) -> None:
    if any(finding.severity is Severity.REFUSE for finding in findings):
        raise BadMaterials(
            f"The unit's folder “{folder.name}” has faults.",
            remedy="Mend the findings below.",
            findings=tuple(findings),
        )


def _read_protocols(folder: Path, findings: list[Finding]) -> dict[str, SignedProtocol]:
    protocols = {}
    for path in sorted((folder / "protocols").glob("*.toml")):
        protocols[path.stem], found = read_protocol(path, f"protocols/{path.name}")
        findings += found
    return protocols


def read_protocol(path: Path, file: str) -> tuple[SignedProtocol, list[Finding]]:
    """One protocol's file, and every finding; with a refusal it must not be used."""
    findings: list[Finding] = []
    table = parsed(path, file, findings)
    protocol, found = protocol_from(table, path.stem, file)
    # A file that cannot be read at all has one fault, not one for each key it seems to lack.
    return SignedProtocol(protocol, file, digest_of(table)), findings or found


def read_stated_file(folder: Path, name: str) -> list[Finding]:
    """Every finding of factors.toml or instructions.toml; a factor may name any file in protocols/."""
    findings: list[Finding] = []
    table = parsed(folder / name, name, findings)
    if findings:
        return findings
    protocols = [path.stem for path in (folder / "protocols").glob("*.toml")]
    if name == FACTOR_FILE:
        return factors_from(table, protocols, name)[1]
    return instructions_from(table, name)[1]


def unsignable_findings(path: Path, file: str) -> list[Finding]:
    """What keeps a file from being signed although it can be read: sources that are only examples."""
    return example_findings(parsed(path, file, []), file)


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


def _watch_findings(unit: Unit, advice: Advice) -> list[Finding]:
    """Days of watching that the page would not stay up for."""
    days = advice.aftercare.watch.longest if advice.aftercare else 0
    if days <= unit.aftercare_days:
        return []
    return [
        refusal(
            "aftercare-too-short",
            f"{UNIT_FILE} aftercare_days",
            f"aftercare.toml has patients watch for {days} days, and pages come down after {unit.aftercare_days}.",
            f"State aftercare_days = {days} or more.",
        )
    ]


def _read_stated(
    folder: Path, protocols: tuple[str, ...], digests: dict[str, str], findings: list[Finding]
) -> Stated:
    """The unit's factors and instructions, where it has any; their digests are added."""
    factors: dict[str, Factor] = {}
    instructions: dict[str, Instruction] = {}
    if (folder / FACTOR_FILE).is_file():
        table = parsed(folder / FACTOR_FILE, FACTOR_FILE, findings)
        factors, found = factors_from(table, protocols, FACTOR_FILE)
        findings += found
        digests[FACTOR_FILE] = digest_of(table)
    if (folder / INSTRUCTION_FILE).is_file():
        table = parsed(folder / INSTRUCTION_FILE, INSTRUCTION_FILE, findings)
        instructions, found = instructions_from(table, INSTRUCTION_FILE)
        findings += found
        digests[INSTRUCTION_FILE] = digest_of(table)
    return Stated(factors, instructions)


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
