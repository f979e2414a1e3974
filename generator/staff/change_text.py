"""What a move changes for the patient: one line a step, what it was and what it is, both with day and clock."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.plan.change import Change, What
from generator.plan.moment_text import when_text
from generator.plan.timetable import Step
from generator.staff.amount_text import amounts_text
from generator.staff.step_names import Names


def change_lines(changes: Sequence[Change], names: Names) -> Iterator[str]:
    """One line a step, in the order of the new timetable; what falls away comes last."""
    if not changes:
        return
    yield ""
    yield "What changes for the patient"
    for change in changes:
        yield f"  {names[change.step]}: {_told(change)}"


def _told(change: Change) -> str:
    if change.new is None:
        return f"{_was(change)}; falls away"
    past = "HAS PASSED" if change.past else "to come"
    if change.what is What.SAME:
        return f"stays {when_text(change.new)}, {past}"
    return f"{_was(change)}; is now {when_text(change.new)}{_other(change)}, {past}"


def _was(change: Change) -> str:
    if change.old is None:
        return "was not in the old plan"
    due = "already due" if change.due else "not yet due"
    due = "already due" if change.due else "not yet due"
    return f"was {when_text(change.old)}{_amounts(change, change.old)}, {due}"


def _other(change: Change) -> str:
    """What else the step says now: its amounts, or that its words differ at the same time."""
    amounts = _amounts(change, change.new)
    return amounts or (", and says something else" if change.what is What.AMOUNTS else "")


def _amounts(change: Change, step: Step | None) -> str:
    """The step's amounts, where they are not the same in both plans."""
    if step is None or change.old is None or change.new is None or change.old.amounts == change.new.amounts:
        return ""
    said = amounts_text(step)
    return f", {said}" if said else ""
