"""The tables of the records, and how a connection to them behaves."""

from __future__ import annotations

import sqlite3

import sqlalchemy as sa

metadata = sa.MetaData()
bookings = sa.Table(
    "bookings",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("ref", sa.Text, unique=True),  # forgotten when the booking expires; the token never is
    sa.Column("token", sa.Text, nullable=False, unique=True),
    sa.Column("call_number", sa.Text, nullable=False, unique=True),
    sa.Column("state", sa.Text, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
    sa.Column("start", sa.Text, nullable=False),
    sa.Column("pending", sa.Text),
)
sa.Index("bookings_start", bookings.c.start)
sa.Index("bookings_state", bookings.c.state)
plans = sa.Table(
    "plans",
    metadata,
    sa.Column("booking", sa.Integer, sa.ForeignKey("bookings.id"), primary_key=True),
    sa.Column("version", sa.Integer, primary_key=True),
    sa.Column("code", sa.Text, nullable=False),
    sa.Column("made", sa.Text, nullable=False),
    sa.Column("edition", sa.Integer, nullable=False),
    sa.Column("facts", sa.Text),
    sa.Column("content", sa.Text),
    sa.Column("protocol_digest", sa.Text),
    sa.Column("inputs", sa.Text),
    sa.Column("notice", sa.Text),
    sa.Column("state", sa.Text, nullable=False),
    sa.UniqueConstraint("booking", "code"),
)
sa.Index("plans_state", plans.c.state)
decisions = sa.Table(
    "decisions",
    metadata,
    sa.Column("ref", sa.Text, primary_key=True),
    sa.Column("row_digest", sa.Text, primary_key=True),
    sa.Column("kind", sa.Text, primary_key=True),
    sa.Column("choice", sa.Text, nullable=False),
    sa.Column("role", sa.Text, nullable=False),
    sa.Column("at", sa.Text, nullable=False),
)
calls = sa.Table(
    "calls",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("booking", sa.Integer, sa.ForeignKey("bookings.id"), nullable=False),
    sa.Column("why", sa.Text, nullable=False),
    sa.Column("due", sa.Text, nullable=False),
    sa.Column("script", sa.Text, nullable=False),
    sa.Column("made", sa.Text, nullable=False),
    sa.Column("open", sa.Boolean, nullable=False),
)
tries = sa.Table(
    "tries",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("call", sa.Integer, sa.ForeignKey("calls.id"), nullable=False),
    sa.Column("outcome", sa.Text, nullable=False),
    sa.Column("role", sa.Text, nullable=False),
    sa.Column("at", sa.Text, nullable=False),
)
accounts = sa.Table(
    "accounts",
    metadata,
    sa.Column("name", sa.Text, primary_key=True),
    sa.Column("role", sa.Text, nullable=False),
    sa.Column("password", sa.Text, nullable=False),  # scrypt, salted
    sa.Column("changed", sa.Text, nullable=False),
)
trail = sa.Table(
    "trail",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True),
    sa.Column("at", sa.Text, nullable=False),
    sa.Column("booking", sa.Integer, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
    sa.Column("action", sa.Text, nullable=False),
    sa.Column("role", sa.Text, nullable=False),
    sa.Column("digest", sa.Text, nullable=False),
)
for _what in ("UPDATE", "DELETE"):
    # The trail only grows: the database itself refuses anything else.
    sa.event.listen(
        trail,
        "after_create",
        sa.DDL(  # type: ignore[no-untyped-call]
            f"CREATE TRIGGER IF NOT EXISTS trail_no_{_what.lower()} BEFORE {_what} ON trail "
            "BEGIN SELECT RAISE(ABORT, 'the trail only grows'); END"
        ),
    )


def prepare(connection: sqlite3.Connection, _: object) -> None:
    """Makes a new connection safe: foreign keys held, every change on the disk when it is said to be."""
    connection.isolation_level = None  # begin says when a change begins, not the driver
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("PRAGMA secure_delete=ON")  # what is forgotten is overwritten, not only let go of


def begin(connection: sa.Connection) -> None:
    """Begins a change."""
    # At once for writing: two commands wait for each other, also while the tables are made.
    connection.exec_driver_sql("BEGIN IMMEDIATE")
