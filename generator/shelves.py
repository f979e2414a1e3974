"""Shelves: where booklets are put and replaced. A document there is wholly old or wholly new at every moment.

All files of a command are written aside, then the disk is waited for, then they are renamed in, and the disk is waited
for again: a power cut leaves nothing half, and many plans are one wait.
"""

from __future__ import annotations

import ctypes
import fcntl
import os
import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager, suppress
from pathlib import Path
from typing import Any, Protocol

from generator.errors import BadShelf
from generator.page.booklet import Booklet, digest_of

_ROBOTS = b"User-agent: *\nDisallow: /\n"
# So many files and more are waited for together with all else on their file system. For fewer that could be the longer
# wait: nobody's call to take a plan down shall wait for a copy of films.
_MANY = 100
_syncfs: Any = getattr(ctypes.CDLL(None, use_errno=True), "syncfs", None)  # Linux only


class Shelf(Protocol):
    """A place for booklets; a folder now, an object store later."""

    def turn(self) -> AbstractContextManager[None]:
        """Waits for other commands that change what is up, and keeps them waiting."""
        ...

    def put(self, token: str, booklet: Booklet) -> int:
        """Within a turn: puts a booklet up or brings the one there up to date; returns how many files were written."""
        ...

    def put_all(self, booklets: Mapping[str, Booklet]) -> int:
        """The same for many booklets, by token."""
        ...

    def content(self, token: str) -> str:
        """The digest of the booklet that is up; "" where none is, or not a whole one."""
        ...

    def has_copies(self, number: str) -> bool:
        """Whether there are copies of the booking with this call number, in one file each."""
        ...

    def put_copies(self, number: str, files: Mapping[str, bytes]) -> tuple[str, ...]:
        """Makes these the only copies of a booking, no files: none; returns where they are. No web server has them."""
        ...


class FolderShelf:
    """A shelf in DIR/public/: all that a web server may give out. Copies for the clerk to hand over: DIR/copies/."""

    def __init__(self, data: Path) -> None:
        """Makes the folder when there is none.

        Raises:
            BadShelf: if it cannot be written.
        """
        self.public = data / "public"
        self._copies = data / "copies"
        self._lock = data / "shelf.lock"
        # Empty pages where a server might otherwise list the folder, and with it every token.
        ours = {"robots.txt": _ROBOTS, "index.html": b"", "p/index.html": b""}
        with _told():
            data.mkdir(parents=True, exist_ok=True)
            if not all(_holds(self.public / name, content) for name, content in ours.items()):
                with self.turn():
                    _renew([_Shared(self.public / name, content) for name, content in ours.items()])

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Records and shelf change together, one command after the other: a late write can't undo a newer one.

        The lock falls with the process that holds it.

        Raises:
            BadShelf: if the folder cannot be written.
        """
        with _told():
            lock = self._lock.open("a")
        with lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            yield

    def content(self, token: str) -> str:
        """The digest of the booklet that is up; "" where none is."""
        with _told():
            files = self._files(token)
            return digest_of(files) if files else ""

    def _files(self, token: str) -> dict[str, bytes]:
        folder = self.public / "p" / token
        found = folder.iterdir() if folder.is_dir() else ()
        return {path.name: path.read_bytes() for path in found if path.name[0] != "."}

    def put(self, token: str, booklet: Booklet) -> int:
        """Puts one booklet up, as `put_all` does."""
        return self.put_all({token: booklet})

    def put_all(self, booklets: Mapping[str, Booklet]) -> int:
        """Shared files first, then companions and pages, sw.js last; then what the booklet no longer has goes.

        Bytes that did not change are not touched.

        Raises:
            BadShelf: if it cannot be written; each document is old or new, and doing it again mends the rest.
        """
        assets = {path: content for one in booklets.values() for path, content in one.assets.items()}
        place = self.public / "p"
        with _told():
            shared = [_Shared(self.public / path, content) for path, content in assets.items()]
            plans = [
                _PlanFiles(place / token, place / f".{token}.new", one.files)
                for token, one in booklets.items()
            ]
            return _renew([*shared, *plans])

    def has_copies(self, number: str) -> bool:
        """Whether there are copies of the booking with this call number."""
        return (self._copies / number).exists()

    def put_copies(self, number: str, files: Mapping[str, bytes]) -> tuple[str, ...]:
        """Makes these the only copies of a booking, for this user alone: whoever has one has the plan's link.

        Raises:
            BadShelf: if it cannot be written.
        """
        folder = self._copies / number
        with _told():
            if not files:
                if folder.exists():
                    shutil.rmtree(folder)
                return ()
            self._copies.mkdir(mode=0o700, exist_ok=True)
            _renew([_PlanFiles(folder, self._copies / f".{number}.new", files)])
            for name in files:
                (folder / name).chmod(0o600)
        return tuple(str(folder / name) for name in files)


class _Renewal(Protocol):
    """Something on the shelf that is brought up to date in two steps, with a wait for the disk after each."""

    def write_aside(self) -> list[Path]:
        """Writes what is not up already; all that the disk must hold before it is renamed in."""
        ...

    def rename_in(self) -> list[Path]:
        """Puts up what was written; the folders in which names changed."""
        ...

    def tidy(self) -> None:
        """Takes away what still lies aside, from this command or from one that broke off."""
        ...


def _renew(renewals: Sequence[_Renewal]) -> int:
    """Brings all of it up to date, in this order; returns how many files were written."""
    try:
        aside = [path for one in renewals for path in one.write_aside()]
        files = sum(path.is_file() for path in aside)
        _wait_for_disk(aside)
        changed = dict.fromkeys(folder for one in renewals for folder in one.rename_in())
        _wait_for_disk(list(changed))
        return files
    finally:
        for one in renewals:
            one.tidy()


class _Shared:
    """A file that many plans use, written beside its place."""

    def __init__(self, path: Path, content: bytes) -> None:
        self.path, self.content, self.aside = path, content, path.with_name(f".{path.name}.new")
        self.is_up = _holds(path, content)

    def write_aside(self) -> list[Path]:
        if self.is_up:
            return []
        self.path.parent.mkdir(parents=True, exist_ok=True)
        self.aside.write_bytes(self.content)
        return [self.aside]

    def rename_in(self) -> list[Path]:
        if self.is_up:
            return []
        self.aside.replace(self.path)
        return list(self.path.parents)[:3]  # it may be the first in its folder, and that in the one above

    def tidy(self) -> None:
        with suppress(OSError):
            self.aside.unlink(missing_ok=True)


class _PlanFiles:
    """The files of one plan, those that changed in a folder beside its own."""

    def __init__(self, folder: Path, aside: Path, files: Mapping[str, bytes]) -> None:
        self.folder, self.aside, self.files = folder, aside, files
        self.names = [name for name, content in files.items() if not _holds(folder / name, content)]

    def write_aside(self) -> list[Path]:
        self.tidy()
        if not self.names:
            return []
        self.aside.mkdir()
        for name in self.names:
            (self.aside / name).write_bytes(self.files[name])
        return [*(self.aside / name for name in self.names), self.aside]

    def rename_in(self) -> list[Path]:
        """A plan that is not up in one step, else document by document."""
        if not self.folder.is_dir():
            self.aside.rename(self.folder)
            return [self.folder.parent]
        for name in self.names:
            (self.aside / name).replace(self.folder / name)
        # Only now: until sw.js was replaced, phones were told to fetch these as well.
        gone = [path for path in self.folder.iterdir() if path.name not in self.files]
        for path in gone:
            path.unlink()
        return [self.folder] if self.names or gone else []

    def tidy(self) -> None:
        if self.aside.exists():
            shutil.rmtree(self.aside, ignore_errors=True)


def plans_without_records(data: Path) -> bool:
    """Whether plans are up and the records that know their bookings are gone: making new ones would double each."""
    plans = data / "public" / "p"
    records = data / "records.sqlite"
    lost = not records.is_file() or records.stat().st_size == 0
    return lost and plans.is_dir() and any(one.is_dir() and one.name[0] != "." for one in plans.iterdir())


@contextmanager
def _told() -> Iterator[None]:
    """Tells a failing disk in words; never the path, which holds a token."""
    try:
        yield
    except OSError as error:
        raise BadShelf(
            f"The plans cannot be written: {error.strerror or 'the disk failed'}.",
            remedy="See that the data folder may be written and has room, then run this command again.",
        ) from None


def _holds(path: Path, content: bytes) -> bool:
    """Whether the file is there and holds just these bytes."""
    return path.is_file() and path.read_bytes() == content


def _wait_for_disk(paths: Sequence[Path]) -> None:
    """Returns when the disk holds these files and folders; a power cut then takes nothing of them."""
    if len(paths) >= _MANY and _syncfs is not None:
        _sync(paths[0], _all_of_its_file_system)
    else:
        for path in paths:
            _sync(path, os.fsync)


def _sync(path: Path, sync: Callable[[int], None]) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        sync(handle)
    finally:
        os.close(handle)


def _all_of_its_file_system(handle: int) -> None:
    """syncfs(2): what was written anywhere on the file system of an open file. Python has no call of its own for it."""
    if _syncfs(handle):
        number = ctypes.get_errno()
        raise OSError(number, os.strerror(number))
