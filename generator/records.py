"""Records: which booking has which token, call number, version, code and made-at; and what people decided.

The one place with a database (SQLAlchemy Core) and with random numbers. Every change is compare-and-set.
A booking's reference may identify a person: no error that leaves this module holds a value.
"""

from __future__ import annotations

import datetime as dt
import os
import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from generator.errors import BadRecords
from generator.page.plan import Identity

# 26 characters of 30 without look-alikes: 127 bits (W3C TAG, capability URLs: at least 120).
TOKEN_ALPHABET, TOKEN_LENGTH = "abcdefghjkmnpqrstvwxyz23456789", 26
DRAWS = 100  # of the 900,000 call numbers 810,000 may be taken, and all hundred fail once in 37,000 times
_WAIT = 30.0  # seconds for another command

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

_metadata = sa.MetaData()
_bookings = sa.Table(
    "bookings",
    _metadata,
    sa.Column("ref", sa.Text, primary_key=True),
    sa.Column("token", sa.Text, nullable=False, unique=True),
    sa.Column("call_number", sa.Text, nullable=False, unique=True),
    sa.Column("state", sa.Text, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
    sa.Column("start", sa.Text, nullable=False),
)
_plans = sa.Table(
    "plans",
    _metadata,
    sa.Column("ref", sa.Text, sa.ForeignKey("bookings.ref"), primary_key=True),
    sa.Column("version", sa.Integer, primary_key=True),
    sa.Column("code", sa.Text, nullable=False),
    sa.Column("made", sa.Text, nullable=False),
    sa.Column("edition", sa.Integer, nullable=False),
    sa.Column("facts", sa.Text),
    sa.Column("content", sa.Text),
    sa.Column("protocol_digest", sa.Text),
    sa.Column("state", sa.Text, nullable=False),
)
_decisions = sa.Table(
    "decisions",
    _metadata,
    sa.Column("ref", sa.Text, primary_key=True),
    sa.Column("row_digest", sa.Text, primary_key=True),
    sa.Column("kind", sa.Text, primary_key=True),
    sa.Column("choice", sa.Text, nullable=False),
    sa.Column("role", sa.Text, nullable=False),
    sa.Column("at", sa.Text, nullable=False),
)


@dataclass(frozen=True, slots=True)
class Decision:
    """What a person decided about one finding of one row; dead as soon as the row changes."""

    ref: str
    row_digest: str
    kind: str
    choice: str
    role: str


@dataclass(frozen=True, slots=True)
class PlanRecord:
    """A booking's present version. `facts` is None until it has been published once."""

    ref: str
    identity: Identity
    state: str
    edition: int
    start: str
    facts: str | None
    content: str | None

    @property
    def was_given(self) -> bool:
        """Whether somebody may have the link: it was published whole at least once."""
        return self.state == "published" or self.edition > 1


class Records:
    """The records of one unit's plans, in DIR/records.sqlite. Every method raises BadRecords if it cannot be used."""

    def __init__(self, folder: Path) -> None:
        """Opens the records, and makes them when there are none.

        Raises:
            BadRecords: if the folder or file cannot be used.
        """
        path = folder / "records.sqlite"
        with _told():
            folder.mkdir(parents=True, exist_ok=True)
            # Made here, not by SQLite: nobody else may read it, not even for a moment.
            os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
            self._engine = sa.create_engine(
                sa.URL.create("sqlite", database=str(path)),
                connect_args={"timeout": _WAIT},
                hide_parameters=True,
            )
            sa.event.listen(self._engine, "connect", _prepare)
            sa.event.listen(self._engine, "begin", _begin)
            _metadata.create_all(self._engine)
            with self._engine.begin() as connection:
                for table in _metadata.sorted_tables:
                    connection.execute(sa.select(table).limit(0))

    def close(self) -> None:
        """Lets go of the file."""
        self._engine.dispose()

    @contextmanager
    def _change(self) -> Iterator[sa.Connection]:
        with _told(), self._engine.begin() as connection:
            yield connection

    def find(self, ref: str) -> PlanRecord | None:
        """The booking's present version, or None when it has no link yet."""
        present = sa.and_(_plans.c.ref == _bookings.c.ref, _plans.c.version == _bookings.c.version)
        query = sa.select(_bookings, _plans).join(_plans, present).where(_bookings.c.ref == ref)
        with self._change() as connection:
            row = connection.execute(query).mappings().first()
        return None if row is None else _record_from(row)

    def open(self, ref: str, start: dt.datetime, now: dt.datetime) -> PlanRecord:
        """The booking's present version; a booking never seen gets its token, call number and first code."""
        for _ in range(DRAWS):
            known = self.find(ref)
            if known is not None:
                return known
            # Refused when the token or number is taken: draw again. Or when another command opened the
            # same booking at this moment: then that one's token stands.
            with _told(), suppress(sa.exc.IntegrityError), self._engine.begin() as connection:
                connection.execute(
                    sa.insert(_bookings).values(
                        ref=ref,
                        token=_drawn_token(),
                        call_number=_drawn_call_number(),
                        state="made",
                        version=1,
                        start=start.isoformat(),
                    )
                )
                connection.execute(
                    sa.insert(_plans).values(
                        ref=ref, version=1, code=_drawn_code(), made=_stamp(now), edition=1, state="opened"
                    )
                )
        raise BadRecords(
            "No free call number was found for this booking.",
            remedy="Run this command again; if it says the same, restore the last copy of records.sqlite.",
        )

    def publishing(self, record: PlanRecord, *, facts: str, content: str, protocol_digest: str) -> bool:
        """Writes what is about to be put on the shelf; False, and nothing written, if it was changed meanwhile."""
        edition = record.edition + (record.was_given and record.content != content)
        # The same bytes again: no crash may make it forgotten that somebody has this plan.
        state = record.state if record.content == content else "publishing"
        new = dict(
            facts=facts, content=content, edition=edition, protocol_digest=protocol_digest, state=state
        )
        with self._change() as connection:
            done = connection.execute(
                sa.update(_plans)
                .where(
                    _plans.c.ref == record.ref,
                    _plans.c.version == record.identity.version,
                    _plans.c.edition == record.edition,
                    _plans.c.content.is_not_distinct_from(record.content),
                )
                .values(new)
            )
        return done.rowcount == 1

    def published(self, record: PlanRecord) -> None:
        """Writes that the shelf holds this version."""
        with self._change() as connection:
            connection.execute(
                sa.update(_plans)
                .where(_plans.c.ref == record.ref, _plans.c.version == record.identity.version)
                .values(state="published")
            )

    def decide(self, decision: Decision, now: dt.datetime) -> None:
        """Records what a person decided; a later decision on the same finding takes its place."""
        keys = {"ref": decision.ref, "row_digest": decision.row_digest, "kind": decision.kind}
        with self._change() as connection:
            connection.execute(sa.delete(_decisions).filter_by(**keys))
            values = {**keys, "choice": decision.choice, "role": decision.role, "at": _stamp(now)}
            connection.execute(sa.insert(_decisions).values(values))

    def decisions(self, ref: str, row_digest: str) -> dict[str, str]:
        """Kind of finding -> choice, for a row as it stands."""
        query = sa.select(_decisions.c.kind, _decisions.c.choice).filter_by(ref=ref, row_digest=row_digest)
        with self._change() as connection:
            return {kind: choice for kind, choice in connection.execute(query)}


@contextmanager
def _told() -> Iterator[None]:
    """Tells what went wrong with the file and what to do; never what SQLAlchemy says, which can hold a value."""
    try:
        yield
    except (OSError, sa.exc.SQLAlchemyError) as error:
        raise _bad(_cause_of(error)) from None


def _bad(cause: tuple[str, str]) -> BadRecords:
    return BadRecords(cause[0], remedy=cause[1])


def _cause_of(error: OSError | sa.exc.SQLAlchemyError) -> tuple[str, str]:
    if isinstance(error, OSError):
        return _NOT_WRITABLE
    name = getattr(getattr(error, "orig", None), "sqlite_errorname", "")
    return _CAUSES.get("".join(name.split("_")[1:2]), _DAMAGED)


def _record_from(row: sa.RowMapping) -> PlanRecord:
    booking, plan = _bookings.c, _plans.c
    try:
        made = dt.datetime.fromisoformat(row[plan.made])
        dt.datetime.fromisoformat(row[booking.start])
    except (TypeError, ValueError):
        raise _bad(_DAMAGED) from None
    identity = Identity(row[booking.token], row[plan.code], row[plan.version], row[booking.call_number], made)
    rest = (plan.state, plan.edition, booking.start, plan.facts, plan.content)
    return PlanRecord(row[booking.ref], identity, *(row[column] for column in rest))


def _prepare(connection: sqlite3.Connection, _: object) -> None:
    connection.isolation_level = None  # _begin says when a change begins, not the driver
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA synchronous=FULL")


def _begin(connection: sa.Connection) -> None:
    # At once for writing: two commands wait for each other, also while the tables are made.
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def _drawn_token() -> str:
    return "".join(secrets.choice(TOKEN_ALPHABET) for _ in range(TOKEN_LENGTH))


def _drawn_call_number() -> str:
    return f"{secrets.randbelow(900_000) + 100_000}"


def _drawn_code() -> str:
    """Three digits, no multiple of five: never a time or an amount that somebody reads out."""
    while True:
        code = secrets.randbelow(889) + 111
        if code % 5:
            return str(code)


def _stamp(moment: dt.datetime) -> str:
    return moment.astimezone(dt.UTC).isoformat(timespec="seconds")
