"""Records: which booking has which token, call number, version, code and made-at; and what people decided.

The one place with a database (SQLAlchemy Core) and with random numbers. Every change is compare-and-set.
"""

from __future__ import annotations

import datetime as dt
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from generator.errors import BadRecords
from generator.page.plan import Identity

# 26 characters of 30 without look-alikes: 127 bits (W3C TAG, capability URLs: at least 120).
TOKEN_ALPHABET, TOKEN_LENGTH = "abcdefghjkmnpqrstvwxyz23456789", 26

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


class Records:
    """The records of one unit's plans, in DIR/records.sqlite."""

    def __init__(self, folder: Path) -> None:
        """Opens the records, and makes them when there are none.

        Raises:
            BadRecords: if the folder or file cannot be used.
        """
        try:
            folder.mkdir(parents=True, exist_ok=True)
            path = folder / "records.sqlite"
            if not path.exists():
                path.touch(mode=0o600)
            self._engine = sa.create_engine(f"sqlite:///{path}", connect_args={"timeout": 30})
            sa.event.listen(self._engine, "connect", _prepare)
            _metadata.create_all(self._engine)
        except (OSError, sa.exc.SQLAlchemyError):
            raise BadRecords(
                f"The records in “{folder.name}” cannot be opened.",
                remedy="Check that the folder may be written and that records.sqlite is ours.",
            ) from None

    def close(self) -> None:
        """Lets go of the file."""
        self._engine.dispose()

    @contextmanager
    def _change(self) -> Iterator[sa.Connection]:
        try:
            with self._engine.begin() as connection:
                yield connection
        except sa.exc.OperationalError:
            raise BadRecords(
                "The records are busy or cannot be written.",
                remedy="Wait for the other command to end, then run this one again.",
            ) from None

    def find(self, ref: str) -> PlanRecord | None:
        """The booking's present version, or None when it has no link yet."""
        with self._change() as connection:
            row = (
                connection.execute(
                    sa.select(_bookings, _plans)
                    .join(
                        _plans,
                        sa.and_(
                            _plans.c.ref == _bookings.c.ref,
                            _plans.c.version == _bookings.c.version,
                        ),
                    )
                    .where(_bookings.c.ref == ref)
                )
                .mappings()
                .first()
            )
        if row is None:
            return None
        identity = Identity(
            row[_bookings.c.token],
            row[_plans.c.code],
            row[_plans.c.version],
            row[_bookings.c.call_number],
            dt.datetime.fromisoformat(row[_plans.c.made]),
        )
        return PlanRecord(
            ref,
            identity,
            row[_plans.c.state],
            row[_plans.c.edition],
            row[_bookings.c.start],
            row[_plans.c.facts],
            row[_plans.c.content],
        )

    def open(self, ref: str, start: dt.datetime, now: dt.datetime) -> PlanRecord:
        """The booking's present version; a booking never seen gets its token, call number and first code."""
        known = self.find(ref)
        if known is not None:
            return known
        token = "".join(secrets.choice(TOKEN_ALPHABET) for _ in range(TOKEN_LENGTH))
        # Another command may open the same booking at this moment; then that one's token stands.
        with suppress(sa.exc.IntegrityError), self._change() as connection:
            connection.execute(
                sa.insert(_bookings).values(
                    ref=ref,
                    token=token,
                    call_number=self._call_number(connection),
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
        found = self.find(ref)
        assert found is not None
        return found

    def publishing(self, record: PlanRecord, *, facts: str, content: str, protocol_digest: str) -> bool:
        """Writes, before the shelf is touched, what is about to be put there.

        Returns:
            False if somebody else changed this version meanwhile; then nothing was written.
        """
        edition = record.edition + (record.content is not None and record.content != content)
        with self._change() as connection:
            done = connection.execute(
                sa.update(_plans)
                .where(
                    _plans.c.ref == record.ref,
                    _plans.c.version == record.identity.version,
                    _plans.c.edition == record.edition,
                    _plans.c.content.is_not_distinct_from(record.content),
                )
                .values(
                    facts=facts,
                    content=content,
                    edition=edition,
                    protocol_digest=protocol_digest,
                    state="publishing",
                )
            )
        return done.rowcount == 1

    def published(self, record: PlanRecord) -> None:
        """Writes that the shelf holds this version."""
        with self._change() as connection:
            connection.execute(
                sa.update(_plans)
                .where(
                    _plans.c.ref == record.ref,
                    _plans.c.version == record.identity.version,
                )
                .values(state="published")
            )

    def decide(self, decision: Decision, now: dt.datetime) -> None:
        """Records what a person decided; a later decision on the same finding takes its place."""
        keys = {"ref": decision.ref, "row_digest": decision.row_digest, "kind": decision.kind}
        with self._change() as connection:
            connection.execute(sa.delete(_decisions).filter_by(**keys))
            connection.execute(
                sa.insert(_decisions).values(
                    **keys, choice=decision.choice, role=decision.role, at=_stamp(now)
                )
            )

    def decisions(self, ref: str, row_digest: str) -> dict[str, str]:
        """Kind of finding -> choice, for a row as it stands."""
        with self._change() as connection:
            rows = connection.execute(
                sa.select(_decisions.c.kind, _decisions.c.choice).where(
                    _decisions.c.ref == ref, _decisions.c.row_digest == row_digest
                )
            ).all()
        return {kind: choice for kind, choice in rows}

    @staticmethod
    def _call_number(connection: sa.Connection) -> str:
        """Six digits that no other booking has."""
        while True:
            number = f"{secrets.randbelow(900_000) + 100_000}"
            if (
                connection.execute(
                    sa.select(_bookings.c.ref).where(_bookings.c.call_number == number)
                ).first()
                is None
            ):
                return number


def _prepare(connection: object, _: object) -> None:
    cursor = connection.cursor()  # type: ignore[attr-defined]
    cursor.execute("PRAGMA foreign_keys=ON")
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.close()


def _drawn_code() -> str:
    """Three digits, no multiple of five: never a time or an amount that somebody reads out."""
    while True:
        code = secrets.randbelow(889) + 111
        if code % 5:
            return str(code)


def _stamp(moment: dt.datetime) -> str:
    return moment.astimezone(dt.UTC).isoformat(timespec="seconds")
