"""The table of what goes wrong on phones names tests that exist."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from tests.command import ROOT

TESTS = ROOT / "tests"
LINES = (TESTS / "browser" / "FAILURES.md").read_text("utf-8").splitlines()
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in LINES
    if line.startswith("| ") and not line.startswith("| What goes wrong")
]


def test_the_table_is_read() -> None:
    assert len(ROWS) > 60
    assert len({failure for failure, _ in ROWS}) == len(ROWS)


@pytest.mark.parametrize(("failure", "held"), ROWS, ids=[failure for failure, _ in ROWS])
def test_every_failure_names_tests_that_exist(failure: str, held: str) -> None:
    named = re.findall(r"`([^`]*)`", held)
    for name in named:
        file, test = name.split("::")
        assert test in _functions(TESTS / file), name
    assert named or held.startswith(("not held yet", "real phones only")), (
        "says neither which test nor why none"
    )


def _functions(file: Path) -> set[str]:
    parsed = ast.parse(file.read_text("utf-8"))
    return {node.name for node in parsed.body if isinstance(node, ast.FunctionDef)}
