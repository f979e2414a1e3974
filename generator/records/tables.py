"""The tables of the records, and how a connection to them behaves."""

from __future__ import annotations

import sqlite3

import sqlalchemy as sa

metadata = sa.MetaData()
bookings = sa.Table(
    "bookings",
    metadata,
    sa.Column("ref", sa.Text, primary_key=True),
    sa.Column("token", sa.Text, nullable=False, unique=True),
    sa.Column("call_number", sa.Text, nullable=False, unique=True),
    sa.Column("state", sa.Text, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
    sa.Column("start", sa.Text, nullable=False),
)
plans = sa.Table(
    "plans",
    metadata,
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


def prepare(connection: sqlite3.Connection, _: object) -> None:
    """Makes a new connection safe: foreign keys held, every change on the disk when it is said to be."""
    connection.isolation_level = None  # begin says when a change begins, not the driver
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA synchronous=FULL")


def begin(connection: sa.Connection) -> None:
    """Begins a change."""
    # At once for writing: two commands wait for each other, also while the tables are made.
    connection.exec_driver_sql("BEGIN IMMEDIATE")
