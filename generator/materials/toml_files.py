"""Reads one TOML file of a unit; what is wrong with it is a finding."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from generator.finding import Finding, refusal


def parsed(path: Path, file: str, findings: list[Finding]) -> dict[str, Any]:
    """The file's table; empty where it cannot be read, which is told."""
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
