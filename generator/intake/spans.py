"""Spans: what can be said of the days before an appointment when its row is read; no timetable is solved here."""

from __future__ import annotations

import datetime as dt

from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row
from generator.finding import Finding, warning
from generator.plan.fixed import Fixed
from generator.plan.moments import clocks_change_between, from_epoch_minutes
from generator.plan.reach import Reach, reaches_for

# What a patient can still do at any moment of its window, so that it is late only when the window has closed.
_ERRANDS = frozenset({"instruction", "collect", "call", "confirm"})


def plan_findings(protocol: Protocol, fixed: Fixed, now: dt.datetime, where: str) -> list[Finding]:
    """Warnings about the days before an appointment that is still to come."""
    reaches = reaches_for(protocol, fixed)
    findings = []
    if any(_has_passed(row, reaches[row.id], now) for row in protocol.rows if row.id in reaches):
        findings.append(
            warning(
                "short-notice",
                where,
                "The time of the first steps of this preparation has already passed.",
                "Phone the patient, say which steps’ time has passed and what to do about them, then record the "
                "decision.",
                decision=True,
            )
        )
    bounded = [row for row in protocol.rows if row.id in reaches]
    drinks = [row for row in bounded if row.kind == "drink"] or [row for row in bounded if row.medicine]
    doses = [reaches[row.id].earliest for row in drinks]
    leaving = from_epoch_minutes(fixed.leaving, fixed.zone)
    if doses and clocks_change_between(fixed.zone, min(doses), leaving):
        findings.append(
            warning(
                "clock-change-in-plan",
                where,
                "The clocks change between the first dose and leaving home.",
                "Tell the patient that the plan’s times already count the change, and not to reckon it again.",
            )
        )
    return findings


def _has_passed(row: Row, reach: Reach, now: dt.datetime) -> bool:
    return (reach.latest if row.kind in _ERRANDS else reach.earliest) < now
