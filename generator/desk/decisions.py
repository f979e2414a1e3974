"""Decisions: what waits for a person, what may answer it, and what the answer does to a booking."""

from __future__ import annotations

import datetime as dt
import shlex
from collections.abc import Collection, Mapping
from dataclasses import replace

from generator.clinic.booking import Booking
from generator.clinic.instruction import MEDICINE_CLASSES
from generator.desk.objections import clears_everyone
from generator.finding import Finding, note
from generator.intake import RowReading
from generator.intake.remarks import subjects_in
from generator.materials.unit_folder import UnitFolder
from generator.page.medicine_classes import is_medicine
from generator.plan.planning import timetable_for
from generator.plan.suited import Stated
from generator.records import NOT_CLEARED

GO_AHEAD = "go-ahead"
CALL_FIRST = "call-first"
LEAVE_OUT = "leave-out"  # the answer “no” to a factor's question: without the rows it would add or lengthen
CLEARED = "cleared"  # this patient may take this protocol's medicine
INSTRUCTION_KIND = "needs-unit-instruction"
ASKING_KIND = "factor-asks"
_DIABETES = ("diabetes", "insulin", "sglt2", "glp1")  # a hint says “diabetes”, an instruction which medicine


def choices_for(kind: str, stated: Stated) -> tuple[str, ...]:
    """What may answer a finding, the safest first.

    For a medicine the line “call first” and the unit's instructions for it, for anything a remark hints at any
    of the unit's factors; last, that a person has looked and the plan may be built as it is. A factor that would
    add or lengthen rows may be answered with no as well.
    """
    if kind == NOT_CLEARED:
        return (CLEARED,)
    asking = stated.factors.get(kind.removeprefix(f"{ASKING_KIND}:"))
    if asking is not None and asking.changes_rows:
        return (GO_AHEAD, LEAVE_OUT)
    subject = subject_of(kind)
    if subject is None:
        return (GO_AHEAD,)
    fitting = (one.id for one in stated.instructions.values() if _fits(one.medicine, subject))
    call_first = (CALL_FIRST,) if is_medicine(subject) else ()
    return (*call_first, *fitting, *stated.factors, GO_AHEAD)


def subject_of(kind: str) -> str | None:
    """What a finding that waits for an instruction is about, such as “iron”; None for any other kind."""
    subject = kind.removeprefix(f"{INSTRUCTION_KIND}:")
    return None if subject == kind else subject


def _fits(medicine: str, subject: str) -> bool:
    return medicine == subject or (subject == "diabetes" and medicine in _DIABETES)


def with_decisions(booking: Booking, decisions: Mapping[str, str], stated: Stated) -> Booking:
    """The booking with the lines, the unit's instructions and the factors that a nurse chose."""
    chosen = [
        (kind.removeprefix(f"{INSTRUCTION_KIND}:"), choice)
        for kind, choice in decisions.items()
        if kind.startswith(f"{INSTRUCTION_KIND}:")
    ]
    return replace(
        booking,
        call_first=tuple(subject for subject, choice in chosen if choice == CALL_FIRST),
        instructions=tuple(choice for _, choice in chosen if choice in stated.instructions),
        factors=tuple(dict.fromkeys(choice for _, choice in chosen if choice in stated.factors)),
        agreed=tuple(
            kind.removeprefix(f"{ASKING_KIND}:")
            for kind, choice in decisions.items()
            if kind.startswith(f"{ASKING_KIND}:") and choice == GO_AHEAD
        ),
    )


def questions(
    folder: UnitFolder, row: RowReading, now: dt.datetime, decisions: Mapping[str, str]
) -> tuple[str, ...]:
    """The kinds of finding about which a person must decide before this row's plan is built.

    Args:
        decisions: what was decided already; a factor that a nurse chose may ask something itself.
    """
    findings = list(row.findings)
    if row.booking is not None:
        booking = with_decisions(row.booking, decisions, folder.stated)
        protocol = folder.regimens[booking.protocol]
        findings += timetable_for(booking, protocol, folder.unit, now, folder.stated).findings
    kinds = [finding.kind for finding in findings if finding.decision]
    kinds += [] if clears_everyone(folder.unit, now.date()) else [NOT_CLEARED]
    return tuple(dict.fromkeys(kinds))


def undecided(
    ref: str, findings: tuple[Finding, ...], decisions: Collection[str], folder: UnitFolder, *, given: bool
) -> list[Finding]:
    """A note for each kind of finding that waits for a person's decision.

    Short notice was settled when the plan was given; anything else that is new in the row asks again.
    """
    kinds = dict.fromkeys(finding.kind for finding in findings if finding.decision)
    return [
        note(
            "decision-needed",
            kind,
            f"No plan was built: somebody decides first about {_subject(kind)}.",
            _remedy(ref, kind, folder),
        )
        for kind in kinds
        if kind not in decisions and not (given and kind == "short-notice")
    ]


def _subject(kind: str) -> str:
    """What a decision is about, in words where the kind names a class of medicine."""
    subject = kind.partition(":")[2] or kind
    return f"“{MEDICINE_CLASSES.get(subject, subject)}”"


def _remedy(ref: str, kind: str, folder: UnitFolder) -> str:
    """What to record, with nothing that could be pasted unread: the choice is left to whoever decides."""
    asked = f"--ref {shlex.quote(ref)} --kind {shlex.quote(kind)} --role ROLE --choice CHOICE"
    choices = [_explained(choice, folder.stated) for choice in _offered(kind, folder)]
    return f"A nurse or doctor decides; then record it: daybefore decide … {asked}. CHOICE: {'; or '.join(choices)}."


def _offered(kind: str, folder: UnitFolder) -> tuple[str, ...]:
    """The choices without the factors that, by the unit's own hints, have nothing to do with the finding."""
    subject, stated, listing = subject_of(kind), folder.stated, folder.unit.listing
    return tuple(
        choice
        for choice in choices_for(kind, stated)
        if choice not in stated.factors
        or choice == subject
        or subject in subjects_in(f"{choice} {stated.factors[choice].title}", listing)
    )


def _explained(choice: str, stated: Stated) -> str:
    if choice == CALL_FIRST:
        return f"{choice} (the page says: call the unit before you change this medicine)"
    if choice == GO_AHEAD:
        return f"{choice} (somebody has looked into it, and the plan is right as it is)"
    if choice == LEAVE_OUT:
        return f"{choice} (no: without the rows that the factor would change)"
    own = stated.instructions.get(choice) or stated.factors.get(choice)
    return f"{choice} ({own.title})" if own else choice
