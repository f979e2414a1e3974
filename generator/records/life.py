"""Life: a booking moves to another version, or a page takes its plan's place. Each is one compare-and-set."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import sqlalchemy as sa

from generator.errors import BadRecords
from generator.records import MADE, PlanRecord, Records, is_as_seen, present, read_inputs, stamp, trail
from generator.records.calls import CLOSING, Telling
from generator.records.calls import add as add_call
from generator.records.drawn import DRAWS, drawn_code
from generator.records.inputs import Inputs, NoticeInputs, Publication, dumped
from generator.records.tables import bookings, calls, decisions, plans, tries
from generator.records.tables import trail as trail_table


@dataclass(frozen=True, slots=True)
class Given:
    """One version that was given: its plan code, and what it was made from."""

    code: str
    inputs: Inputs | None


def since_told(records: Records, record: PlanRecord) -> list[Given]:
    """The versions since somebody last reached the patient by phone, that one first and the present one last.

    Where nobody has phoned yet, since the first: the patient was given it.
    """
    table = trail_table.c
    was_told = sa.and_(table.booking == record.id, table.action.in_([f"call:{one}" for one in CLOSING]))
    with records.change() as connection:
        told = connection.execute(sa.select(sa.func.max(table.version)).where(was_told)).scalar() or 1
        query = sa.select(plans.c.code, plans.c.inputs).where(
            plans.c.booking == record.id, plans.c.version >= told
        )
        found = connection.execute(query.order_by(plans.c.version)).all()
    return [Given(row.code, read_inputs(row.inputs)) for row in found]


def free_code(records: Records, record: PlanRecord) -> str:
    """A plan code that no version of this booking has had."""
    with records.change() as connection:
        query = sa.select(plans.c.code).where(plans.c.booking == record.id)
        taken = set(connection.execute(query).scalars())
    for _ in range(DRAWS):
        code = drawn_code()
        if code not in taken:
            return code
    raise BadRecords(
        "No free plan code was found for this booking.",
        remedy="Cancel this booking, and make a new one under another reference.",
    )


def advanced(
    records: Records,
    record: PlanRecord,
    code: str,
    made: dt.datetime,
    what: Publication,
    role: str,
    call: Telling,
) -> bool:
    """Writes the booking's next version, about to be put up; False, and nothing, if it was changed meanwhile."""
    version = record.identity.version + 1
    start = what.inputs.booking.start.isoformat()
    with records.change() as connection:
        if not is_as_seen(connection, record):
            return False
        connection.execute(
            sa.insert(plans).values(
                booking=record.id,
                version=version,
                code=code,
                made=stamp(made),
                edition=1,
                facts=what.facts,
                content=what.content,
                protocol_digest=what.protocol_digest,
                inputs=dumped(what.inputs),
                state="publishing",
            )
        )
        changed = dict(version=version, state=MADE, start=start, pending=None)
        connection.execute(sa.update(bookings).where(bookings.c.id == record.id).values(changed))
        trail.add(connection, made, record.id, version, call.why, role)
        add_call(connection, record.id, call, made)
    return True


def restated(
    records: Records, record: PlanRecord, what: Publication, now: dt.datetime, role: str, action: str
) -> bool:
    """Writes that a version is made from other inputs; False, and nothing, if it was changed meanwhile."""
    with records.change() as connection:
        if not is_as_seen(connection, record):
            return False
        new = dict(content=what.content, edition=record.edition + 1, inputs=dumped(what.inputs))
        new |= dict(protocol_digest=what.protocol_digest, state="publishing")
        connection.execute(sa.update(plans).where(*present(record)).values(new))
        trail.add(connection, now, record.id, record.identity.version, action, role)
    return True


def replaced(
    records: Records,
    record: PlanRecord,
    notice: NoticeInputs,
    content: str,
    role: str,
    at: dt.datetime,
    pending: Inputs | None = None,
    call: Telling | None = None,
) -> bool:
    """Writes that a notice is about to take the plan's place; False, and nothing, if it was changed meanwhile."""
    with records.change() as connection:
        if not is_as_seen(connection, record):
            return False
        new = dict(content=content, notice=dumped(notice), edition=record.edition + 1, state="publishing")
        connection.execute(sa.update(plans).where(*present(record)).values(new))
        waiting = None if pending is None else dumped(pending)
        connection.execute(
            sa.update(bookings)
            .where(bookings.c.id == record.id)
            .values(state=notice.what.value, pending=waiting)
        )
        trail.add(connection, at, record.id, record.identity.version, notice.what.value, role)
        if call is not None:
            add_call(connection, record.id, call, at)
    return True


def forget(records: Records, record: PlanRecord, now: dt.datetime) -> None:
    """Removes all of a booking that says anything of the patient: reference, inputs, decisions, calls.

    Token, codes and trail stay, so that no token is ever given out twice.
    """
    with records.change() as connection:
        its_calls = sa.select(calls.c.id).where(calls.c.booking == record.id)
        connection.execute(sa.delete(tries).where(tries.c.call.in_(its_calls)))
        connection.execute(sa.delete(calls).where(calls.c.booking == record.id))
        if record.ref:
            connection.execute(sa.delete(decisions).where(decisions.c.ref == record.ref))
        connection.execute(sa.update(plans).where(plans.c.booking == record.id).values(inputs=None))
        earlier = sa.and_(plans.c.booking == record.id, plans.c.version != record.identity.version)
        connection.execute(sa.update(plans).where(earlier).values(notice=None))
        nothing = dict(ref=None, pending=None)
        connection.execute(sa.update(bookings).where(bookings.c.id == record.id).values(nothing))
        trail.add(connection, now, record.id, record.identity.version, "forgotten")
