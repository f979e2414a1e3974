"""Prepared: bookings that wait at the desk, with what their plans are to be made from; nobody was given one."""

from __future__ import annotations

import datetime as dt

import sqlalchemy as sa

from generator.records import PlanRecord, Records, is_as_seen, present, stamp, trail
from generator.records.inputs import Inputs, dumped
from generator.records.tables import bookings, decisions, plans


def prepare(records: Records, record: PlanRecord, inputs: Inputs, now: dt.datetime, role: str) -> bool:
    """Writes what a booking that nobody was given is to be made from; False, and nothing, if it changed meanwhile."""
    with records.change() as connection:
        if not is_as_seen(connection, record):
            return False
        new = dict(inputs=dumped(inputs), made=stamp(now), state="opened", content=None, facts=None)
        connection.execute(sa.update(plans).where(*present(record)).values(new))
        start = sa.update(bookings).where(bookings.c.id == record.id)
        connection.execute(start.values(start=inputs.booking.start.isoformat()))
        trail.add(connection, now, record.id, record.identity.version, "prepared", role)
    return True


def withdraw(records: Records, record: PlanRecord, now: dt.datetime, role: str) -> bool:
    """Takes a booking that nobody was given off the desk and forgets it; False, and nothing, if it changed meanwhile.

    Its token stays, so that it is never given out.
    """
    with records.change() as connection:
        if not is_as_seen(connection, record):
            return False
        connection.execute(sa.delete(decisions).where(decisions.c.ref == record.ref))
        connection.execute(sa.update(plans).where(*present(record)).values(inputs=None, content=None))
        connection.execute(sa.update(bookings).where(bookings.c.id == record.id).values(ref=None))
        trail.add(connection, now, record.id, record.identity.version, "withdrawn", role)
    return True
