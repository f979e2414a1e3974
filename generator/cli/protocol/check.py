"""`daybefore protocol check`: what is wrong with files of a unit, and where protocols depart from published rules."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import click

from generator.cli.options import json_option, print_findings, print_json, unit_option
from generator.cli.protocol.named import expanded, path_of
from generator.cli.protocol.standing import Kept, kept_in, standing_of
from generator.cli.stopped import refused_protocols, stops_as_json
from generator.finding import Finding, Severity
from generator.materials.advice import PARTS, advice_findings
from generator.materials.unit_folder import (
    FACTOR_FILE,
    INSTRUCTION_FILE,
    read_stated_file,
    unsignable_findings,
)
from generator.plan.departures import DepartedRule
from generator.staff.step_names import NO_NAMES, Names, in_words, names_of_rows


@click.command("check")
@click.argument("files", nargs=-1, required=True)
@unit_option
@json_option
@stops_as_json(refused_protocols)
def check(files: tuple[str, ...], unit_dir: Path, as_json: bool) -> None:
    """Says what is wrong with FILES, and where they depart from published rules.

    Departures are for the clinical lead to know; they change no plan. Those that were accepted are only counted.
    """
    kept = kept_in(unit_dir)
    told = [_checked(name, kept) for name in expanded(files, unit_dir)]
    if as_json:
        print_json({"files": [one.as_json() for one in told]})
    else:
        for one in told:
            one.print()
    if any(finding.severity is Severity.REFUSE for one in told for finding in one.findings):
        sys.exit(1)


@dataclass(frozen=True, slots=True)
class _Checked:
    """What one file was told, in words for its rows; departed None: departures were not looked for."""

    file: str
    findings: Sequence[Finding]
    departed: tuple[DepartedRule, ...] | None
    names: Names = field(default_factory=lambda: NO_NAMES)

    @property
    def open(self) -> list[DepartedRule]:
        """The departures that nobody has accepted as they are."""
        return [one for one in self.departed or () if one.accepted is None]

    @property
    def accepted(self) -> list[DepartedRule]:
        """The departures that somebody has accepted."""
        return [one for one in self.departed or () if one.accepted is not None]

    def as_json(self) -> dict[str, object]:
        """The promised JSON form; what was accepted stands apart."""
        return {
            "file": self.file,
            "findings": [finding.as_json() for finding in self.findings],
            "departures": [departure.as_json() for rule in self.open for departure in rule.departures],
            "accepted": [_accepted_json(rule) for rule in self.accepted],
        }

    def print(self) -> None:
        """Prints it; a file that could not be read departs from nothing, which is not said."""
        departures = "" if self.departed is None else f", {_counted(len(self.open))} from published rules"
        click.echo(f"{self.file}: {len(self.findings)} findings{departures}")
        print_findings(self.findings, "  ", self.names)
        for line in self._departure_lines():
            click.echo(in_words(line, self.names))

    def _departure_lines(self) -> Iterator[str]:
        lines = [one.accepted for one in self.accepted if one.accepted]
        for (day, role), count in Counter((line.accepted, line.role) for line in lines).items():
            yield f"  {_counted(count)} accepted on {day} ({role})"
        for rule in self.open:
            yield f"  differs from {rule.yardstick}: {rule.rule}"
            yield from (f"    {line}" for line in rule.lines)
            if rule.former is not None:
                yield f"    It was accepted on {rule.former.accepted} with other figures: accept it anew, or mend it."


def _counted(count: int) -> str:
    return "1 departure" if count == 1 else f"{count} departures"


def _accepted_json(rule: DepartedRule) -> dict[str, object]:
    line = rule.accepted
    assert line is not None, "only what is accepted is asked for"
    told = {"yardstick": rule.yardstick, "rule": rule.rule, "departures": len(rule.departures)}
    return told | {"accepted": line.accepted.isoformat(), "role": line.role, "reason": line.reason}


def _checked(name: str, kept: Kept) -> _Checked:
    folder = kept.folder
    if name in PARTS:
        found = [*advice_findings(folder, name), *unsignable_findings(path_of(name, folder), name)]
        return _Checked(name, found, None)
    if name in (FACTOR_FILE, INSTRUCTION_FILE):
        found = [*read_stated_file(folder, name), *unsignable_findings(path_of(name, folder), name)]
        return _Checked(name, found, None)
    standing, findings = standing_of(name, kept)
    if standing is None:
        return _Checked(name, findings, None)
    return _Checked(name, findings, standing.departed, names_of_rows(standing.protocol.rows))
