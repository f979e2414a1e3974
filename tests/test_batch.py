"""The same list gives the same plans, whatever the number of processes and the day."""

from __future__ import annotations

from pathlib import Path

from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT, run_json


def built(out: Path, now: str, *more: str) -> dict[str, str]:
    said = run_json("build", DEMO_LIST, "--unit", DEMO_UNIT, "--out", out, "--now", now, *more)
    return {row["ref"]: row["link"] for row in said["files"][0]["rows"]}


def files(out: Path) -> dict[str, tuple[bytes, int]]:
    found = [path for path in (out / "public").rglob("*") if path.is_file()]
    return {str(path): (path.read_bytes(), path.stat().st_mtime_ns) for path in found}


def test_two_processes_and_another_day_change_no_byte(tmp_path: Path) -> None:
    links = built(tmp_path, DEMO_NOW)
    before = files(tmp_path)
    assert len(links) == 6
    assert built(tmp_path, "2026-03-16T15:30", "--jobs", "2") == links
    assert files(tmp_path) == before  # not a byte, and no file was touched


def test_two_processes_make_a_list_whole(tmp_path: Path) -> None:
    links = built(tmp_path, DEMO_NOW, "--jobs", "2")
    assert sorted(links) == [f"DEMO-10{number}" for number in range(1, 7)]
    assert len(set(links.values())) == 6
    assert all(
        (tmp_path / "public" / "p" / link.split("/")[-2] / "sw.js").is_file() for link in links.values()
    )
