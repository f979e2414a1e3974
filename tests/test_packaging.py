"""The wheel is a product: built through the sdist, it holds every shipped file, and no other top-level name."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.command import ROOT

FOLDERS = ("templates", "locales", "static")


@pytest.mark.long
def test_the_wheel_holds_every_shipped_file(tmp_path: Path) -> None:
    listed = subprocess.run(
        ["git", "ls-files", *FOLDERS], cwd=ROOT, capture_output=True, text=True, check=True
    )
    tracked = listed.stdout.split()
    assert len(tracked) > 10
    subprocess.run(
        [sys.executable, "-m", "build", "--no-isolation", "--outdir", tmp_path, ROOT],
        check=True,
        capture_output=True,
    )
    [wheel] = tmp_path.glob("*.whl")
    names = set(zipfile.ZipFile(wheel).namelist())
    assert {f"generator/{name}" for name in tracked} <= names
    assert {name.split("/")[0] for name in names if ".dist-info/" not in name} == {"generator"}
