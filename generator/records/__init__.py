"""Records: which booking has which token, call number, version, code and made-at; and what people decided.

The one place with a database (SQLAlchemy Core) and with random numbers. Every change is compare-and-set.
A booking's reference may identify a person: no error that leaves this module holds a value.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from generator.errors import BadRecords
from generator.page.plan import Identity
from generator.records.drawn import DRAWS, drawn_call_number, drawn_code, drawn_token
from generator.records.tables import begin, bookings, decisions, metadata, plans, prepare
from generator.records.trouble import bad, told

_WAIT = 30.0  # seconds for another command


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

    def close(self) -> None:
        """Lets go of the file."""
        self._engine.dispose()

    @contextmanager
    def _change(self) -> Iterator[sa.Connection]:
        with told(), self._engine.begin() as connection:
            yield connection

    def find(self, ref: str) -> PlanRecord | None:
        """The booking's present version, or None when it has no link yet."""
        present = sa.and_(plans.c.ref == bookings.c.ref, plans.c.version == bookings.c.version)
        query = sa.select(bookings, plans).join(plans, present).where(bookings.c.ref == ref)
        with self._change() as connection:
            row = connection.execute(query).mappings().first()
        return None if row is None else _record_from(row)

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
                connection.execute(
                    sa.insert(bookings).values(
                        ref=ref,
                        token=drawn_token(),
                        call_number=drawn_call_number(),
                        state="made",
                        version=1,
                        start=start.isoformat(),
                    )
                )
                connection.execute(
                    sa.insert(plans).values(
                        ref=ref, version=1, code=drawn_code(), made=_stamp(now), edition=1, state="opened"
                    )
                )
        raise BadRecords(
            "No free call number was found for this booking.",
            remedy="Run this command again; if it says the same, restore the last copy of records.sqlite.",
        )

    def _made_anew(self, record: PlanRecord, start: dt.datetime, now: dt.datetime) -> PlanRecord:
        with self._change() as connection:
            connection.execute(
                sa.update(bookings).where(bookings.c.ref == record.ref).values(start=start.isoformat())
            )
            connection.execute(
                sa.update(plans)
                .where(plans.c.ref == record.ref, plans.c.version == record.identity.version)
                .values(made=_stamp(now))
            )
        return self.find(record.ref) or record

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
                sa.update(plans)
                .where(
                    plans.c.ref == record.ref,
                    plans.c.version == record.identity.version,
                    plans.c.edition == record.edition,
                    plans.c.content.is_not_distinct_from(record.content),
                    plans.c.made == _stamp(record.identity.made),
                )
                .values(new)
            )
        return done.rowcount == 1

    def published(self, record: PlanRecord) -> None:
        """Writes that the shelf holds this version."""
        with self._change() as connection:
            connection.execute(
                sa.update(plans)
                .where(plans.c.ref == record.ref, plans.c.version == record.identity.version)
                .values(state="published")
            )

    def decide(self, decision: Decision, now: dt.datetime) -> None:
        """Records what a person decided; a later decision on the same finding takes its place."""
        keys = {"ref": decision.ref, "row_digest": decision.row_digest, "kind": decision.kind}
        with self._change() as connection:
            connection.execute(sa.delete(decisions).filter_by(**keys))
            values = {**keys, "choice": decision.choice, "role": decision.role, "at": _stamp(now)}
            connection.execute(sa.insert(decisions).values(values))

    def decisions(self, ref: str, row_digest: str) -> dict[str, str]:
        """Kind of finding -> choice, for a row as it stands."""
        query = sa.select(decisions.c.kind, decisions.c.choice).filter_by(ref=ref, row_digest=row_digest)
        with self._change() as connection:
            return {kind: choice for kind, choice in connection.execute(query)}


def _record_from(row: sa.RowMapping) -> PlanRecord:
    booking, plan = bookings.c, plans.c
    try:
        made = dt.datetime.fromisoformat(row[plan.made])
        dt.datetime.fromisoformat(row[booking.start])
    except (TypeError, ValueError):
        raise bad() from None
    identity = Identity(row[booking.token], row[plan.code], row[plan.version], row[booking.call_number], made)
    rest = (plan.state, plan.edition, booking.start, plan.facts, plan.content)
    return PlanRecord(row[booking.ref], identity, *(row[column] for column in rest))


def _stamp(moment: dt.datetime) -> str:
    return moment.astimezone(dt.UTC).isoformat(timespec="seconds")
