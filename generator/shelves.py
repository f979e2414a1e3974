"""Shelves: where booklets are put and replaced. A document there is wholly old or wholly new at every moment."""

from __future__ import annotations

import fcntl
import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager, suppress
from itertools import count
from pathlib import Path
from typing import BinaryIO, Protocol

from generator.errors import BadShelf
from generator.page.booklet import Booklet, digest_of

_ROBOTS = b"User-agent: *\nDisallow: /\n"


class Shelf(Protocol):
    """A place for booklets; a folder now, an object store later."""

    def turn(self) -> AbstractContextManager[None]:
        """Waits for other commands that change what is up, and keeps them waiting."""
        ...

    def put(self, token: str, booklet: Booklet) -> int:
        """Puts a booklet up or brings the one there up to date; returns how many files were written."""
        ...

    def content(self, token: str) -> str:
        """The digest of the booklet that is up; "" where none is, or not a whole one."""
        ...


class FolderShelf:
    """A shelf in DIR/public/: all that a web server may give out."""

    def __init__(self, data: Path) -> None:
        """Makes the folder when there is none.

        Raises:
            BadShelf: if it cannot be written.
        """
        self.public = data / "public"
        self._lock = data / "shelf.lock"
        with _told():
            (self.public / "p").mkdir(parents=True, exist_ok=True)
            # Empty pages where a server might otherwise list the folder, and with it every token.
            for name, content in {"robots.txt": _ROBOTS, "index.html": b"", "p/index.html": b""}.items():
                _write(self.public / name, content)

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
        """Shared files first, then companions and pages, sw.js last; then what the booklet no longer has goes.

        Bytes that did not change are not touched.

        Raises:
            BadShelf: if it cannot be written; what is up stays as it was, and doing it again mends the rest.
        """
        with _told():
            written = sum(self._write_asset(path, content) for path, content in booklet.assets.items())
            folder, work = self.public / "p" / token, self.public / "p" / f".{token}.new"
            if folder.is_dir() or not _put_first(folder, work, booklet.files):
                written += _bring_up_to_date(folder, booklet.files)
            else:
                written += len(booklet.files)
            # The plan is up: whatever a command that broke off left behind is of no more use to anybody.
            if work.exists():
                shutil.rmtree(work, ignore_errors=True)
            return written

    def _write_asset(self, path: str, content: bytes) -> int:
        (self.public / path).parent.mkdir(parents=True, exist_ok=True)
        return _write(self.public / path, content)


def _put_first(folder: Path, work: Path, files: Mapping[str, bytes]) -> bool:
    """Writes a plan into a folder of this command's own, then renames it in.

    Returns:
        False if another command put this plan up meanwhile.
    """
    aside = None
    try:
        aside = _own_folder(work)
        for name, content in files.items():
            _write(aside / name, content)
        _sync(aside)
        aside.rename(folder)
        _sync(folder.parent)
    except OSError:
        # The other command is done: it took this one's work away, or there is no more place for it.
        if not folder.is_dir():
            raise
        return False
    finally:
        if aside is not None and aside.exists():
            shutil.rmtree(aside, ignore_errors=True)
    return True


def _bring_up_to_date(folder: Path, files: Mapping[str, bytes]) -> int:
    written = sum(_write(folder / name, content) for name, content in files.items())
    # Only now: until sw.js was replaced, phones were told to fetch these as well.
    gone = [path for path in folder.iterdir() if path.name not in files and not path.is_dir()]
    for path in gone:
        path.unlink(missing_ok=True)
    if written or gone:
        _sync(folder)
    return written


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


def _write(path: Path, content: bytes) -> int:
    """Writes beside and renames in; returns 0 when the file holds these bytes already, else 1."""
    if path.is_file() and path.read_bytes() == content:
        return 0
    aside, file = _own_file(path)
    try:
        with file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(path)
    except OSError:
        with suppress(OSError):
            aside.unlink()
        raise
    return 1


def _own_file(path: Path) -> tuple[Path, BinaryIO]:
    """A new file beside path. Two commands never write into one, nor into what is left of a broken one."""
    for number in count():
        aside = path.with_name(f".{path.name}.{number}.new")
        with suppress(FileExistsError):
            return aside, aside.open("xb")
    raise AssertionError("numbers do not end")


def _own_folder(work: Path) -> Path:
    """A new folder in `work`, for the same reason."""
    work.mkdir(exist_ok=True)
    for number in count():
        with suppress(FileExistsError):
            (work / str(number)).mkdir()
            return work / str(number)
    raise AssertionError("numbers do not end")


def _sync(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
