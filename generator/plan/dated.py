"""Dated: what hangs on the calendar and on the present moment: closed days, and what has passed already."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from generator.clinic.unit import Unit
from generator.finding import Finding, refusal, warning
from generator.plan.errands import on_working_days
from generator.plan.moments import start_of_day
from generator.plan.timetable import Step, Timetable

# Steps whose passing nobody must be told of when a booking is made late: they stay true afterwards.
_HARMLESS_WHEN_PAST = ("diet", "clear-fluids", "stop-drinking", "check", "wake", "medicine", "pause")


def dated(timetable: Timetable, unit: Unit, now: dt.datetime | None) -> Timetable:
    """The timetable with errands before closed days, and with what has passed by now marked and told.

    Args:
        now: zone-aware; None: nothing counts as past.
    """
    steps = on_working_days(timetable.steps, unit)
    if now is None and steps is timetable.steps:
        return timetable
    findings = list(timetable.findings)
    if now is not None:
        steps = tuple(replace(step, past=True) if _has_passed(step, unit, now) else step for step in steps)
        if timetable.procedure <= now:
            problem = "The procedure lies in the past."
            findings.append(refusal("past", "procedure", problem, "Mend its day and time."))
        findings += _late_findings(steps)
    if steps != timetable.steps:
        steps = tuple(sorted(steps, key=lambda step: step.start))
    return replace(timetable, steps=steps, findings=tuple(findings))


def _has_passed(step: Step, unit: Unit, now: dt.datetime) -> bool:
    """What is for the whole of a day can be done until that day is over."""
    if step.is_all_day:
        return start_of_day(unit.zone, step.start.date() + dt.timedelta(days=1)) <= now
    return step.start < now


def _late_findings(steps: tuple[Step, ...]) -> list[Finding]:
    past = [step.id for step in steps if step.past and step.kind not in _HARMLESS_WHEN_PAST]
    if not past:
        return []
    return [
        warning(
            "short-notice",
            ", ".join(past),
            f"The time of {len(past)} step(s) has passed already: {', '.join(past)}.",
            "Phone the patient, tell what can still be done, then record the decision.",
            decision=True,
        )
    ]
