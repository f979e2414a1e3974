"""Dated: what hangs on the calendar and on the present moment: closed days, and what has passed already."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from generator.clinic.unit import Unit
from generator.finding import Finding, refusal, warning
from generator.plan.errands import on_working_days
from generator.plan.moment_text import day_text
from generator.plan.moments import start_of_day
from generator.plan.opening import calls_for
from generator.plan.timetable import Step, Timetable

PHASE_KINDS = ("diet", "clear-fluids", "medicine")  # they hold from their start to their end
# Steps whose passing nobody must be told of when a booking is made late: they stay true afterwards.
_HARMLESS_WHEN_PAST = ("diet", "clear-fluids", "stop-drinking", "check", "wake", "medicine", "pause")


def dated(timetable: Timetable, unit: Unit, now: dt.datetime | None) -> Timetable:
    """The timetable with errands before closed days, and with what has passed by now marked and told.

    Args:
        now: zone-aware; None: nothing counts as past.
    """
    steps = on_working_days(timetable.steps, unit, timetable.procedure)
    closed = _closed_day_findings(timetable, unit)
    if now is None and steps is timetable.steps and not closed:
        return timetable
    findings = [*timetable.findings, *closed]
    if now is not None and timetable.procedure <= now:
        gone = refusal("past", "procedure", "The procedure lies in the past.", "Mend its day and time.")
        return replace(timetable, steps=(), yardsticks=(), findings=(*findings, gone))
    if now is not None:
        steps = tuple(step._replace(past=True) if _has_passed(step, unit, now) else step for step in steps)
        findings += _late_findings(steps)
    if steps != timetable.steps:
        steps = tuple(sorted(steps, key=lambda step: (step.start, step.at_unit)))
    return replace(timetable, steps=steps, findings=tuple(findings))


def _has_passed(step: Step, unit: Unit, now: dt.datetime) -> bool:
    """Whether nothing of it is left to do, and nobody says it was done: a diet holds until it ends, a day all day."""
    if step.is_all_day:
        return start_of_day(unit.zone, step.start.date() + dt.timedelta(days=1)) <= now
    over = step.end if step.kind in PHASE_KINDS and step.end else step.start
    return over < now and not step.done


def _closed_day_findings(timetable: Timetable, unit: Unit) -> list[Finding]:
    """A procedure on a day on which the unit neither works nor runs lists; told once, however often this is asked."""
    day = timetable.procedure.date()
    if unit.is_open_on(day) or any(finding.kind == "closed-day" for finding in timetable.findings):
        return []
    answered = any(call.since < call.until for call in calls_for(unit, day, day))
    return [
        warning(
            "closed-day",
            "procedure",
            f"The examination is on {day_text(day)}, when the unit is closed"
            f"{'' if answered else ' and no line for patients answers'}.",
            "Find out whether the appointment takes place on that day, and mend it if it does not.",
        )
    ]


def _late_findings(steps: tuple[Step, ...]) -> list[Finding]:
    past = [step.id for step in steps if step.past and step.kind not in _HARMLESS_WHEN_PAST]
    if not past:
        return []
    doses = [step.id for step in steps if step.past and step.medicine]
    told = f"The time of {len(past)} step(s) has passed already: {_quoted(past)}."
    remedy = "Phone the patient, tell what can still be done, then record the decision."
    if doses:
        told += f" Bowel medicine is among them ({_quoted(doses)}): what is left alone may not be enough."
        remedy = (
            "Phone the patient and ask what was taken. A nurse or doctor decides whether the rest is given, "
            "whether another slot is better, or a protocol for short notice."
        )
    return [warning("short-notice", ", ".join(past), told, remedy, decision=True)]


def _quoted(steps: list[str]) -> str:
    return ", ".join(f"“{step}”" for step in steps)
