"""Words that staff read in the console in place of ids and of what the command line says."""

from __future__ import annotations

import re

from generator.clinic.factor import Factor
from generator.clinic.instruction import class_title
from generator.finding import Finding, Severity
from generator.page.life import Life
from generator.plan.suited import Stated
from generator.records import MADE, PlanRecord
from generator.records.calls import CLOSING

LIVES = {
    MADE: "plan is up",
    Life.HELD.value: "held",
    Life.CANCELLED.value: "cancelled",
    Life.ENDED.value: "over",
    Life.FAREWELL.value: "over",
}
SEVERITIES = {Severity.REFUSE: "Stops the plan", Severity.WARN: "Look at this", Severity.NOTE: "To know"}
OUTCOMES = {
    "told-patient": "Told the patient",
    "told-companion": "Told the companion",
    "no-answer": "No answer",
    "message-left": "Left a message",
    "wrong-number": "Wrong number",
    "asked-to-call-back": "Asked to call back",
    "interpreter-needed": "Interpreter needed",
}
REASONS = {
    "moved": "The appointment moved; the page shows the new plan",
    "moved-held": "The appointment moved; the plan is held",
    "changed": "The plan changed; the page shows the new one",
    "changed-held": "The plan changed and is held",
    "released": "A held plan was released",
    "held": "The plan is held",
    "cancelled": "The appointment is cancelled",
    "ended": "The examination is over",
    "files-changed": "The unit's rules changed; the page shows the new plan",
    "files-changed-held": "The unit's rules changed; the plan is held",
}
SEDATIONS = {
    "none": "none",
    "gas": "gas to breathe",
    "conscious": "conscious sedation",
    "propofol": "propofol",
    "general": "general anaesthesia",
}
# What is given over to patients, and how.
GIVEN_KINDS = {
    "first": "First link",
    "moved": "Appointment moved",
    "changed": "Plan changed",
    "held": "Plan held",
    "cancelled": "Appointment cancelled",
    "six-days": "Six days before",
    "two-days": "Two days before",
    "day-before": "The day before",
    "handout": "Handout",
    "link": "Link",
    "call": "Phoned",
}
GIVEN_WAYS = {
    "copied": "text copied",
    "exported": "in a file",
    "printed": "printed",
    "shown": "code shown on screen",
    **{outcome: words.lower() for outcome, words in OUTCOMES.items()},
}
# The next step in the console, where the finding's own names a command.
_REMEDIES = {
    "booking-unknown": "Look it up by its reference or call number.",
    "booking-held": "When a nurse has spoken with the patient: Release.",
    "booking-cancelled": "If it takes place after all: Move, with a new time.",
    "changed-meanwhile": "Look at how it stands now; what you typed is still here. Then send it again.",
    "plan-held": "Phone the patient now (Calls); then a nurse releases the plan.",
    "nurse-decides": "A nurse or doctor looks into it and decides on this page.",
    "not-cleared": "A nurse or doctor checks it: Clear and publish.",
    "not-held": "Look at how it stands now.",
    "answer-not-there": "Look at what stands in the booking now.",
    "factor-not-raised": "Tick it first if it concerns the patient.",
    "role-may-not": "Ask a nurse or the clinical lead.",
    "plan-changed": "If the appointment moved: Move. If something about the patient changed: About the patient.",
    "decision-needed": "A nurse or doctor decides it with the patient, here.",
    "protocol-unknown": "Move the booking to another protocol.",
    "no-plan": "Look at how it stands now.",
    "language-missing": "Phone the patient with an interpreter, or state another language the patient reads.",
    "language-not-reviewed": "Phone the patient with an interpreter; the clinical lead has the words reviewed.",
    "plan-still-up": "Phone the patient; then move or cancel the booking.",
    "review-expired": "Arrange an interpreter, and have the words reviewed again.",
    "review-due": "Have the words reviewed again soon.",
    "signature-not-begun": "Choose another preparation, or ask the clinical lead.",
    "signature-expired": "Choose another preparation; the clinical lead reads the file and signs it anew.",
    "signature-broken": "Choose another preparation; the clinical lead reads the changed file and signs it.",
    "signature-missing": "Choose another preparation, or ask the clinical lead to read the file and sign it.",
    "row-unknown": "Leave it out, and decide with the patient.",
}
_COMMAND = re.compile(r"\bdaybefore [a-z]|--[a-z]")


def console_remedy(finding: Finding) -> str:
    """The next step; never a command, which nobody at the desk can type."""
    if not _COMMAND.search(finding.remedy):
        return finding.remedy
    kind = finding.kind.partition(":")[0]
    return _REMEDIES.get(kind, "Have whoever looks after daybefore see to it.")


def role_words(role: str) -> str:
    """A role in a sentence."""
    return {"lead": "clinical lead"}.get(role, role)


def short(finding: Finding, stated: Stated) -> str:
    """A finding in few words, for a line of a list."""
    group, _, subject = finding.kind.partition(":")
    known: Factor | None = stated.factors.get(subject)
    name = known.title if known else class_title(subject)
    told = group.removeprefix("factor-").replace("-", " ")
    return f"{name}: {told}" if name else told


def state_words(record: PlanRecord) -> str:
    """How a booking stands, in few words."""
    if record.is_prepared:
        return "waits to be cleared"
    if not record.was_given:
        return "no plan: something in the list stood against it"
    if record.pending is not None and record.inputs is not None:
        moved = record.pending.booking.start != record.inputs.booking.start
        return f"{LIVES[record.life]}; a {'new time' if moved else 'decision'} waits"
    return LIVES[record.life]


assert set(CLOSING) <= set(OUTCOMES)
