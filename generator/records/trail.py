"""Trail: what was done to which booking, when and in which role; each line is chained to the one before.

It holds ids and actions alone, so that it may be kept when all else about a booking is forgotten.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from typing import TYPE_CHECKING

import sqlalchemy as sa

from generator.records.tables import trail

if TYPE_CHECKING:
    from generator.records import Records

_FIRST = "0" * 64


def add(
    connection: sa.Connection, at: dt.datetime, booking: int, version: int, action: str, role: str = ""
) -> None:
    """Adds a line within a change: it stands exactly if the change does."""
    last = connection.execute(
        sa.select(trail.c.number, trail.c.digest).order_by(trail.c.number.desc()).limit(1)
    ).first()
    number, before = (last.number, last.digest) if last else (0, _FIRST)
    line = {
        "number": number + 1,
        "at": at.astimezone(dt.UTC).isoformat(timespec="seconds"),
        "booking": booking,
        "version": version,
        "action": action,
        "role": role,
    }
    connection.execute(sa.insert(trail).values({**line, "digest": _digest(before, line)}))


def broken_line(records: Records) -> int | None:
    """The number of the first line that does not follow from the one before it; None: the trail is whole."""
    before, expected = _FIRST, 1
    with records.change() as connection:
        for row in connection.execute(sa.select(trail).order_by(trail.c.number)).mappings():
            line = {name: value for name, value in row.items() if name != "digest"}
            if row["number"] != expected or row["digest"] != _digest(before, line):
                return expected
            before, expected = row["digest"], expected + 1
    return None


def lines(records: Records) -> list[dict[str, object]]:
    """Every line, oldest first."""
    with records.change() as connection:
        query = sa.select(trail).order_by(trail.c.number)
        return [dict(row) for row in connection.execute(query).mappings()]


def _digest(before: str, line: dict[str, object]) -> str:
    told = "|".join(str(line[name]) for name in ("number", "at", "booking", "version", "action", "role"))
    return hashlib.sha256(f"{before}|{told}".encode()).hexdigest()
