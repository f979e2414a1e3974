"""Mending: where a command broke off, the page is brought in step with the records."""

from __future__ import annotations

from generator.desk.given import former_timetable, notice_of
from generator.desk.publishing import Made, put_up, take_down
from generator.desk.rendering import Desk, notice_booklet, plan_booklet, timetable_of
from generator.desk.telling import telling
from generator.finding import warning
from generator.page.booklet import Booklet
from generator.page.life import Life
from generator.plan.timetable import Timetable
from generator.records import MADE, PlanRecord, life


def in_step(desk: Desk, ref: str) -> PlanRecord | None:
    """The booking as it stands, once what a command began and broke off is finished: nothing is done on half a change.

    A first plan that never came up is left as it is: nobody has it, and the next build makes it.
    """
    record = desk.records.find(ref)
    if record is None or record.state != "publishing":
        return record
    if not record.was_given and desk.shelf.content(record.identity.token) != record.content:
        return record
    mended(desk, record)
    return desk.records.find(ref)


def mended(desk: Desk, record: PlanRecord) -> Made | None:
    """Makes the page what the records say of it, or takes it down where today's files make another plan.

    Returns:
        What was done; None if nothing was amiss, or nobody was given the plan and none is up.
    """
    if record.content is None:
        return None
    with desk.shelf.turn():
        record = desk.records.again(record)  # another command may have been at work on it
        up = desk.shelf.content(record.identity.token)
        whole = up == record.content or _put_again(desk, record)
        if whole and record.state != "published":
            desk.records.published([(record, record.content or "")])
    if not whole and not up and not record.was_given:
        return None
    made = Made(record.identity.link(desk.base_url), ()) if whole else _taken_down(desk, record)
    unforgotten = record.life == Life.FAREWELL and record.ref != ""
    if unforgotten and made.link:
        life.forget(desk.records, record, desk.now)
    as_it_should_be = up == record.content and record.state == "published" and not unforgotten
    return None if as_it_should_be else made


def _put_again(desk: Desk, record: PlanRecord) -> bool:
    """Puts up the very booklet that the records speak of; False where today's files make another of it."""
    booklet = _as_recorded(desk, record)
    if booklet is None or booklet.digest != record.content:
        return False
    put_up(desk, [(record, booklet)])
    return True


def _as_recorded(desk: Desk, record: PlanRecord) -> Booklet | None:
    if record.life != MADE:
        return None if record.notice is None else notice_booklet(desk, record.notice, record.identity)
    made = made_again(desk, record)
    return None if made is None else made[0]


def _taken_down(desk: Desk, record: PlanRecord) -> Made:
    """The notice that the records speak of, in today's words; in the place of a plan, that it is held."""
    if record.life != MADE and record.notice is not None:
        return take_down(desk, record, record.notice, [], "repair", record.pending)
    old = former_timetable(record)
    told = warning(
        "plan-held",
        record.ref,
        "This plan cannot be made again from the unit's files as they are now; its page says to call.",
        "Phone the patient now (daybefore calls), then: daybefore release --ref …",
    )
    call = telling(desk, record, "held")
    return take_down(desk, record, notice_of(desk, record, Life.HELD, old), [told], "repair", call=call)


def made_again(desk: Desk, record: PlanRecord) -> tuple[Booklet, Timetable] | None:
    """A version's plan from today's files; None where they allow none."""
    if record.inputs is None:
        return None
    try:
        timetable = timetable_of(desk, record.inputs, record.identity.made)
        if not timetable.steps:
            return None
        return plan_booklet(desk, record.inputs, record.identity, timetable), timetable
    except KeyError:  # a protocol, instruction or language that the unit has no more
        return None
