"""Finding bookings: by day, by what they wait for, by reference or call number; never all of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import sqlalchemy as sa

from generator.page.life import Life
from generator.records import PlanRecord, Records
from generator.records.tables import bookings, plans

_MOST = 20  # bookings that a search shows
_AT_A_TIME = 500  # numbers in one query


def by_id(records: Records, number: int) -> PlanRecord | None:
    """The booking with this number in the records; None also when it was forgotten."""
    found = records.present(sa.and_(bookings.c.id == number, bookings.c.ref.is_not(None)))
    return found[0] if found else None


def on_days(records: Records, since: dt.date, until: dt.date) -> list[PlanRecord]:
    """The bookings whose procedures start on these days of the unit, `until` included, by their start."""
    after = (until + dt.timedelta(days=1)).isoformat()
    # Kept with the unit's own clock in front (2026-03-18T09:30:00+00:00), so that days compare as letters.
    days = sa.and_(bookings.c.start >= since.isoformat(), bookings.c.start < after)
    return _by_start(records.present(sa.and_(days, bookings.c.ref.is_not(None))))


@dataclass(frozen=True, slots=True)
class Upcoming:
    """A booking of which something is up and whose day has not passed, in few words.

    Attributes:
        start: of its procedure, zone-aware.
    """

    id: int
    life: str
    version: int
    start: dt.datetime


def upcoming(records: Records, since: dt.date) -> list[Upcoming]:
    """The bookings from a day of the unit on, and all that are held: their new day may be a later one."""
    ahead = sa.or_(bookings.c.start >= since.isoformat(), bookings.c.state == Life.HELD.value)
    query = (
        sa.select(bookings.c.id, bookings.c.state, bookings.c.version, bookings.c.start)
        .join(plans, sa.and_(plans.c.booking == bookings.c.id, plans.c.version == bookings.c.version))
        .where(ahead, bookings.c.ref.is_not(None), plans.c.state == "published")
    )
    with records.change() as connection:
        return [
            Upcoming(row.id, row.state, row.version, dt.datetime.fromisoformat(row.start))
            for row in connection.execute(query)
        ]


def by_ids(records: Records, numbers: Sequence[int]) -> list[PlanRecord]:
    """The bookings with these numbers, by their start."""
    found: list[PlanRecord] = []
    for at in range(0, len(numbers), _AT_A_TIME):
        some = numbers[at : at + _AT_A_TIME]
        found += records.present(sa.and_(bookings.c.id.in_(some), bookings.c.ref.is_not(None)))
    return _by_start(found)


def prepared(records: Records) -> list[PlanRecord]:
    """The bookings that wait to be cleared, soonest first."""
    waiting = sa.and_(
        plans.c.state.in_(("opened", "publishing")), plans.c.inputs.is_not(None), bookings.c.ref.is_not(None)
    )
    return _by_start([one for one in records.present(waiting) if one.is_prepared])


def prepared_count(records: Records) -> int:
    """How many wait to be cleared."""
    return len(prepared(records))


def held(records: Records) -> list[PlanRecord]:
    """The bookings whose plans are held until somebody releases them, soonest first."""
    return _by_start(records.present(bookings.c.state == Life.HELD.value))


def matching(records: Records, words: str) -> list[PlanRecord]:
    """The bookings with this call number, or whose reference begins with these letters, capitals or not."""
    text = words.strip()
    if not text:
        return []
    digits = "".join(text.split())
    # A range that an index can answer comes first; a reference typed in other capitals is looked for more slowly.
    after = text[:-1] + chr(ord(text[-1]) + 1)
    begins = sa.or_(bookings.c.call_number == digits, sa.and_(bookings.c.ref >= text, bookings.c.ref < after))
    found = records.present(sa.and_(begins, bookings.c.ref.is_not(None)), _MOST)
    if not found:
        found = records.present(bookings.c.ref.istartswith(text, autoescape=True), _MOST)
    return _by_start(found)


def _by_start(found: list[PlanRecord]) -> list[PlanRecord]:
    return sorted(found, key=lambda one: (one.start, one.id))
