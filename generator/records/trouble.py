"""Trouble: what is told when the file of the records cannot be used; never a word of the database's own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import sqlalchemy as sa

from generator.errors import BadRecords

_AGAIN = "then run this command again."
_LOCKED = ("The records are locked by another command.", f"Wait for it to end, {_AGAIN}")
_DAMAGED = (
    "The file records.sqlite is damaged, or it is not a file of records.",
    f"Do not start without it, every link stands in it: restore its last copy, {_AGAIN}",
)
_OTHER_VERSION = (
    "The file records.sqlite was made by another version of daybefore.",
    "Use the version that made it.",
)
_NOT_WRITABLE = (
    "The records cannot be opened or written.",
    f"See that the data folder and the file records.sqlite may be written, {_AGAIN}",
)
_DISK = ("The disk of the records is full or fails.", f"Make room or have it looked at, {_AGAIN}")
# By the second word of SQLite's result codes (sqlite.org/rescode.html).
_CAUSES = {
    code: cause
    for cause, codes in (
        (_LOCKED, "BUSY LOCKED"),
        (_OTHER_VERSION, "ERROR CONSTRAINT"),
        (_NOT_WRITABLE, "READONLY CANTOPEN PERM AUTH"),
        (_DISK, "FULL IOERR"),
    )
    for code in codes.split()
}


@contextmanager
def told() -> Iterator[None]:
    """Tells what went wrong with the file and what to do; never what SQLAlchemy says, which can hold a value."""
    try:
        yield
    except (OSError, sa.exc.SQLAlchemyError) as error:
        raise bad(_cause_of(error)) from None


def bad(cause: tuple[str, str] = _DAMAGED) -> BadRecords:
    """The error for a cause; a record that makes no sense is damage."""
    return BadRecords(cause[0], remedy=cause[1])


def _cause_of(error: OSError | sa.exc.SQLAlchemyError) -> tuple[str, str]:
    if isinstance(error, OSError):
        return _NOT_WRITABLE
    name = getattr(getattr(error, "orig", None), "sqlite_errorname", "")
    return _CAUSES.get("".join(name.split("_")[1:2]), _DAMAGED)
