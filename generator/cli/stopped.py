"""What stops a command whole, as the JSON document that the command promises: one document, whatever happens."""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from generator.cli.options import print_json
from generator.errors import BadMaterials, BadRequest, DaybeforeError
from generator.finding import Finding, Verdict, refusal
from generator.intake import Reading

Form = Callable[[list[Finding], dict[str, Any]], object]


def stops_as_json(form: Form) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Lets a command with --json print what stopped it in its own form, and end with 1.

    Args:
        form: makes the document from the findings and the command's arguments.
    """

    def around(command: Callable[..., None]) -> Callable[..., None]:
        @functools.wraps(command)
        def run(**arguments: Any) -> None:
            try:
                command(**arguments)
            except DaybeforeError as error:
                if not arguments["as_json"]:
                    raise
                print_json(form(_findings(error), arguments))
                sys.exit(1)

        return run

    return around


def _findings(error: DaybeforeError) -> list[Finding]:
    if isinstance(error, BadMaterials) and error.findings:
        return list(error.findings)
    kind = error.kind if isinstance(error, BadRequest) else "stopped"
    return [refusal(kind, "daybefore", error.problem, error.remedy)]


def refused_timetable(findings: list[Finding], _: dict[str, Any]) -> object:
    """A refused timetable."""
    return {
        "verdict": Verdict.REFUSED.value,
        "zone": None,
        "procedure": None,
        "findings": [finding.as_json() for finding in findings],
        "yardsticks": [],
        "steps": [],
    }


def refused_lists(findings: list[Finding], arguments: dict[str, Any]) -> object:
    """Every list refused for the first reason, and all reasons beside them."""
    files: Sequence[Path] = arguments["files"]
    return {
        "files": [Reading(path.name, findings[0], ()).as_json() for path in files],
        "findings": [finding.as_json() for finding in findings],
    }


def refused_slots(findings: list[Finding], arguments: dict[str, Any]) -> object:
    """A guide without rows, and the reasons beside it."""
    told = [finding.as_json() for finding in findings]
    return {"protocol": arguments["protocol"], "zone": None, "rows": [], "findings": told}


def refused_protocols(findings: list[Finding], arguments: dict[str, Any]) -> object:
    """Every file with the reasons that kept it from being looked at."""
    told = [finding.as_json() for finding in findings]
    return {"files": [{"file": name, "findings": told, "departures": []} for name in arguments["files"]]}
