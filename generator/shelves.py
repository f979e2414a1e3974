"""Shelves: where booklets are put and replaced. A document there is wholly old or wholly new at every moment."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

from generator.errors import BadShelf
from generator.page.booklet import Booklet

_ROBOTS = b"User-agent: *\nDisallow: /\n"


class Shelf(Protocol):
    """A place for booklets; a folder now, an object store later."""

    def put(self, token: str, booklet: Booklet) -> int:
        """Puts a booklet up or brings the one there up to date; returns how many files were written."""
        ...


class FolderShelf:
    """A shelf in DIR/public/: all that a web server may give out."""

    def __init__(self, data: Path) -> None:
        """Makes the folder when there is none.

        Raises:
            BadShelf: if it cannot be written.
        """
        self.public = data / "public"
        with _told():
            # Empty pages where a server might otherwise list the folder, and with it every token.
            for name, content in {"robots.txt": _ROBOTS, "index.html": b"", "p/index.html": b""}.items():
                _write(self.public / name, content)

    def put(self, token: str, booklet: Booklet) -> int:
        """Shared files first, then companions and pages, sw.js last. Bytes that did not change are not touched.

        Raises:
            BadShelf: if it cannot be written; what is up stays as it was, and doing it again mends the rest.
        """
        with _told():
            written = sum(_write(self.public / path, content) for path, content in booklet.assets.items())
            folder = self.public / "p" / token
            if folder.is_dir():
                return written + sum(
                    _write(folder / name, content) for name, content in booklet.files.items()
                )
            aside = self.public / "p" / f".{token}.new"
            for name, content in booklet.files.items():
                _write(aside / name, content)
            _sync(aside)
            aside.rename(folder)
            _sync(folder.parent)
            return written + len(booklet.files)


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
    path.parent.mkdir(parents=True, exist_ok=True)
    aside = path.with_name(f".{path.name}.new")
    with aside.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    aside.replace(path)
    return 1


def _sync(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
