"""Runs the command line in this process, as a person would type it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from generator.cli import daybefore

ROOT = Path(__file__).resolve().parent.parent
EXAMPLES = ROOT / "tests" / "examples"
DEMO_UNIT = ROOT / "demo" / "unit"
DEMO_LIST = ROOT / "demo" / "bookings" / "list.csv"
DEMO_NOW = "2026-03-16T08:00"


def run(*words: str | Path, typed: str | None = None) -> Result:
    """The outcome of `daybefore WORDS`; errors that are no findings come back as exceptions of the result.

    Args:
        typed: what is typed when it asks.
    """
    return CliRunner().invoke(daybefore, [str(word) for word in words], input=typed)


def run_json(*words: str | Path) -> Any:
    """The JSON document of `daybefore WORDS --json`."""
    outcome = run(*words, "--json")
    assert outcome.exit_code in (0, 1), outcome.output
    return json.loads(outcome.stdout)
