"""Builds the demonstration's plans into a folder, once for all tests that only look at them."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT, run, run_json


@dataclass(frozen=True)
class Built:
    """A data folder and what `build --json` said of it."""

    data: Path
    said: Any

    @property
    def links(self) -> dict[str, str]:
        """Reference -> link, for each plan that is up."""
        return {
            row["ref"]: row["link"] for file in self.said["files"] for row in file["rows"] if "link" in row
        }

    def folder(self, ref: str) -> Path:
        """The plan's folder."""
        return self.data / "public" / "p" / self.token(ref)

    def token(self, ref: str) -> str:
        """The plan's token."""
        return self.links[ref].rstrip("/").rsplit("/", 1)[1]


def built(
    data: Path,
    *,
    unit: Path = DEMO_UNIT,
    lists: tuple[Path, ...] = (DEMO_LIST,),
    now: str = DEMO_NOW,
    base_url: str = "http://localhost:8641/",
    copies: bool = False,
) -> Built:
    """The plans of some lists, built into a folder; also each in one file, if asked."""
    words = ("--unit", unit, "--out", data, "--now", now, "--base-url", base_url)
    return Built(data, run_json("build", *lists, *words, *(("--single-file",) if copies else ())))


def copy_of_demo_unit(place: Path) -> Path:
    """A unit's folder that a test may change."""
    return Path(shutil.copytree(DEMO_UNIT, place / "unit"))


def unit_stating(place: Path, file: str, text: str) -> Path:
    """A copy of the demonstration's unit with this text at the end of one of its files, signed anew."""
    unit = copy_of_demo_unit(place)
    with (unit / file).open("a", encoding="utf-8") as added:
        added.write(text)
    words = ("--unit", unit, "--role", "lead", "--review-by", "2036-01-05", "--now", "2026-01-05T08:00")
    assert run("protocol", "sign", file, *words).exit_code == 0
    return unit


def every_byte(folder: Path) -> dict[str, bytes]:
    """Path -> content of every file below a folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
