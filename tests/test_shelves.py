"""Shelves by themselves: a document is wholly old or wholly new whatever breaks off; again mends the rest."""

from __future__ import annotations

import errno
import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier
from typing import Any

import pytest

from generator import shelves
from generator.errors import BadShelf
from generator.page.booklet import Booklet
from generator.shelves import FolderShelf
from tests.plans import every_byte

TOKEN = "abcdefghjkmnpqrstvwxyz2345"
OLD = {"qr.svg": b"old code", "index.html": b"old page", "ar.html": b"old arabic", "sw.js": b"old worker"}
NEW = {"qr.svg": b"old code", "index.html": b"new page", "es.html": b"new spanish", "sw.js": b"new worker"}
# Every call by which shelves changes a disk; pathlib and shutil go through them.
OPERATIONS = ("mkdir", "rename", "replace", "unlink", "rmdir", "fsync")


def booklet(files: dict[str, bytes], asset: bytes = b"ink") -> Booklet:
    return Booklet(files, {f"a/{asset.decode()}/page.css": asset}, "facts", {})


class Crash(BaseException):
    """The process is gone: nothing that it would still do is done."""


def break_at(
    monkeypatch: pytest.MonkeyPatch, last: int, error: BaseException, *, for_ever: bool
) -> list[str]:
    """Lets `last` operations on the disk happen, then fails; a crash fails everything after as well."""
    done: list[str] = []

    def broken(name: str, real: Any) -> Any:
        def call(*args: Any, **options: Any) -> Any:
            done.append(name)
            if len(done) == last + 1 or (for_ever and len(done) > last):
                raise error
            return real(*args, **options)

        return call

    for name in OPERATIONS:
        monkeypatch.setattr(os, name, broken(name, getattr(os, name)))
    whole = "_all_of_its_file_system"
    monkeypatch.setattr(shelves, whole, broken(whole, getattr(shelves, whole)))
    return done


def put_breaking_at(data: Path, last: int, error: BaseException, *, for_ever: bool = True) -> bool:
    """Puts NEW up and breaks off; whether it came through to its end."""
    shelf = FolderShelf(data)
    with pytest.MonkeyPatch.context() as patch:
        done = break_at(patch, last, error, for_ever=for_ever)
        try:
            shelf.put(TOKEN, booklet(NEW, b"paint"))
        except (Crash, BadShelf):
            return False
        return len(done) <= last


def plan_of(data: Path) -> dict[str, bytes]:
    """What a web server gives out of the plan; it serves no name with a leading dot."""
    files = every_byte(data / "public" / "p" / TOKEN)
    return {name: content for name, content in files.items() if not name.startswith(".")}


def all_names(data: Path) -> set[str]:
    return {path.name for path in (data / "public" / "p").iterdir()}


def test_a_plan_is_put_up_whole_and_the_same_again_touches_nothing(tmp_path: Path) -> None:
    shelf = FolderShelf(tmp_path)
    assert shelf.put(TOKEN, booklet(OLD)) == 5
    assert plan_of(tmp_path) == OLD
    assert (tmp_path / "public" / "a" / "ink" / "page.css").read_bytes() == b"ink"
    assert all_names(tmp_path) == {"index.html", TOKEN}
    assert shelf.put(TOKEN, booklet(OLD)) == 0


@pytest.fixture(params=["few", "many"])
def few_or_many(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Waiting for the disk file by file, and for the whole file system at once."""
    if request.param == "many":
        monkeypatch.setattr(shelves, "_MANY", 1)


@pytest.mark.usefixtures("few_or_many")
def test_a_crash_at_any_point_of_a_change_leaves_each_document_old_or_new(tmp_path: Path) -> None:
    for last in range(100):
        data = tmp_path / str(last)
        FolderShelf(data).put(TOKEN, booklet(OLD))
        whole = put_breaking_at(data, last, Crash())
        for name, content in plan_of(data).items():
            assert content in (OLD.get(name), NEW.get(name)), (last, name)
        # The page and the worker of old are there until theirs is; a taken-out language until the new worker is.
        served = plan_of(data)
        assert {"index.html", "sw.js", "qr.svg"} <= set(served)
        if served["sw.js"] == b"old worker":
            assert "ar.html" in served
        else:
            assert served["index.html"] == b"new page"
        FolderShelf(data).put(TOKEN, booklet(NEW, b"paint"))
        assert every_byte(data / "public" / "p" / TOKEN) == NEW, last
        if whole:
            break
    assert whole
    assert last > 6


@pytest.mark.usefixtures("few_or_many")
def test_a_crash_at_any_point_of_a_first_put_shows_nothing_or_all(tmp_path: Path) -> None:
    for last in range(100):
        data = tmp_path / str(last)
        whole = put_breaking_at(data, last, Crash())
        assert plan_of(data) in ({}, NEW), last
        FolderShelf(data).put(TOKEN, booklet(NEW, b"paint"))
        assert every_byte(data / "public" / "p" / TOKEN) == NEW
        assert all_names(data) == {"index.html", TOKEN}, last
        if whole:
            break
    assert whole
    assert last > 6


@pytest.mark.usefixtures("few_or_many")
@pytest.mark.parametrize("first", [True, False])
def test_a_full_disk_is_told_without_the_token_and_leaves_nothing_lying_about(
    tmp_path: Path, first: bool
) -> None:
    for last in range(100):
        data = tmp_path / str(last)
        if not first:
            FolderShelf(data).put(TOKEN, booklet(OLD))
        full = OSError(errno.ENOSPC, "No space left on device", f"/p/{TOKEN}/index.html")
        shelf = FolderShelf(data)
        with pytest.MonkeyPatch.context() as patch:
            done = break_at(patch, last, full, for_ever=False)
            try:
                shelf.put(TOKEN, booklet(NEW, b"paint"))
            except BadShelf as error:
                assert error.problem == "The plans cannot be written: No space left on device."
                assert TOKEN not in error.remedy
                assert error.__suppress_context__
        for name, content in every_byte(data / "public" / "p" / TOKEN).items():
            assert content in (OLD.get(name), NEW.get(name)), (last, name)
        shelf.put(TOKEN, booklet(NEW, b"paint"))
        assert every_byte(data / "public" / "p" / TOKEN) == NEW
        if len(done) <= last:
            break
    assert last > 6


def test_the_disk_holds_all_that_is_renamed_in_and_is_asked_as_often_for_many_plans_as_for_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before the first name changes every byte is on the disk, and afterwards every name; by two calls in all."""
    shelf = FolderShelf(tmp_path)
    done = break_at(monkeypatch, 10_000, Crash(), for_ever=False)
    plans = {f"{number:0>26}": booklet(NEW) for number in range(30)}
    assert shelf.put_all(plans) == 30 * 4 + 1
    waits = [index for index, name in enumerate(done) if name == "_all_of_its_file_system"]
    names = [index for index, name in enumerate(done) if name in ("rename", "replace")]
    assert len(waits) == 1
    assert waits[0] < names[0]
    assert len(names) == 31
    assert done[names[-1] + 1 :][:2] == ["fsync", "fsync"]  # few folders are waited for one by one


def test_a_first_put_uses_nothing_of_what_a_broken_one_left(tmp_path: Path) -> None:
    shelf = FolderShelf(tmp_path)
    for left in (f".{TOKEN}.new", f".{TOKEN}.new/0"):
        (tmp_path / "public" / "p" / left).mkdir()
        (tmp_path / "public" / "p" / left / "ar.html").write_bytes(b"of another day")
    shelf.put(TOKEN, booklet(NEW))
    assert every_byte(tmp_path / "public" / "p" / TOKEN) == NEW
    assert all_names(tmp_path) == {"index.html", TOKEN}


def test_a_half_written_file_beside_a_document_is_never_used(tmp_path: Path) -> None:
    shelf = FolderShelf(tmp_path)
    shelf.put(TOKEN, booklet(OLD))
    (tmp_path / "public" / "p" / TOKEN / ".index.html.0.new").write_bytes(b"hal")
    shelf.put(TOKEN, booklet(OLD))
    assert every_byte(tmp_path / "public" / "p" / TOKEN) == OLD


def test_many_commands_that_put_one_plan_up_at_once_all_succeed(tmp_path: Path) -> None:
    gate = Barrier(4)

    def one(_: int) -> None:
        shelf = FolderShelf(tmp_path)
        gate.wait()
        with shelf.turn():
            shelf.put(TOKEN, booklet(NEW))

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(one, range(4)))
    assert every_byte(tmp_path / "public" / "p" / TOKEN) == NEW
    assert all_names(tmp_path) == {"index.html", TOKEN}


def test_a_data_folder_that_is_a_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "public").write_text("a file")
    with pytest.raises(BadShelf, match="cannot be written"):
        FolderShelf(tmp_path)
