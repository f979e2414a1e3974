"""Appointments: day and time of a row become moments in the unit's zone, checked against its hours."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from generator.clinic.unit import Unit
from generator.finding import Finding, refusal, warning
from generator.intake.days import day_from
from generator.intake.readings import TYPE_A_TIME, time_from
from generator.intake.tables import Cell, ListRow
from generator.plan.moments import in_zone, instants_of

_HOUR = dt.timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Appointment:
    """What a row says about when; each part is None where it is not known beyond doubt.

    `at` is the wall time that was written; `start` and `arrival` are moments on the unit's clocks.
    """

    at: dt.time | None
    start: dt.datetime | None
    arrival: dt.datetime | None


def appointment_from(
    row: ListRow,
    order: str | None,
    unit: Unit,
    now: dt.datetime,
) -> tuple[Appointment, list[Finding]]:
    """When the procedure starts and when the patient is to be there, and everything doubtful about it.

    Raises:
        ValueError: if the unit's zone does not exist; the unit's file is checked before it is used.
    """
    day, findings = day_from(row.cells["date"], order)
    at, told = _start_time(row.cells["time"], unit)
    findings += told
    come, told = time_from(row.cells["arrival"])
    findings += told
    if day is None:
        return Appointment(at, None, None), findings
    findings += _day_findings(row.cells["date"], day, unit)
    start, told = moment_from(day, at, row.cells["time"], unit)
    findings += told
    arrival, told = moment_from(day, come, row.cells["arrival"], unit)
    findings += told
    if day < in_zone(now, unit.zone).date() or (start is not None and start < now):
        findings.append(
            refusal(
                "past",
                row.cells["date"].where,
                f"The appointment of {_shown(day, at)} is over.",
                "Look the appointment up; if it is to come, type its right day and time.",
            )
        )
    if start is not None and arrival is not None and arrival > start:
        findings.append(
            refusal(
                "arrival-after-procedure",
                row.cells["arrival"].where,
                f"The patient would arrive at {arrival:%H:%M}, after the procedure has begun at {start:%H:%M}.",
                "Find out which of the two times is wrong and type it anew.",
            )
        )
    return Appointment(at, start, arrival), findings


def moment_from(
    day: dt.date,
    at: dt.time | None,
    cell: Cell,
    unit: Unit,
) -> tuple[dt.datetime | None, list[Finding]]:
    """The one moment of a wall time, or the refusal of a time that the clocks skip or show twice."""
    if at is None:
        return None, []
    moments = instants_of(unit.zone, day, at)
    if len(moments) == 1:
        return moments[0], []
    if moments:
        readings = " or ".join(moment.isoformat(timespec="minutes") for moment in moments)
        return None, [
            refusal(
                "time-ambiguous",
                cell.where,
                f"The clocks go back on {day.isoformat()} and show {at:%H:%M} twice: {readings}.",
                "Ask the unit which of the two is meant, and give the appointment a time that occurs once.",
            )
        ]
    later = dt.time((at.hour + 12) % 24, at.minute)
    around = dt.datetime.combine(day, at)
    near = " or ".join(
        moment.isoformat(timespec="minutes")
        for wall in (around - _HOUR, around + _HOUR)
        for moment in instants_of(unit.zone, wall.date(), wall.time())
    )
    hint = f"Is {later:%H:%M} meant? " if at.hour < 12 and _in_hours(later, unit) else ""
    return None, [
        refusal(
            "time-nonexistent",
            cell.where,
            f"The clocks go forward on {day.isoformat()} and never show {at:%H:%M}; "
            f"an hour earlier or later they show {near}.",
            f"{hint}Look the appointment up and type its right time.",
        )
    ]


def _start_time(cell: Cell, unit: Unit) -> tuple[dt.time | None, list[Finding]]:
    at, findings = time_from(cell)
    if at is None and not findings:
        return None, [
            refusal(
                "time-missing",
                cell.where,
                "The row has no time for the procedure.",
                f"Look the appointment up. {TYPE_A_TIME}",
            )
        ]
    if at is not None and not _in_hours(at, unit):
        hours = f"{unit.listing.since:%H:%M} to {unit.listing.until:%H:%M}"
        findings.append(
            refusal(
                "time-outside-hours",
                cell.where,
                f"{at:%H:%M} is outside the hours in which procedures start ({hours}).",
                "Look the appointment up and type its right time; if procedures do start "
                "then, mend starts_since and starts_until in unit.toml.",
            )
        )
    return at, findings


def _in_hours(at: dt.time, unit: Unit) -> bool:
    return unit.listing.since <= at <= unit.listing.until


def _day_findings(cell: Cell, day: dt.date, unit: Unit) -> list[Finding]:
    """Warnings about the day itself and the day before, on which the patient prepares."""
    findings = []
    if day.weekday() not in unit.listing.weekdays:
        findings.append(
            warning(
                "weekend",
                cell.where,
                f"{day.isoformat()} is a day of the week on which the unit runs no lists.",
                "Check that the day is right.",
            )
        )
    if day in unit.closed_days:
        findings.append(
            warning(
                "closed-day",
                cell.where,
                f"The unit is closed on {day.isoformat()}.",
                "Find out whether the appointment takes place, and record the decision.",
                decision=True,
            )
        )
    before = day - dt.timedelta(days=1)
    if before in unit.closed_days:
        findings.append(
            warning(
                "holiday-in-plan",
                cell.where,
                f"The patient prepares on {before.isoformat()}, when the unit is closed.",
                "Check who answers the patient’s calls that day, and that the medicine is fetched before it.",
            )
        )
    return findings


def _shown(day: dt.date, at: dt.time | None) -> str:
    return f"{day.isoformat()} {at:%H:%M}" if at else day.isoformat()
