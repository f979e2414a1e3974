"""Calls: who must be phoned, why, by when, what to say, and what came of each try."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import sqlalchemy as sa

from generator.records import PlanRecord, Records, stamp, trail
from generator.records.tables import bookings, calls, tries

# What may come of a try. The first two close the call: the patient, or who speaks for them, has been told.
CLOSING = ("told-patient", "told-companion")
OUTCOMES = (*CLOSING, "no-answer", "message-left", "wrong-number", "asked-to-call-back", "interpreter-needed")


@dataclass(frozen=True, slots=True)
class Call:
    """A call to be made.

    Attributes:
        due: by when, zone-aware.
        script: what to say, lines of English.
        tries: (moment, outcome) of each try so far.
    """

    id: int
    ref: str
    why: str
    due: dt.datetime
    script: str
    tries: tuple[tuple[dt.datetime, str], ...]


@dataclass(frozen=True, slots=True)
class Telling:
    """What a patient must be told by phone: why, by when (zone-aware), and in which words for the caller."""

    why: str
    due: dt.datetime
    script: str


def add(connection: sa.Connection, booking: int, what: Telling, now: dt.datetime) -> None:
    """Puts a booking on the list within a change; what was still to be said of an earlier one is said by this call."""
    connection.execute(sa.update(calls).where(calls.c.booking == booking, calls.c.open).values(open=False))
    connection.execute(
        sa.insert(calls).values(
            booking=booking, why=what.why, due=stamp(what.due), script=what.script, made=stamp(now), open=True
        )
    )


def waiting(records: Records) -> list[Call]:
    """The calls still to be made, the most urgent first."""
    query = (
        sa.select(calls, bookings.c.ref)
        .join(bookings, bookings.c.id == calls.c.booking)
        .where(calls.c.open)
        .order_by(calls.c.due, calls.c.id)
    )
    with records.change() as connection:
        found = connection.execute(query).mappings().all()
        ours = tries.c.call.in_(sa.select(calls.c.id).where(calls.c.open))
        made = connection.execute(sa.select(tries).where(ours).order_by(tries.c.id)).mappings().all()
    return [
        Call(
            row["id"],
            row["ref"] or "",
            row["why"],
            dt.datetime.fromisoformat(row["due"]),
            row["script"],
            tuple(
                (dt.datetime.fromisoformat(one["at"]), one["outcome"])
                for one in made
                if one["call"] == row["id"]
            ),
        )
        for row in found
    ]


def waiting_for(records: Records, record: PlanRecord) -> Call | None:
    """The call that is still to be made about a booking."""
    return next((one for one in waiting(records) if one.ref == record.ref), None)


def waiting_count(records: Records) -> int:
    """How many calls are still to be made."""
    with records.change() as connection:
        query = sa.select(sa.func.count()).select_from(calls).where(calls.c.open)
        return int(connection.execute(query).scalar() or 0)


def tried(records: Records, ref: str, outcome: str, role: str, now: dt.datetime) -> bool:
    """Records what came of a try; False: no call to this booking waits."""
    with records.change() as connection:
        row = connection.execute(
            sa.select(calls.c.id, calls.c.booking, bookings.c.version)
            .join(bookings, bookings.c.id == calls.c.booking)
            .where(bookings.c.ref == ref, calls.c.open)
        ).first()
        if row is None:
            return False
        connection.execute(sa.insert(tries).values(call=row.id, outcome=outcome, role=role, at=stamp(now)))
        if outcome in CLOSING:
            connection.execute(sa.update(calls).where(calls.c.id == row.id).values(open=False))
        trail.add(connection, now, row.booking, row.version, f"call:{outcome}", role)
    return True
