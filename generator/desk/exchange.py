"""Exchange: another plan in the place of one that was given. Either it is put up, or nobody follows the old one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from generator.clinic.booking import Booking
from generator.desk.answers import medicine_of
from generator.desk.decisions import ASKING_KIND, INSTRUCTION_KIND
from generator.desk.given import begun_by, former_timetable, news, notice_of
from generator.desk.objections import food_findings, is_refused, permission_findings, wording_findings
from generator.desk.publishing import Made, advance, restate, take_down
from generator.desk.rendering import Desk, plan_booklet, replaced_by, timetable_of
from generator.desk.telling import telling
from generator.finding import Finding, note, warning
from generator.page.life import Life
from generator.plan.change import Change, change_findings, changes_between
from generator.plan.timetable import Timetable
from generator.records import MADE, PlanRecord
from generator.records.inputs import Inputs

RELEASING = ("nurse", "doctor", "lead")  # a clerk prepares, a clinician releases and chooses medicine
_OF_ONE_CHANGE = ("preparation-", "new-time-passed", "short-notice", "begun-", "instruction-shifted")
_OF_THESE_TIMES = ("no-time-for-medicines",)


@dataclass(frozen=True, slots=True)
class Between:
    """A booking between two plans: what it was, what it would be, and what a person must know of the difference.

    Attributes:
        old: the plan that was given, None where it cannot be worked out any more.
        new: the plan that would take its place, None where the unit has no such protocol.
        begun: steps of the old plan by which the patient may have begun: medicine, or a medicine stopped.
        findings: all that was found; those that ask for a decision keep the new plan from taking its place.
        asking: factors whose question, answered with yes, would change the new plan.
    """

    old: Timetable | None
    new: Timetable | None
    changes: tuple[Change, ...]
    begun: tuple[str, ...]
    findings: tuple[Finding, ...]
    asking: tuple[str, ...] = ()

    @property
    def is_refused(self) -> bool:
        """Whether the new plan cannot be."""
        return is_refused([*self.findings])


def exchanged(desk: Desk, record: PlanRecord, inputs: Inputs, role: str, why: str) -> Made:
    """Puts the plan of these inputs in the given one's place; where it cannot be at once, the old one is taken down.

    Args:
        why: “moved” or “changed”, for the call list and the trail.
    """
    base = record.pending or record.inputs
    assert base is not None, "a known record has inputs"
    if inputs.booking == base.booking and record.life in (MADE, Life.HELD):
        told = note("nothing-changed", record.ref, "The booking is as it was.", "Nothing needs to be done.")
        return Made(record.identity.link(desk.base_url), (told,))
    step = between(desk, record, inputs)
    if role not in RELEASING and medicine_of(inputs.booking) != medicine_of(base.booking):
        step = replace(step, findings=(*step.findings, _for_a_clinician(record)))
        return _held(desk, record, step, inputs, role, why)
    if record.life == Life.HELD or step.is_refused:
        return _held(desk, record, step, inputs, role, why)
    undecided = [one.where for one in open_decisions(step, inputs.settled)]
    # Where the page stays as it is, it matters to nobody what was begun by it.
    same = None if lasting(undecided) else _restated(desk, record, inputs, role, why)
    if same is not None:
        return same
    if undecided or step.begun:
        return _held(desk, record, step, inputs, role, why)
    made = advanced(desk, record, step, inputs, role, why)
    if made.link is None and not _was_quicker(made):
        return _held(desk, record, replace(step, findings=made.findings), inputs, role, why)
    return made


def _for_a_clinician(record: PlanRecord) -> Finding:
    return warning(
        "nurse-decides",
        record.ref,
        "What was stated bears on the patient's medicine, and no nurse or doctor has decided about it yet.",
        "A nurse or doctor looks into it; what they choose: daybefore change --ref …",
    )


def still_settled(base: Inputs, booking: Booking) -> tuple[str, ...]:
    """The decisions about the present booking that hold for another one as well.

    What was decided about one change says nothing about the next, about a factor nothing where it is raised anew or
    the protocol is another, about these times nothing at other times.
    """
    old = base.booking
    anew = {*booking.factors, *booking.medicines} - {*old.factors, *old.medicines}
    other_protocol = booking.protocol != old.protocol
    void = (
        *(("factor-",) if other_protocol else ()),
        *(() if _same_times(old, booking) else _OF_THESE_TIMES),
    )
    return tuple(
        kind
        for kind in lasting(base.settled)
        if kind.partition(":")[2] not in anew and not kind.startswith(void)
    )


def _same_times(old: Booking, new: Booking) -> bool:
    return all(
        getattr(old, name) == getattr(new, name)
        for name in ("start", "protocol", "arrival", "travel_minutes", "pick_up", "agreed", "sedation")
    )


def lasting(settled: Iterable[str]) -> tuple[str, ...]:
    """The decisions that hold for the patient, not for one change alone."""
    return tuple(kind for kind in settled if not kind.startswith(_OF_ONE_CHANGE))


def between(desk: Desk, record: PlanRecord, inputs: Inputs) -> Between:
    """What the change would mean, worked out for this moment."""
    booking, stated = inputs.booking, desk.folder.stated
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
    asking = tuple(
        one for one in booking.factors if one in stated.factors and stated.factors[one].changes_rows
    )
    return Between(old, new, changes, begun, tuple(found), asking)


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


def open_decisions(step: Between, settled: Collection[str]) -> list[Finding]:
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
            _to_record(kind, step),
        )
        for kind in kinds
    ]


def _to_record(kind: str, step: Between) -> str:
    """How the decision is recorded; where yes adds something to the plan, yes and no are two things to say."""
    factor = kind.removeprefix(f"{ASKING_KIND}:")
    no = f"daybefore release --ref … --decided {kind}"
    if factor == kind or factor not in step.asking:
        return f"When it is decided with the patient: {no}"
    return f"When it is decided with the patient: if yes, daybefore change --ref … --agreed {factor}; if no, {no}"


def _held(desk: Desk, record: PlanRecord, step: Between, inputs: Inputs, role: str, why: str) -> Made:
    """The old plan down, the new one kept until a nurse releases it."""
    known = step.new if step.new and step.new.steps else None
    notice = notice_of(desk, record, Life.HELD, step.old, known)
    unanswered = [one.kind for one in step.findings if one.kind.startswith(f"{INSTRUCTION_KIND}:")]
    answer = (
        " record the answer (daybefore change --ref … --instruction … or --call-first …),"
        if unanswered
        else ""
    )
    told = warning(
        "plan-held",
        record.ref,
        "The old plan is no longer shown; the page says that the appointment has changed, and to call.",
        f"Phone the patient now (daybefore calls),{answer} then: daybefore release --ref …",
    )
    # What refuses the new plan has not refused the taking down of the old one.
    softened = [
        warning(one.kind, one.where, one.problem, one.remedy) if is_refused([one]) else one
        for one in step.findings
    ]
    call = telling(desk, record, f"{why}-held", known, inputs.booking)
    found = [*softened, *open_decisions(step, inputs.settled), told]
    return take_down(desk, record, notice, found, role, pending=inputs, call=call)


def advanced(desk: Desk, record: PlanRecord, step: Between, inputs: Inputs, role: str, why: str) -> Made:
    """The booking's next version, and the patient on the call list."""
    assert step.new is not None, "without a protocol it was refused"
    call = telling(desk, record, why, step.new, inputs.booking)
    # A plan made again is reckoned from when it was made, and so finds the same.
    inputs = replace(inputs, replaces=replaced_by(desk, record, step.old)).with_given(step.new)
    found = [finding for finding in step.findings if not is_refused([finding])]
    return advance(desk, record, inputs, step.new, found, role, call)


def _restated(desk: Desk, record: PlanRecord, inputs: Inputs, role: str, why: str) -> Made | None:
    """The same version, where the patient's page says the same of it: nobody is told. None where it does not."""
    if record.life != MADE or record.inputs is None:
        return None
    timetable = timetable_of(desk, inputs, record.identity.made)
    if not timetable.steps:
        return None
    same = replace(inputs, replaces=record.inputs.replaces).with_given(timetable)
    booklet = plan_booklet(desk, same, record.identity, timetable)
    if booklet.facts != record.facts or is_refused(wording_findings(desk, booklet, given=True)):
        return None
    told = note(
        "same-for-patient",
        record.ref,
        "It is recorded; the patient's page says the same as before, with the same plan code.",
        "Nothing needs to be done.",
    )
    return restate(desk, record, booklet, same, [told], role, why)


def _was_quicker(made: Made) -> bool:
    return any(finding.kind == "changed-meanwhile" for finding in made.findings)
