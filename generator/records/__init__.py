"""Records: which booking has which token, call number, version, code and made-at; and what people decided.

The one place with a database (SQLAlchemy Core) and with random numbers. Every change is compare-and-set.
A booking's reference may identify a person: no error that leaves this module holds a value.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from generator.clinic.booking import Clearance
from generator.errors import BadRecords
from generator.page.plan import Identity
from generator.records import trail
from generator.records.drawn import DRAWS, drawn_call_number, drawn_code, drawn_token
from generator.records.inputs import (
    Damaged,
    Inputs,
    Publication,
    dumped,
    inputs_from,
    notice_from,
)
from generator.records.record import PlanRecord
from generator.records.tables import begin, bookings, decisions, metadata, plans, prepare
from generator.records.trouble import bad, told

__all__ = ["MADE", "NOT_CLEARED", "Decision", "PlanRecord", "Records"]
NOT_CLEARED = "not-cleared"  # the kind of finding that a clearance answers
MADE = "made"  # the state of a booking whose plan holds; the others are those of page.life.Life
_WAIT = 30.0  # seconds for another command


@dataclass(frozen=True, slots=True)
class Decision:
    """What a person decided about one finding of one row; dead as soon as the row changes."""

    ref: str
    row_digest: str
    kind: str
    choice: str
    role: str


class Records:
    """The records of one unit's plans, in DIR/records.sqlite. Every method raises BadRecords if it cannot be used."""

    def __init__(self, folder: Path) -> None:
        """Opens the records, and makes them when there are none.

        Raises:
            BadRecords: if the folder or file cannot be used.
        """
        path = folder / "records.sqlite"
        with told():
            folder.mkdir(parents=True, exist_ok=True)
            # Made here, not by SQLite: nobody else may read it, not even for a moment.
            os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
            self._engine = sa.create_engine(
                sa.URL.create("sqlite", database=str(path)),
                connect_args={"timeout": _WAIT},
                hide_parameters=True,
            )
            sa.event.listen(self._engine, "connect", prepare)
            sa.event.listen(self._engine, "begin", begin)
            metadata.create_all(self._engine)
            with self._engine.begin() as connection:
                for table in metadata.sorted_tables:
                    connection.execute(sa.select(table).limit(0))
                    for index in table.indexes:  # a file made before there was one
                        index.create(connection, checkfirst=True)

    def close(self) -> None:
        """Lets go of the file."""
        self._engine.dispose()

    @contextmanager
    def change(self) -> Iterator[sa.Connection]:
        """One change: all of it is written, or nothing."""
        with told(), self._engine.begin() as connection:
            yield connection

    def find(self, ref: str) -> PlanRecord | None:
        """The booking's present version, or None when it has no link yet."""
        found = self.present(bookings.c.ref == ref)
        return found[0] if found else None

    def every(self) -> list[PlanRecord]:
        """Each booking's present version, those forgotten too, in the order in which they came."""
        return self.present(sa.true())

    def again(self, record: PlanRecord) -> PlanRecord:
        """The same booking as it stands now."""
        return self.present(bookings.c.id == record.id)[0]

    def present(self, which: sa.ColumnElement[bool], limit: int | None = None) -> list[PlanRecord]:
        """The present version of the bookings for which this holds; for the modules of this package."""
        same = sa.and_(plans.c.booking == bookings.c.id, plans.c.version == bookings.c.version)
        query = sa.select(bookings, plans).join(plans, same).where(which).order_by(bookings.c.id).limit(limit)
        with self.change() as connection:
            return [_record_from(row) for row in connection.execute(query).mappings()]

    def open(self, ref: str, start: dt.datetime, now: dt.datetime) -> PlanRecord:
        """The booking's present version; a booking never seen gets its token, call number and first code.

        One that nobody was given yet is made at this moment and for this start, whatever was tried before.
        """
        for _ in range(DRAWS):
            known = self.find(ref)
            if known is not None:
                return known if known.was_given else self._made_anew(known, start, now)
            # Refused when the token or number is taken: draw again. Or when another command opened the
            # same booking at this moment: then that one's token stands.
            with told(), suppress(sa.exc.IntegrityError), self._engine.begin() as connection:
                added = connection.execute(
                    sa.insert(bookings).values(
                        ref=ref,
                        token=drawn_token(),
                        call_number=drawn_call_number(),
                        state=MADE,
                        version=1,
                        start=start.isoformat(),
                    )
                )
                booking = added.inserted_primary_key[0] if added.inserted_primary_key else 0
                first = dict(booking=booking, version=1, code=drawn_code(), made=stamp(now), edition=1)
                connection.execute(sa.insert(plans).values(**first, state="opened"))
                trail.add(connection, now, booking, 1, "opened")
        raise BadRecords(
            "No free call number was found for this booking.",
            remedy="Run this command again; if it says the same, restore the last copy of records.sqlite.",
        )

    def _made_anew(self, record: PlanRecord, start: dt.datetime, now: dt.datetime) -> PlanRecord:
        with self.change() as connection:
            if is_as_seen(connection, record):  # else another command makes it at this moment
                new_start = sa.update(bookings).where(bookings.c.id == record.id)
                connection.execute(new_start.values(start=start.isoformat()))
                connection.execute(sa.update(plans).where(*present(record)).values(made=stamp(now)))
        return self.find(record.ref) or record

    def publishing(self, many: Iterable[tuple[PlanRecord, Publication]], now: dt.datetime) -> list[bool]:
        """Writes what is about to be put on the shelf, in one change.

        Returns:
            For each whether it was written; not where another command changed the booking meanwhile.
        """
        with self.change() as connection:
            return [_publishing(connection, record, what, now) for record, what in many]

    def published(self, many: Iterable[tuple[PlanRecord, str]]) -> None:
        """Writes, in one change, that the shelf holds these files, by their digest, of these versions."""
        with self.change() as connection:
            for record, content in many:
                same = plans.c.content == content
                connection.execute(sa.update(plans).where(*present(record), same).values(state="published"))

    def decide(self, decision: Decision, now: dt.datetime) -> None:
        """Records what a person decided; a later decision on the same finding takes its place."""
        keys = {"ref": decision.ref, "row_digest": decision.row_digest, "kind": decision.kind}
        with self.change() as connection:
            connection.execute(sa.delete(decisions).filter_by(**keys))
            values = {**keys, "choice": decision.choice, "role": decision.role, "at": stamp(now)}
            connection.execute(sa.insert(decisions).values(values))

    def decisions(self, ref: str, row_digest: str) -> dict[str, str]:
        """Kind of finding -> choice, for a row as it stands."""
        query = sa.select(decisions.c.kind, decisions.c.choice).filter_by(ref=ref, row_digest=row_digest)
        with self.change() as connection:
            return {kind: choice for kind, choice in connection.execute(query)}

    def clearance(self, ref: str, row_digest: str) -> Clearance | None:
        """Who cleared the patient of a row as it stands, in which role, and when."""
        query = sa.select(decisions.c.role, decisions.c.at).filter_by(
            ref=ref, row_digest=row_digest, kind=NOT_CLEARED
        )
        with self.change() as connection:
            row = connection.execute(query).first()
        return None if row is None else Clearance(row.role, dt.datetime.fromisoformat(row.at).date())


def _publishing(connection: sa.Connection, record: PlanRecord, what: Publication, now: dt.datetime) -> bool:
    if not is_as_seen(connection, record):
        return False
    new_content = record.content != what.content
    new = dict(
        facts=what.facts,
        content=what.content,
        edition=record.edition + (record.was_given and new_content),
        protocol_digest=what.protocol_digest,
        inputs=dumped(what.inputs),
        # The same bytes again: no crash may make it forgotten that somebody has this plan.
        state="publishing" if new_content else record.state,
    )
    connection.execute(sa.update(plans).where(*present(record)).values(new))
    if new_content:
        trail.add(connection, now, record.id, record.identity.version, "plan")
    return True


def present(record: PlanRecord) -> tuple[sa.ColumnElement[bool], ...]:
    """The row of a record's version."""
    return plans.c.booking == record.id, plans.c.version == record.identity.version


def is_as_seen(connection: sa.Connection, record: PlanRecord) -> bool:
    """Whether nobody changed the booking since the record was read: the comparison of every compare-and-set."""
    kept = None if record.inputs is None else dumped(record.inputs)
    query = (
        sa.select(plans.c.version)
        .join(bookings, sa.and_(bookings.c.id == plans.c.booking, bookings.c.version == plans.c.version))
        .where(
            *present(record),
            bookings.c.state == record.life,
            plans.c.edition == record.edition,
            plans.c.content.is_not_distinct_from(record.content),
            plans.c.made == stamp(record.identity.made),
            # What waits at the desk may be prepared anew within the same second.
            *(() if record.state != "opened" else (plans.c.inputs.is_not_distinct_from(kept),)),
        )
    )
    return connection.execute(query).first() is not None


def _record_from(row: sa.RowMapping) -> PlanRecord:
    booking, plan = bookings.c, plans.c
    try:
        made = dt.datetime.fromisoformat(row[plan.made])
        dt.datetime.fromisoformat(row[booking.start])
        notice = None if row[plan.notice] is None else notice_from(row[plan.notice])
    except Damaged:
        raise bad() from None
    identity = Identity(row[booking.token], row[plan.code], row[plan.version], row[booking.call_number], made)
    return PlanRecord(
        id=row[booking.id],
        ref=row[booking.ref] or "",
        identity=identity,
        life=row[booking.state],
        state=row[plan.state],
        edition=row[plan.edition],
        start=row[booking.start],
        facts=row[plan.facts],
        content=row[plan.content],
        inputs=read_inputs(row[plan.inputs]),
        notice=notice,
        pending=read_inputs(row[booking.pending]),
    )


def read_inputs(text: str | None) -> Inputs | None:
    """The inputs as they were written; None where none were, or they were forgotten."""
    try:
        return None if text is None else inputs_from(text)
    except Damaged:
        raise bad() from None


def stamp(moment: dt.datetime) -> str:
    """A moment as the records keep it: UTC, whole seconds."""
    return moment.astimezone(dt.UTC).isoformat(timespec="seconds")
