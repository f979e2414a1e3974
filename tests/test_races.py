"""Commands that run at the same time, and commands that are killed: real processes over one data folder."""

from __future__ import annotations

import multiprocessing
import shutil
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from random import Random

import pytest

from generator.desk import hold, move, release, repair
from generator.materials.shipped import locales_folder
from tests.command import DEMO_UNIT, ROOT
from tests.lives import HEADING, ROWS, Office, assert_in_step, build, every_record, served

NOW = "2026-03-02T08:00"
TIMES = ("2026-03-18T10:00", "2026-03-19T11:30")
# What a command says of another that was quicker, or came to the same: nothing else may stop one.
LOST = {"changed-meanwhile", "nothing-changed", "not-held"}


def change_often(data: Path, count: int, seed: int, office: Office | None = None) -> Counter[str]:
    """Changes one booking so many times: what came of it -> how often."""
    office, random, came = office or Office(), Random(seed), Counter[str]()
    for _ in range(count):
        with office.desk(data, NOW) as desk:
            what = random.choice(("move", "move", "hold", "release"))
            if what == "move":
                start = office.moment(random.choice(TIMES))
                made = move(desk, "DEMO-101", {"start": start, "arrival": None}, "clerk")
            elif what == "hold":
                made = hold(desk, "DEMO-101", "nurse")
            else:
                made = release(desk, "DEMO-101", "nurse", {}, ())
        kinds = {finding.kind for finding in made.findings}
        assert made.link or kinds & LOST, kinds
        came["done" if made.link and not kinds & LOST else min(kinds & LOST)] += 1
    return came


def change_together(data: Path, each: int) -> Counter[str]:
    """Two processes, `each` changes apiece."""
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        return sum(pool.starmap(change_often, [(data, each, seed) for seed in (1, 2)]), Counter())


def assert_all_told(data: Path, came: Counter[str], count: int) -> None:
    assert_in_step(data)
    [record] = every_record(data)
    assert came.total() == count
    assert came["done"] >= record.identity.version  # each version is a change that was done
    assert list(served(data)) == [record.identity.token]


@pytest.mark.timeout(600)  # for a busy machine
def test_two_commands_that_change_a_booking_at_once_are_each_done_or_told(tmp_path: Path) -> None:
    with Office().desk(tmp_path, NOW) as desk:
        build(desk, ROWS[:1])
    assert_all_told(tmp_path, change_together(tmp_path, 20), 40)


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_a_thousand_changes_of_two_commands_are_each_done_or_told(tmp_path: Path) -> None:
    with Office().desk(tmp_path, NOW) as desk:
        build(desk, ROWS[:1])
    came = change_together(tmp_path, 500)
    assert_all_told(tmp_path, came, 1000)
    assert came["changed-meanwhile"] > 0  # they did meet


BUILD = ("build", "list.csv")
MOVE = ("move", "--ref", "DEMO-102", "--procedure", "2026-03-19T14:00", "--role", "clerk")


def started(data: Path, words: tuple[str, ...]) -> subprocess.Popen[bytes]:
    """The command line in a process of its own, over this data folder."""
    common = ("--unit", DEMO_UNIT, "--out", data, "--now", NOW)
    (data.parent / "list.csv").write_text(HEADING + "".join(ROWS), "utf-8")
    return subprocess.Popen(
        [sys.executable, "-m", "generator", *words, *common],
        cwd=data.parent,
        env={"PYTHONPATH": str(ROOT), "PATH": "", "DAYBEFORE_LOCALES": str(locales_folder())},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


def wait_until_it_writes(process: subprocess.Popen[bytes], data: Path) -> float:
    """Waits for the first change in the data folder: the moment it was seen, by the monotonic clock."""
    before = touched(data)
    while process.poll() is None and touched(data) == before:
        time.sleep(0.0005)
    return time.monotonic()


def touched(data: Path) -> int:
    return data.stat().st_mtime_ns


def killed_somewhere(data: Path, words: tuple[str, ...], start: Path | None, delay: float) -> bool:
    """Kills the command so many seconds after its first write; whether it was still at work."""
    shutil.rmtree(data, ignore_errors=True)
    if start is None:
        data.mkdir()
    else:
        shutil.copytree(start, data)
    process = started(data, words)
    wait_until_it_writes(process, data)
    time.sleep(delay)
    process.kill()
    return process.wait() == -9


def writing_seconds(data: Path, words: tuple[str, ...], start: Path | None) -> float:
    """How long the command is at work from its first write on."""
    shutil.rmtree(data, ignore_errors=True)
    if start is None:
        data.mkdir()
    else:
        shutil.copytree(start, data)
    process = started(data, words)
    began = wait_until_it_writes(process, data)
    assert process.wait() == 0
    return time.monotonic() - began


@pytest.mark.parametrize(
    "times",
    [
        pytest.param(2, marks=pytest.mark.timeout(600)),
        pytest.param(200, marks=[pytest.mark.long, pytest.mark.timeout(3000)]),
    ],
)
def test_after_a_kill_at_any_moment_repair_finishes_the_rest(tmp_path: Path, times: int) -> None:
    office, random, data, whole = Office(), Random(7), tmp_path / "data", tmp_path / "whole"
    with office.desk(whole, NOW) as desk:
        build(desk)
    spans = {words: writing_seconds(data, words, start) for words, start in ((BUILD, None), (MOVE, whole))}
    at_work = 0
    for number in range(times):
        words, start = ((BUILD, None), (MOVE, whole))[number % 2]
        at_work += killed_somewhere(data, words, start, random.uniform(0, spans[words]))
        before = served(data) if (data / "public" / "p").exists() else {}
        with office.desk(data, NOW) as desk:
            assert all(made.was_changed for _, made in repair(desk))
        assert_in_step(data)
        for token, files in before.items():
            versions = [served(data)[token], *([served(whole)[token]] if start else [])]
            for name, content in files.items():
                assert content in [one[name] for one in versions], (number, name)
        assert_done_again(office, data)
    assert at_work > times // 4  # on a busy machine a command may be over before its time


def assert_done_again(office: Office, data: Path) -> None:
    """Both commands once more: three bookings with one link each, one of them moved once."""
    with office.desk(data, NOW) as desk:
        build(desk)
        move(desk, "DEMO-102", {"start": office.moment("2026-03-19T14:00"), "arrival": None}, "clerk")
    assert_in_step(data)
    assert [(one.ref, one.identity.version) for one in every_record(data)] == [
        ("DEMO-101", 1),
        ("DEMO-102", 2),
        ("DEMO-103", 1),
    ]
