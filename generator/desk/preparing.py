"""Preparing: a booking waits at the desk until a nurse or doctor has cleared the patient; only then is there a link."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from generator.clinic.booking import Booking, Clearance
from generator.desk.answers import Answers, answer_findings, answered
from generator.desk.decisions import ASKING_KIND, INSTRUCTION_KIND
from generator.desk.exchange import RELEASING, still_settled
from generator.desk.making import ready_from
from generator.desk.mending import in_step
from generator.desk.objections import food_findings, is_refused, permission_findings, wording_findings
from generator.desk.publishing import Made, changed_meanwhile, publish
from generator.desk.questions import Question, answers_from, questions_about
from generator.desk.rendering import Desk, plan_booklet, timetable_of
from generator.finding import Finding, refusal
from generator.page.plan import Identity
from generator.plan.timetable import Timetable
from generator.records import NOT_CLEARED, PlanRecord, prepared
from generator.records.inputs import Inputs

# A reference is typed by hand, and a name must not be: at least one digit, and few signs beside letters.
_REF = re.compile(r"(?=.*[0-9])[A-Za-z0-9][A-Za-z0-9 ._-]{0,31}")


@dataclass(frozen=True, slots=True)
class Look:
    """What a booking would be made into, as things stand.

    Attributes:
        timetable: None where the unit has no such protocol.
        findings: all that was found, but that nobody has cleared the patient yet.
        questions: what a nurse or doctor decides before there can be a plan.
        tentative: nobody has said yet what becomes of a medicine; the times are those with the line “call first”.
    """

    timetable: Timetable | None
    findings: tuple[Finding, ...]
    questions: tuple[Question, ...]
    tentative: bool = False

    @property
    def is_refused(self) -> bool:
        """Whether something stands against the plan that no answer to the questions would mend."""
        asked = {question.kind for question in self.questions}
        return is_refused([one for one in self.findings if one.kind not in asked])


def looked_at(desk: Desk, inputs: Inputs, *, words: bool = True) -> Look:
    """The timetable of a booking and everything that would stand against its plan; writes nothing.

    Args:
        words: also ask whether every sentence is there and reviewed, for which its pages are made.
    """
    booking = inputs.booking
    found = [one for one in permission_findings(desk, booking, given=False) if one.kind != NOT_CLEARED]
    if booking.protocol not in desk.folder.regimens:
        return Look(None, tuple(found), ())
    timetable = timetable_of(desk, inputs, desk.now)
    found += timetable.findings
    unanswered = [one.where for one in found if one.kind.startswith(f"{INSTRUCTION_KIND}:")]
    if unanswered:
        call_first = replace(booking, call_first=(*booking.call_first, *unanswered))
        timetable = timetable_of(desk, replace(inputs, booking=call_first), desk.now)
        found += [one for one in timetable.findings if one not in found]
    found += food_findings(desk, timetable)
    if words and timetable.steps and not is_refused(found):
        identity = Identity("-" * 26, "001", 1, "000000", desk.now)
        found += wording_findings(desk, plan_booklet(desk, inputs, identity, timetable), given=False)
    asked = questions_about(found, inputs.settled, desk.folder)
    return Look(timetable, tuple(found), tuple(asked), tentative=bool(unanswered))


def ref_findings(ref: str) -> list[Finding]:
    """What is wrong with a reference that somebody typed; it is not repeated."""
    if _REF.fullmatch(ref):
        return []
    problem = (
        "The reference is empty, has no digit, is longer than 32, or holds a sign that none of yours should."
    )
    remedy = (
        "Type the appointment's reference as it stands in your booking system: letters, digits, spaces, “.”, “_”, "
        "“-”. No name."
    )
    return [refusal("ref-invalid", "reference", problem, remedy)]


def prepare(desk: Desk, booking: Booking, role: str, *, new: bool) -> Made:
    """Puts a booking on the desk, or other details in the place of those that wait there.

    What was decided about it holds as far as it is still about the same; nobody is cleared by it.

    Args:
        new: nothing may be known under this reference yet.

    Returns:
        Without a link, for there is none yet; with no findings where it was done.
    """
    if faults := ref_findings(booking.ref):
        return Made(None, tuple(faults))
    known = in_step(desk, booking.ref)
    if known is not None and (known.was_given or (new and known.is_prepared)):
        return Made(None, (_known_already(known),))
    if known is None or not known.is_prepared:
        record = desk.records.open(booking.ref, booking.start, desk.now)
        inputs = Inputs(booking, at_desk=True)
    else:
        if faults := as_seen_findings(desk, known):
            return Made(None, tuple(faults))
        assert known.inputs is not None, "a prepared record has inputs"
        record, before = known, known.inputs
        inputs = Inputs(booking, settled=still_settled(before, booking), at_desk=True)
    if record.was_given or (new and record.is_prepared):
        return Made(None, (_known_already(record),))
    if not prepared.prepare(desk.records, record, inputs, desk.now, role):
        return Made(None, (changed_meanwhile(booking.ref),))
    return Made(None, ())


def as_seen_findings(desk: Desk, record: PlanRecord) -> list[Finding]:
    """That the booking is another than the one the person looked at when they decided."""
    if desk.seen is None or desk.seen == record.seen:
        return []
    return [changed_meanwhile(record.ref)]


def with_answers(desk: Desk, inputs: Inputs, answers: Answers) -> Inputs:
    """What a booking is made from once these answers hold."""
    booking = answered(inputs.booking, answers, desk.folder.stated)
    decided = (*answers.decided, *(f"{ASKING_KIND}:{factor}" for factor in answers.agreed))
    settled = tuple(sorted({*still_settled(inputs, booking), *decided}))
    return replace(inputs, booking=booking, settled=settled, at_desk=True)


def asked_of(desk: Desk, inputs: Inputs, chosen: Mapping[str, str]) -> tuple[tuple[Question, ...], Answers]:
    """What a booking asks, and the answers chosen; an answer may itself raise a question, such as a date that passed.

    Args:
        chosen: kind of finding -> choice.
    """
    first = looked_at(desk, inputs, words=False).questions
    answered_first = with_answers(desk, inputs, answers_from(first, chosen))
    known = {one.kind for one in first}
    then = looked_at(desk, answered_first, words=False).questions
    asked = (*first, *(one for one in then if one.kind not in known))
    return asked, answers_from(asked, chosen)


def clear(desk: Desk, ref: str, answers: Answers, role: str) -> Made:
    """Records that this patient may take this medicine, with what was decided, and publishes the plan.

    Where something still stands against it nothing is recorded.
    """
    known = _waiting(desk, ref)
    if isinstance(known, Made):
        return known
    if role not in RELEASING:
        return Made(None, (_may_not(ref),))
    assert known.inputs is not None, "a prepared record has inputs"
    if faults := answer_findings(known.inputs.booking, answers, desk.folder.stated):
        return Made(None, tuple(faults))
    inputs = with_answers(desk, known.inputs, answers)
    cleared = Clearance(role, desk.now.date())
    inputs = replace(inputs, booking=replace(inputs.booking, cleared=cleared))
    return _published(desk, known, inputs)


def publish_assessed(desk: Desk, ref: str) -> Made:
    """Publishes a booking that nobody need clear alone: the unit has declared who assessed everyone on its lists."""
    known = _waiting(desk, ref)
    if isinstance(known, Made):
        return known
    unit = desk.folder.unit
    if unit.assessed is None or unit.assessed.until < desk.now.date():
        return Made(None, (_may_not(ref),))
    assert known.inputs is not None, "a prepared record has inputs"
    return _published(desk, known, known.inputs)


def _published(desk: Desk, known: PlanRecord, inputs: Inputs) -> Made:
    plan = ready_from(desk, known, inputs, (), inputs.settled)
    return plan if isinstance(plan, Made) else publish(desk, [plan])[0]


def withdraw(desk: Desk, ref: str, role: str) -> Made:
    """Takes a booking that nobody was given off the desk; it is forgotten."""
    known = _waiting(desk, ref)
    if isinstance(known, Made):
        return known
    done = prepared.withdraw(desk.records, known, desk.now, role)
    return Made(None, () if done else (changed_meanwhile(ref),))


def _waiting(desk: Desk, ref: str) -> PlanRecord | Made:
    known = in_step(desk, ref)
    if known is None or not known.is_prepared:
        problem = "Nothing waits at the desk under that reference."
        return Made(
            None, (refusal("not-prepared", ref, problem, "Look it up; somebody may have been quicker."),)
        )
    faults = as_seen_findings(desk, known)
    return Made(None, tuple(faults)) if faults else known


def _known_already(known: PlanRecord) -> Finding:
    what = "was given already" if known.was_given else "waits at the desk already"
    return refusal(
        "ref-taken",
        known.ref,
        f"A booking with this reference {what}.",
        "If it is the same appointment, open it and move or change it; if it is another, mend the reference.",
    )


def _may_not(ref: str) -> Finding:
    return refusal(
        "role-may-not", ref, "Only a nurse or a doctor clears a patient.", "Ask one of them to do it."
    )
