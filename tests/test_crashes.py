"""A command that breaks off at any operation: documents are wholly old or wholly new, and repair finishes the rest.

Design: records first, then the shelf, then the records again, each document renamed in. Faults are a disk or database
that fails once, and a process that is gone.
"""

from __future__ import annotations

import errno
import io
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from itertools import count, product
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.engine.default import DefaultDialect

from generator.desk import Desk, cancel, change, end, expire, hold, move, release, repair
from generator.desk.answers import Answers
from generator.errors import DaybeforeError
from tests.lives import (
    ROWS,
    Office,
    assert_in_step,
    build,
    draw_alike,
    every_record,
    outcome_of,
    served,
)

CALL_FIRST = Answers(call_first=("iron",))
Outcome = tuple[str, str, int, str]
Step = Callable[[Office, Desk], object]
# Name, moment, and what is done: every command of a booking's life, in an order in which a unit may give them.
LIFE: tuple[tuple[str, str, Step], ...] = (
    ("build", "2026-03-16T08:00", lambda _, desk: build(desk)),
    ("move", "2026-03-16T09:00", lambda o, desk: moved(o, desk, "DEMO-102", "2026-03-19T14:00")),
    ("change", "2026-03-16T09:30", lambda _, desk: change(desk, "DEMO-102", CALL_FIRST, "nurse")),
    ("hold", "2026-03-16T10:00", lambda _, desk: hold(desk, "DEMO-103", "nurse")),
    ("release", "2026-03-16T10:30", lambda _, desk: release(desk, "DEMO-103", "nurse", {}, ())),
    ("cancel", "2026-03-16T11:00", lambda _, desk: cancel(desk, "DEMO-101", "clerk")),
    ("move-held", "2026-03-18T20:00", lambda o, desk: moved(o, desk, "DEMO-102", "2026-03-24T14:00")),
    ("end", "2026-03-19T12:00", lambda _, desk: end(desk, "DEMO-103", "nurse")),
    ("expire", "2026-05-01T08:00", lambda _, desk: expire(desk, "clerk")),
)
ONE_BOOKING: tuple[tuple[str, str, Step], ...] = (
    ("build", "2026-03-16T08:00", lambda _, desk: build(desk, ROWS[1:2])),
    *(step for step in LIFE if step[0] in ("move", "change", "move-held", "expire")),
)


def moved(office: Office, desk: Desk, ref: str, start: str) -> object:
    changed = {"start": office.moment(start), "arrival": None, "latest_start": None}
    return move(desk, ref, changed, "clerk")


class Gone(BaseException):
    """The process is gone: nothing that it would still do is done."""


@dataclass
class Fault:
    """What goes wrong at the operation with this number, counted from 1: it fails once, or nothing is done any more."""

    at: int
    gone: bool
    count: int = 0

    def happens(self) -> bool:
        self.count += 1
        return self.count == self.at or (self.gone and self.count > self.at)

    def disk(self) -> BaseException:
        return Gone() if self.gone else OSError(errno.ENOSPC, "No space left on device")

    def database(self) -> BaseException:
        return Gone() if self.gone else sqlite3.OperationalError("disk I/O error")


class File:
    """A file open for writing; a write that breaks off leaves half of the bytes."""

    def __init__(self, file: Any, fault: Fault) -> None:
        self.file, self.fault = file, fault

    def write(self, content: Any) -> Any:
        if self.fault.happens():
            self.file.write(content[: len(content) // 2])
            self.file.flush()
            raise self.fault.disk()
        return self.file.write(content)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.file, name)

    def __enter__(self) -> File:
        return self

    def __exit__(self, *_: object) -> None:
        self.file.close()


@contextmanager
def breaking(fault: Fault) -> Iterator[None]:
    """Every operation by which a disk or the database is changed counts, and breaks where the fault says."""

    def broken(real: Any, error: Callable[[], BaseException], counts: Callable[..., bool]) -> Any:
        def call(*args: Any, **options: Any) -> Any:
            if counts(*args, **options) and fault.happens():
                raise error()
            return real(*args, **options)

        return call

    def opened(file: Any, mode: str = "r", *args: Any, **options: Any) -> Any:
        if not set(mode) & set("wxa+"):
            return real_open(file, mode, *args, **options)
        if fault.happens():
            raise fault.disk()
        return File(real_open(file, mode, *args, **options), fault)

    real_open = io.open
    with pytest.MonkeyPatch.context() as patch:
        for name in ("mkdir", "rename", "replace", "unlink", "rmdir", "fsync"):
            patch.setattr(os, name, broken(getattr(os, name), fault.disk, lambda *_, **__: True))
        writes = os.O_WRONLY | os.O_RDWR | os.O_CREAT
        patch.setattr(
            os, "open", broken(os.open, fault.disk, lambda _, flags, *__, **___: bool(flags & writes))
        )
        patch.setattr(io, "open", opened)
        for name in ("do_execute", "do_execute_no_params", "do_commit"):
            real = getattr(DefaultDialect, name)
            patch.setattr(DefaultDialect, name, broken(real, fault.database, lambda *_, **__: True))
        yield


@dataclass
class Stage:
    """One step of a life, as it goes when nothing breaks."""

    name: str
    now: str
    do: Step
    before: Path
    after: Path

    @cached_property
    def old(self) -> dict[str, Outcome]:
        return outcomes(self.before)

    @cached_property
    def new(self) -> dict[str, Outcome]:
        return outcomes(self.after)

    @cached_property
    def was_served(self) -> dict[str, dict[str, bytes]]:
        return served(self.before) if (self.before / "public").exists() else {}

    @cached_property
    def is_served(self) -> dict[str, dict[str, bytes]]:
        return served(self.after)


@pytest.fixture(scope="module")
def office() -> Office:
    return Office()


def stages_of(office: Office, life: tuple[tuple[str, str, Step], ...], place: Path) -> list[Stage]:
    """The life gone through once, with the data folder as it was before and after each step."""
    stages = []
    before = place / "0"
    before.mkdir()
    for number, (name, now, do) in enumerate(life, 1):
        after = place / str(number)
        shutil.copytree(before, after)
        with pytest.MonkeyPatch.context() as patch, office.desk(after, now) as desk:
            draw_alike(patch, name)
            do(office, desk)
        assert_in_step(after)
        assert served(after) != (served(before) if number > 1 else {}), f"{name} changes something"
        stages.append(Stage(name, now, do, before, after))
        before = after
    return stages


def run_broken(office: Office, stage: Stage, data: Path, fault: Fault) -> bool:
    """Whether the step came through without meeting the fault."""
    shutil.rmtree(data, ignore_errors=True)
    shutil.copytree(stage.before, data)
    with pytest.MonkeyPatch.context() as patch:
        draw_alike(patch, stage.name)
        try:
            with breaking(fault), office.desk(data, stage.now) as desk:
                stage.do(office, desk)
        except Gone:
            assert fault.gone
        except DaybeforeError as error:  # never another error, and never without a next step
            assert not fault.gone
            assert error.remedy
    return fault.count < fault.at


def assert_documents_whole(stage: Stage, data: Path) -> None:
    """Each document is that of one version; the worker of the new one comes only after its pages."""
    for token, files in (served(data) if (data / "public" / "p").exists() else {}).items():
        was, will = stage.was_served.get(token, {}), stage.is_served[token]
        for name, content in files.items():
            assert content in (was.get(name), will.get(name)), name
        if files != was:
            assert {"index.html", "sw.js"} <= set(files)
        if files.get("sw.js") != was.get("sw.js"):
            assert all(files[name] == will[name] for name in will)


def assert_mended(office: Office, stage: Stage, data: Path, *, by_repair: bool) -> None:
    """After repair each booking is wholly before or after the step; after the step done again it is done."""
    if by_repair:
        with office.desk(data, stage.now) as desk:
            assert all(made.was_changed for _, made in repair(desk))
        assert_in_step(data)
        now = outcomes(data)
        for token, outcome in now.items():
            assert outcome in (stage.old.get(token), stage.new[token]), token
        assert set(stage.old) <= set(now)
    with office.desk(data, stage.now) as desk:
        stage.do(office, desk)
    assert_in_step(data)
    assert sorted(outcomes(data).values()) == sorted(stage.new.values())
    if stage.name == "expire":
        raw = (data / "records.sqlite").read_bytes()
        assert b"DEMO-10" not in raw


def outcomes(data: Path) -> dict[str, Outcome]:
    if not (data / "records.sqlite").exists():
        return {}
    return {record.identity.token: outcome_of(record) for record in every_record(data) if record.content}


def break_everywhere(office: Office, stages: list[Stage], place: Path, every: int) -> dict[str, int]:
    """Breaks each step at its operations, in four ways; every third way meets each operation at least once.

    Returns:
        Step -> how many operations it has.
    """
    ways = list(product((True, False), repeat=2))
    found: dict[str, int] = {}
    for stage in stages:
        for turn in count(len(ways) + len(found), every):
            number, (gone, by_repair) = turn // len(ways), ways[turn % len(ways)]
            came_through = run_broken(office, stage, place, Fault(number, gone))
            try:
                assert_documents_whole(stage, place)
                assert_mended(office, stage, place, by_repair=by_repair)
            except (AssertionError, DaybeforeError, LookupError) as error:
                how = "the process gone" if gone else "an error"
                raise AssertionError(f"{stage.name}, operation {number}, {how}, {by_repair=}") from error
            if came_through:
                break
        found[stage.name] = number
    return found


# Each step has some sixty operations, the build of three bookings three hundred; opening the desk alone has thirty.
@pytest.mark.timeout(600)  # for a busy machine
def test_one_booking_broken_off_here_and_there(office: Office, tmp_path: Path) -> None:
    stages = stages_of(office, ONE_BOOKING, tmp_path)
    found = break_everywhere(office, stages, tmp_path / "broken", every=193)
    assert all(number > 40 for number in found.values()), found


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_a_whole_life_broken_off_at_every_operation(office: Office, tmp_path: Path) -> None:
    stages = stages_of(office, LIFE, tmp_path)
    found = break_everywhere(office, stages, tmp_path / "broken", every=3)
    assert all(number > 40 for number in found.values()), found
