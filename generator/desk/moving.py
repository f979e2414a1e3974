"""Moving: an appointment that changes. Either the new plan takes the old one's place, or nobody follows the old one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import replace

from generator.clinic.booking import Booking, Clearance
from generator.desk.answers import Answers, answer_findings, answered
from generator.desk.decisions import ASKING_KIND
from generator.desk.exchange import (
    RELEASING,
    advanced,
    between,
    exchanged,
    lasting,
    open_decisions,
    still_settled,
)
from generator.desk.given import former_timetable, notice_of
from generator.desk.mending import in_step
from generator.desk.objections import life_findings, protocol_findings
from generator.desk.publishing import Made, changed_meanwhile, take_down
from generator.desk.rendering import Desk
from generator.desk.telling import telling
from generator.finding import Finding, refusal
from generator.page.life import Life
from generator.records import PlanRecord
from generator.records.inputs import Inputs


def known_record(desk: Desk, ref: str) -> PlanRecord | Made:
    """A booking that somebody has a link of, or what there is to say instead."""
    record = in_step(desk, ref)
    if record is None or not record.was_given or record.inputs is None:
        problem = "No plan was given under that reference."
        return Made(None, (refusal("booking-unknown", ref, problem, "Look it up: daybefore list"),))
    if desk.seen is not None and desk.seen != record.seen:
        return Made(None, (changed_meanwhile(ref),))
    if record.life in (Life.ENDED, Life.FAREWELL):
        problem = "This appointment is over; nothing was changed."
        remedy = "Give a new appointment a reference of its own."
        return Made(None, (refusal("booking-over", ref, problem, remedy),))
    return record


def move(desk: Desk, ref: str, changed: Mapping[str, object], role: str) -> Made:
    """Gives a booking another start, protocol or way. Doing it again changes nothing.

    What cannot be published at once (not plannable, a word missing, a decision open, preparation begun) takes
    the old plan down all the same: the page says that the appointment has changed, and a nurse releases it.

    Args:
        changed: fields of the booking, for instance `start`.
    """
    record = known_record(desk, ref)
    if isinstance(record, Made):
        return record
    if record.life == Life.CANCELLED and "start" not in changed:
        return Made(None, tuple(life_findings(record)))
    return exchanged(desk, record, moved(record, changed), role, "moved")


def moved(record: PlanRecord, changed: Mapping[str, object]) -> Inputs:
    """What the plan of a booking is to be made from once these fields are others."""
    base = record.pending or record.inputs
    assert base is not None, "a known record has inputs"
    booking: Booking = replace(base.booking, **changed)  # type: ignore[arg-type]
    if booking.protocol != base.booking.protocol:
        # The patient was cleared, and a factor's question answered, for the other medicine.
        booking = replace(booking, cleared=None, agreed=())
    return Inputs(booking, settled=still_settled(base, booking), at_desk=True)


def change(desk: Desk, ref: str, answers: Answers, role: str) -> Made:
    """Gives a plan other answers about the patient and their medicines. Doing it again changes nothing.

    A clerk may only raise a factor, a class of medicine or the sedation: the plan is then held until a nurse has
    decided. What was begun is still begun.
    """
    record = known_record(desk, ref)
    if isinstance(record, Made):
        return record
    if record.life == Life.CANCELLED:
        return Made(None, tuple(life_findings(record)))
    if role not in RELEASING and answers.choose:
        problem = "Only a nurse or a doctor chooses about a patient's medicine."
        remedy = "Ask one of them to do it. What the patient told you may be raised: --factor."
        return Made(None, (refusal("role-may-not", ref, problem, remedy),))
    base = record.pending or record.inputs
    assert base is not None, "a known record has inputs"
    if faults := answer_findings(base.booking, answers, desk.folder.stated):
        return Made(None, tuple(faults))
    return exchanged(desk, record, changed_by(desk, base, answers, role), role, "changed")


def changed_by(desk: Desk, base: Inputs, answers: Answers, role: str) -> Inputs:
    """What a plan is to be made from once these answers hold."""
    booking = answered(base.booking, answers, desk.folder.stated)
    if {*booking.factors, *booking.medicines} - {*base.booking.factors, *base.booking.medicines}:
        booking = replace(booking, cleared=None)  # whoever cleared the patient did not know of it
    if answers.cleared:
        booking = replace(booking, cleared=Clearance(role, desk.now.date()))
    decided = (*answers.decided, *(f"{ASKING_KIND}:{factor}" for factor in answers.agreed))
    settled = tuple(sorted({*still_settled(base, booking), *decided}))
    return Inputs(booking, base.begun, settled, at_desk=True)


def hold(desk: Desk, ref: str, role: str) -> Made:
    """Takes a plan down until a nurse releases it: its times are no longer to be followed. Never refused."""
    return called_off(desk, ref, Life.HELD, role)


def called_off(desk: Desk, ref: str, what: Life, role: str) -> Made:
    """Puts a notice in a plan's place, and the patient on the call list. Doing it again changes nothing."""
    record = known_record(desk, ref)
    if isinstance(record, Made):
        return record
    if record.life == what:
        return Made(record.identity.link(desk.base_url), ())
    if record.life == Life.CANCELLED:  # no plan is up, and none is to wait for a release
        return Made(None, tuple(life_findings(record)))
    old = former_timetable(record)
    call = telling(desk, record, what.value)
    return take_down(desk, record, notice_of(desk, record, what, old), [], role, call=call)


def release(
    desk: Desk,
    ref: str,
    role: str,
    begun: Mapping[str, dt.datetime],
    decided: Collection[str],
    *,
    cleared: bool = False,
) -> Made:
    """Publishes the plan that waits behind a held page, after a nurse has spoken with the patient.

    Args:
        begun: row id -> when the patient began it, as told on the phone.
        decided: kinds of finding about which the nurse has decided.
        cleared: the nurse has checked that this patient may take this protocol's medicine.
    """
    record = known_record(desk, ref)
    if isinstance(record, Made):
        return record
    if role not in RELEASING:
        problem = "Only a nurse or a doctor releases a plan."
        return Made(None, (refusal("role-may-not", ref, problem, "Ask one of them to do it."),))
    if record.life != Life.HELD:
        problem = "This booking is not held."
        return Made(None, (refusal("not-held", ref, problem, "Look it up: daybefore list"),))
    assert record.inputs is not None, "a known record has inputs"
    waiting = record.pending or record.inputs
    if faults := protocol_findings(desk, waiting.booking) or _begun_findings(desk, waiting.booking, begun):
        return Made(None, tuple(faults))
    settled = tuple(sorted({*lasting(waiting.settled), *decided}))
    inputs = replace(waiting, begun={**waiting.begun, **begun}, settled=settled, at_desk=True)
    if cleared:
        clearance = Clearance(role, desk.now.date())
        inputs = replace(inputs, booking=replace(inputs.booking, cleared=clearance))
    step = between(desk, record, inputs)
    waits = open_decisions(step, settled)
    if step.is_refused or waits:
        return Made(None, (*step.findings, *waits))
    return advanced(desk, record, step, inputs, role, "released")


def _begun_findings(desk: Desk, booking: Booking, begun: Collection[str]) -> list[Finding]:
    """Steps that the plan to be released does not have."""
    rows = [row.id for row in desk.folder.regimens[booking.protocol].rows]
    return [
        refusal(
            "row-unknown",
            booking.ref,
            f"The plan that waits has no step “{name}”: nothing in it can count from that.",
            f"Use --begun with one of: {', '.join(rows)}; or leave it out and decide with the patient.",
        )
        for name in begun
        if name not in rows
    ]
