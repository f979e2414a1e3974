"""Moving: an appointment that changes. Either the new plan takes the old one's place, or nobody follows the old one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from generator.clinic.booking import Booking, Clearance
from generator.desk.given import begun_by, former_timetable, news, notice_of
from generator.desk.mending import in_step
from generator.desk.objections import food_findings, is_refused, permission_findings, protocol_findings
from generator.desk.publishing import Made, advance, take_down
from generator.desk.rendering import Desk, replaced_by, timetable_of
from generator.desk.telling import telling
from generator.finding import Finding, note, refusal, warning
from generator.page.life import Life
from generator.plan.change import Change, change_findings, changes_between
from generator.plan.timetable import Timetable
from generator.records import MADE, PlanRecord
from generator.records.inputs import Inputs

RELEASING = ("nurse", "doctor", "lead")  # a clerk prepares, a clinician releases
_OF_ONE_CHANGE = ("preparation-", "new-time-passed", "short-notice", "begun-", "instruction-shifted")


@dataclass(frozen=True, slots=True)
class Between:
    """A booking between two plans: what it was, what it would be, and what a person must know of the difference.

    Attributes:
        old: the plan that was given, None where it cannot be worked out any more.
        new: the plan that would take its place, None where the unit has no such protocol.
        begun: steps of the old plan by which the patient may have begun: medicine, or a medicine stopped.
        findings: all that was found; those that ask for a decision keep the new plan from taking its place.
    """

    old: Timetable | None
    new: Timetable | None
    changes: tuple[Change, ...]
    begun: tuple[str, ...]
    findings: tuple[Finding, ...]


def known_record(desk: Desk, ref: str) -> PlanRecord | Made:
    """A booking that somebody has a link of, or what there is to say instead."""
    record = in_step(desk, ref)
    if record is None or not record.was_given or record.inputs is None:
        problem = "No plan was given under that reference."
        return Made(None, (refusal("booking-unknown", ref, problem, "Look it up: daybefore list"),))
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
    assert record.inputs is not None, "a known record has inputs"
    base = record.pending or record.inputs
    booking: Booking = replace(base.booking, **changed)  # type: ignore[arg-type]
    if booking.protocol != base.booking.protocol:
        booking = replace(booking, cleared=None)  # the patient was cleared for the other medicine
    if booking == base.booking and record.life in (MADE, Life.HELD):
        told = note("nothing-changed", ref, "The booking is as it was.", "Nothing needs to be done.")
        return Made(record.identity.link(desk.base_url), (told,))
    inputs = Inputs(booking, settled=lasting(record.inputs.settled))
    step = _step(desk, record, inputs)
    if record.life == Life.HELD or step.begun or is_refused([*step.findings]) or _open(step, inputs.settled):
        return _held(desk, record, step, inputs, role)
    made = _advanced(desk, record, step, inputs, role)
    if made.link is None and not _was_quicker(made):
        return _held(desk, record, replace(step, findings=made.findings), inputs, role)
    return made


def lasting(settled: Iterable[str]) -> tuple[str, ...]:
    """The decisions that hold for the patient: what was decided about one change says nothing about the next."""
    return tuple(kind for kind in settled if not kind.startswith(_OF_ONE_CHANGE))


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
    old = former_timetable(record)
    call = telling(desk, record, what.value, old, None)
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
    if unknown := protocol_findings(desk, waiting.booking):
        return Made(None, tuple(unknown))
    rows = [row.id for row in desk.folder.regimens[waiting.booking.protocol].rows]
    strange = [name for name in begun if name not in rows]
    if strange:
        problem = f"The plan that waits has no step “{strange[0]}”: nothing in it can count from that."
        remedy = f"Use --begun with one of: {', '.join(rows)}; or leave it out and decide with the patient."
        return Made(None, (refusal("row-unknown", ref, problem, remedy),))
    settled = tuple(sorted({*lasting(waiting.settled), *decided}))
    inputs = replace(waiting, begun={**waiting.begun, **begun}, settled=settled)
    if cleared:
        clearance = Clearance(role, desk.now.date())
        inputs = replace(inputs, booking=replace(inputs.booking, cleared=clearance))
    step = _step(desk, record, inputs)
    waits = _open(step, settled)
    if is_refused([*step.findings]) or waits:
        return Made(None, (*step.findings, *waits))
    return _advanced(desk, record, step, inputs, role)


def _step(desk: Desk, record: PlanRecord, inputs: Inputs) -> Between:
    """What the change would mean, worked out for this moment."""
    booking = inputs.booking
    old = former_timetable(record)
    begun = begun_by(old, desk.now)
    stops = permission_findings(desk, booking, given=False)
    if booking.protocol not in desk.folder.regimens:
        return Between(old, None, (), begun, tuple(stops))
    new = timetable_of(desk, inputs, desk.now)
    changes = changes_between(old, new, desk.now) if old else ()
    found = [*stops, *news(new, changes), *food_findings(desk, new)]
    if old:
        found += change_findings(old, changes)
        found += _twice(old, new, begun, desk.now)
    return Between(old, new, changes, begun, tuple(found))


def _twice(old: Timetable, new: Timetable, begun: tuple[str, ...], now: dt.datetime) -> list[Finding]:
    """A move by a day or more after the patient may have begun: nobody fasts, or takes the medicine, twice unasked."""
    fasting = [step.id for step in old.steps if step.kind == "clear-fluids" and step.start <= now]
    if not (begun or fasting) or new.procedure.date() <= old.procedure.date():
        return []
    return [
        warning(
            "preparation-twice",
            ", ".join((*begun, *fasting)),
            "The appointment moves to a later day, and the patient may have begun: the new plan would ask for "
            "another day of clear drinks, and for all of the medicine again.",
            "A nurse or doctor decides with the patient: eat normally until the new plan begins, with a new "
            "preparation to collect, or another appointment.",
            decision=True,
        )
    ]


def _open(step: Between, settled: Collection[str]) -> list[Finding]:
    """The decisions that a person has still to make. Days of a medicine that only shift are told, not decided."""
    kinds = dict.fromkeys(
        finding.kind
        for finding in step.findings
        if finding.decision
        and finding.kind not in settled
        and not finding.kind.startswith("instruction-shifted")
    )
    return [
        note(
            "decision-needed",
            kind,
            f"A nurse or doctor decides first about “{kind}”.",
            f"When it is decided with the patient: daybefore release --ref … --decided {kind}",
        )
        for kind in kinds
    ]


def _held(desk: Desk, record: PlanRecord, step: Between, inputs: Inputs, role: str) -> Made:
    """The old plan down, the new appointment kept until a nurse releases it."""
    known = step.new if step.new and step.new.steps else None
    notice = notice_of(desk, record, Life.HELD, step.old, known)
    told = warning(
        "plan-held",
        record.ref,
        "The old plan is no longer shown; the page says that the appointment has changed, and to call.",
        "Phone the patient now (daybefore calls), then: daybefore release --ref …",
    )
    # What refuses the new plan has not refused the taking down of the old one.
    softened = [
        warning(one.kind, one.where, one.problem, one.remedy) if is_refused([one]) else one
        for one in step.findings
    ]
    call = telling(desk, record, "moved-held", step.old, known, step.changes if known else ())
    return take_down(
        desk, record, notice, [*softened, *_open(step, inputs.settled), told], role, pending=inputs, call=call
    )


def _advanced(desk: Desk, record: PlanRecord, step: Between, inputs: Inputs, role: str) -> Made:
    assert step.new is not None, "without a protocol it was refused"
    call = telling(desk, record, "moved", step.old, step.new, step.changes)
    # A plan made again is reckoned from when it was made, and so finds the same.
    inputs = replace(inputs, replaces=replaced_by(desk, record, step.old)).with_given(step.new)
    found = [finding for finding in step.findings if not is_refused([finding])]
    return advance(desk, record, inputs, step.new, found, role, call)


def _was_quicker(made: Made) -> bool:
    return any(finding.kind == "changed-meanwhile" for finding in made.findings)
