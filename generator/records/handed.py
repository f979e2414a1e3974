"""Handed: what of a plan was given over to a patient, or to whoever sends it: texts copied, lists exported, sheets
printed, calls that reached somebody. The trail keeps it, as ids and actions; nobody knows what was read.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import sqlalchemy as sa

from generator.records import PlanRecord, Records, is_as_seen, trail
from generator.records.calls import CLOSING
from generator.records.tables import trail as trail_table

WAYS = ("copied", "exported", "printed", "shown")
CALL = "call"  # the kind of a call that reached the patient, or who speaks for them


@dataclass(frozen=True, slots=True)
class Handed:
    """One time that something was given over.

    Attributes:
        kind: of a text message, "handout", "link", or CALL.
        version: of the booking at that time.
        at: when, zone-aware.
    """

    kind: str
    way: str
    version: int
    role: str
    at: dt.datetime


def handed(records: Records, booking: int | None = None) -> Mapping[int, Sequence[Handed]]:
    """Booking's number -> what was given over, oldest first; of one booking alone if it is named."""
    table = trail_table.c
    told = [f"call:{outcome}" for outcome in CLOSING]
    query = sa.select(table.booking, table.version, table.action, table.role, table.at).where(
        table.action.startswith("handed:") | table.action.in_(told)
    )
    if booking is not None:
        query = query.where(table.booking == booking)
    found: defaultdict[int, list[Handed]] = defaultdict(list)
    with records.change() as connection:
        for row in connection.execute(query.order_by(table.number)):
            kind, way = row.action.removeprefix("handed:").split(":")
            found[row.booking].append(
                Handed(kind, way, row.version, row.role, dt.datetime.fromisoformat(row.at))
            )
    return found


def record_handed(
    records: Records, what: Iterable[tuple[PlanRecord, str]], way: str, role: str, now: dt.datetime
) -> list[bool]:
    """Writes, in one change, what was given over in which way.

    Args:
        what: bookings as they were when it was made, each with the kind.

    Returns:
        For each whether it was written; not where the booking was changed meanwhile, so that what was given over no
        longer holds.
    """
    with records.change() as connection:
        return [_recorded(connection, record, kind, way, role, now) for record, kind in what]


def _recorded(
    connection: sa.Connection, record: PlanRecord, kind: str, way: str, role: str, now: dt.datetime
) -> bool:
    if not is_as_seen(connection, record):
        return False
    trail.add(connection, now, record.id, record.identity.version, f"handed:{kind}:{way}", role)
    return True
