"""Telling: who must be phoned about a change, by when, and in which words for the caller."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from generator.clinic.booking import Booking
from generator.desk.answers import answer_lines
from generator.desk.rendering import Desk
from generator.page.step_words import title_of
from generator.plan.change import Change, What, changes_between
from generator.plan.moment_text import moment_text, when_text
from generator.plan.moments import in_zone
from generator.plan.timetable import Timetable
from generator.records import PlanRecord, life
from generator.records.calls import Telling
from generator.records.life import Given

# What a patient arranges the day around; all else stands on the page.
_SAID = (
    "instruction",
    "collect",
    "confirm",
    "diet",
    "last-meal",
    "clear-fluids",
    "tablets",
    "enema",
    "drink",
)
# By the end of the reason; what the pages say as well.
_SAY = {
    "held": "Say: do not follow the old times; take no more of the bowel medicine until a nurse has spoken with you.",
    "cancelled": "Say: take no more of the bowel medicine; eat and drink normally again.",
}
_SAY_FIRST = (
    "Ask for the plan code and the day that the patient's page shows. Say no name or date on a recording."
)


def telling(
    desk: Desk, record: PlanRecord, why: str, new: Timetable | None = None, booking: Booking | None = None
) -> Telling:
    """The call after a change: what it was when the patient was last told, and what it is now.

    It is due before the first thing that any plan since then, or the new one, still asks for.

    Args:
        new: None where no new plan is known.
        booking: the appointment it is made from; None where there is none.
    """
    since = life.since_told(desk.records, record)
    told = since[0].inputs if since else None
    old = told.given if told else None
    lines = [_SAY_FIRST, *_appointment_lines(desk, record, since, old, new)]
    if desk.shelf.has_copies(record.identity.call_number):
        lines.append("They may have the old plan as a file, which cannot change: ask them to throw it away.")
    if told and booking:
        lines += answer_lines(told.booking, booking, desk.folder)
    if saying := _SAY.get(why.rpartition("-")[2]):
        lines += [saying, *_medicine_lines(desk, old)]
    changes = changes_between(old, new, desk.now) if old and new else ()
    lines += [_changed(change) for change in changes if change.what is not What.SAME and change.kind in _SAID]
    lines.append("Ask: have you taken any of the bowel medicine, or stopped a tablet or an injection? When?")
    plans = [*(one.inputs.given for one in since if one.inputs), new]
    ahead = [step.start for plan in plans if plan for step in plan.steps if step.start > desk.now]
    return Telling(why, min(ahead, default=desk.now), "\n".join(lines))


def _appointment_lines(
    desk: Desk,
    record: PlanRecord,
    since: Sequence[Given],
    old: Timetable | None,
    new: Timetable | None,
) -> Iterator[str]:
    before = old.procedure if old else in_zone(dt.datetime.fromisoformat(record.start), desk.folder.unit.zone)
    code = since[0].code if since else record.identity.code
    if old and new and (old.procedure, old.arrival) == (new.procedure, new.arrival):
        yield f"The appointment stays: {moment_text(before)}. Plan {code} is replaced."
    else:
        yield f"Old appointment: {moment_text(before)}, plan {code}."
        if new is not None:
            yield f"New appointment: {moment_text(new.procedure)}; be there at {moment_text(new.arrival)}."
    if len(since) > 1:
        between = ", ".join(one.code for one in since[1:])
        yield f"The page may also have shown plan {between}: nobody has told the patient of it yet."


def _medicine_lines(desk: Desk, old: Timetable | None) -> Iterator[str]:
    """The patient's own medicines that a plan that comes down has had stopped or changed, or would have."""
    for step in old.steps if old else ():
        if step.kind == "instruction":
            known = desk.folder.stated.instructions.get(step.instruction or "")
            title = known.title if known else step.instruction
            yield f"The old plan said “{title}” ({when_text(step)}): a nurse says how to go on with it."


def _changed(change: Change) -> str:
    step = change.new or change.old
    title = title_of(step).english if step else change.step
    if change.what is What.AMOUNTS and change.new:
        return f"{title} ({when_text(change.new)}): something else than its time has changed; read it from the page."
    old = when_text(change.old) if change.old else "not in the old plan"
    new = when_text(change.new) if change.new else "not in the new plan"
    return f"{title}: was {old}; is {new}."
