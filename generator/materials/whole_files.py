"""Writes files so that each is wholly old or wholly new at every moment, whatever breaks off."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path


def replace_file(path: Path, content: bytes) -> None:
    """Puts a file with this content in the place of the one there, with the same permissions.

    Raises:
        OSError: if it cannot be written; the file there stays as it was.
    """
    mode = path.stat().st_mode & 0o777 if path.exists() else None
    _replace(path, content, mode)


def replace_private_file(path: Path, content: bytes) -> None:
    """The same with a file that nobody else may read, not even for a moment.

    Raises:
        OSError: if it cannot be written; the file there stays as it was.
    """
    _replace(path, content, 0o600)


def _replace(path: Path, content: bytes, mode: int | None) -> None:
    aside = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        with aside.open("wb") as file:
            if mode is not None:
                aside.chmod(mode)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(path)
    except OSError:
        with suppress(OSError):
            aside.unlink()
        raise


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """While nobody else who asks for the same folder goes on: of two who add to a file at once, both count.

    The lock is the folder's and falls with the process.

    Raises:
        OSError: if the folder cannot be opened.
    """
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX)
        yield
    finally:
        os.close(descriptor)
