"""Each language file taken away in turn: nothing but English is needed, and no test knows which others there are."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.command import ROOT
from tests.languages import SHIPPED

NEEDED = (
    "generator",
    "templates",
    "static",
    "locales",
    "demo",
    "tests",
    "pyproject.toml",
    "README.md",
    "CHANGELOG.md",
)


@pytest.mark.long
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("tag", [tag for tag in SHIPPED if tag != "en"])
def test_without_its_file_every_other_test_passes(tag: str, tmp_path: Path) -> None:
    for name in NEEDED:
        source = ROOT / name
        leave_out = shutil.ignore_patterns("node_modules", "out", "__pycache__")
        shutil.copytree(source, tmp_path / name, ignore=leave_out) if source.is_dir() else shutil.copy(
            source, tmp_path
        )
    for path in tmp_path.rglob(f"{tag}.po"):
        path.unlink()
    environment = {key: value for key, value in os.environ.items() if key != "DAYBEFORE_LOCALES"}
    words = [
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:cacheprovider",
        "-m",
        "not long and not browser",
        "-n",
        "2",
        "tests",
    ]
    ended = subprocess.run(
        [sys.executable, *words], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
    )
    assert ended.returncode == 0, ended.stdout[-3000:]
