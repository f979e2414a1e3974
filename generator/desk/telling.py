"""Telling: who must be phoned about a change, by when, and in which words for the caller."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from generator.desk.rendering import Desk
from generator.page.step_words import title_of
from generator.plan.change import Change, What
from generator.plan.moment_text import moment_text
from generator.plan.moments import in_zone
from generator.plan.timetable import Timetable
from generator.records import PlanRecord
from generator.records.calls import Telling

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
_SAY_FIRST = (
    "Ask for the plan code and the day that the patient's page shows. Say no name or date on a recording."
)


def telling(
    desk: Desk,
    record: PlanRecord,
    why: str,
    old: Timetable | None,
    new: Timetable | None,
    changes: Iterable[Change] = (),
) -> Telling:
    """The call after a change: due before the first thing that either plan still asks for.

    Args:
        new: None where no new plan is known.
    """
    zone = desk.folder.unit.zone
    before = in_zone(dt.datetime.fromisoformat(record.start), zone)
    lines = [_SAY_FIRST, f"Old appointment: {moment_text(before)}, plan {record.identity.code}."]
    if new is not None:
        lines.append(
            f"New appointment: {moment_text(new.procedure)}; be there at {moment_text(new.arrival)}."
        )
    lines += [_changed(change) for change in changes if change.what is not What.SAME and change.kind in _SAID]
    lines.append("Ask: have you taken any of the bowel medicine, or stopped a tablet or an injection? When?")
    ahead = [step.start for plan in (old, new) if plan for step in plan.steps if step.start > desk.now]
    return Telling(why, min(ahead, default=desk.now), "\n".join(lines))


def _changed(change: Change) -> str:
    old = moment_text(change.old.start) if change.old else "not in the old plan"
    new = moment_text(change.new.start) if change.new else "not in the new plan"
    step = change.new or change.old
    return f"{title_of(step).english if step else change.step}: was {old}; is {new}."
