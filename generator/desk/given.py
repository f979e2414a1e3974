"""Given: the plan that a patient has, what may have begun by it, and the page that would take its place now."""

from __future__ import annotations

import datetime as dt

from generator.desk.rendering import Desk, languages_of, replaced_by
from generator.finding import Finding
from generator.page.life import Life
from generator.plan.change import Change
from generator.plan.timetable import Timetable
from generator.records import PlanRecord
from generator.records.inputs import NoticeInputs


def former_timetable(record: PlanRecord) -> Timetable | None:
    """The plan that was given, as it was; None where the records do not tell."""
    return record.inputs.given if record.inputs else None


def begun_by(timetable: Timetable | None, now: dt.datetime) -> tuple[str, ...]:
    """What the patient may have begun by now: medicine, or the stopping of one. Unknown counts as begun."""
    if timetable is None:
        return ("unknown",)
    return tuple(
        step.id
        for step in timetable.steps
        if step.start <= now and (step.medicine or step.kind == "instruction")
    )


def notice_of(
    desk: Desk,
    record: PlanRecord,
    what: Life,
    old: Timetable | None,
    new: Timetable | None = None,
) -> NoticeInputs:
    """The page in a plan's place, of this moment."""
    assert record.inputs is not None, "a known record has inputs"
    doses = (
        [step.id for step in old.steps if step.medicine and step.start <= desk.now] if old else ["unknown"]
    )
    return NoticeInputs(
        what,
        languages_of(desk.folder.unit, record.inputs.booking),
        desk.now,
        replaced_by(desk, record, old),
        begun=bool(doses),
        new_arrival=None if new is None else new.arrival,
    )


def news(new: Timetable, changes: tuple[Change, ...]) -> list[Finding]:
    """What the new plan's findings add: steps whose old time has passed as well were known to the patient."""
    known = {change.step for change in changes if change.due}
    late = [step for step in new.steps if step.past and step.id not in known]
    return [one for one in new.findings if one.kind != "short-notice" or late]
