"""The secret that signs the console's cookies: DATA/secret, made once, for its owner alone."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from pathlib import Path

from generator.errors import BadRecords

_LENGTH = 32  # bytes


def secret_of(data: Path) -> bytes:
    """The secret of a data folder; drawn where there is none.

    Raises:
        BadRecords: if it cannot be read or made, or others may read it.
    """
    path = data / "secret"
    try:
        with suppress(FileExistsError):
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "wb") as file:
                file.write(secrets.token_bytes(_LENGTH))
        content = path.read_bytes()
        open_to_others = os.name == "posix" and path.stat().st_mode & 0o077
    except OSError:
        raise BadRecords(
            "The file secret of the data folder cannot be read or made.",
            remedy="See that the data folder may be written by whoever runs the console.",
        ) from None
    if open_to_others or len(content) != _LENGTH:
        raise BadRecords(
            "The file secret of the data folder may be read by others, or is not whole.",
            remedy="Delete it and start again: a new one is drawn, and everybody signs in anew.",
        )
    return content
