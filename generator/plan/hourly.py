"""The hourly maximum counts every drink: the medicine and what is drunk besides, session after session."""

from __future__ import annotations

from collections.abc import Sequence

from generator.clinic.protocol import Protocol
from generator.clinic.rows import SESSION_KINDS
from generator.finding import Finding, refusal
from generator.plan.moments import epoch_minutes
from generator.plan.timetable import Step


def hourly_findings(protocol: Protocol, steps: Sequence[Step]) -> list[Finding]:
    """A refusal when the glasses of any sixty minutes are more than the smallest maximum a row states."""
    stated = [
        row.glasses.most_ml_per_hour for row in protocol.rows if row.glasses and row.glasses.most_ml_per_hour
    ]
    if not stated:
        return []
    most = min(stated)
    glasses = sorted(glass for step in steps if step.kind in SESSION_KINDS for glass in _glasses(step))
    for begin, _, _ in glasses:
        within = [(ml, name) for at, ml, name in glasses if begin <= at < begin + 60]
        total = sum(ml for ml, _ in within)
        if total > most:
            names = ", ".join(f"“{name}”" for name in dict.fromkeys(name for _, name in within))
            return [
                refusal(
                    "hourly-maximum",
                    ", ".join(dict.fromkeys(name for _, name in within)),
                    f"{names} together are {total} mL in one hour; the protocol allows {most} mL.",
                    "Give the glasses more time or the sessions a pause, or mend most_ml_per_hour.",
                )
            ]
    return []


def _glasses(step: Step) -> list[tuple[int, int, str]]:
    """(when it begins in epoch minutes, millilitres, step) of each glass."""
    amounts, start = step.amounts, epoch_minutes(step.start)
    count = amounts["glasses"]
    return [
        (start + number * amounts["minutes"], amounts["last_ml" if number == count - 1 else "ml"], step.id)
        for number in range(count)
    ]
