"""Medicine gaps: when the patient's own medicines are not to be taken, around every dose of the bowel medicine."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from generator.clinic.protocol import MedicineGap, Protocol
from generator.finding import Finding, warning
from generator.plan.fixed import Fixed
from generator.plan.moments import epoch_minutes, from_epoch_minutes, in_zone, start_of_day
from generator.plan.spoken import hours
from generator.plan.timetable import Reason, Step

STEP_PREFIX = "usual-medicines"


@dataclass(frozen=True, slots=True)
class _Block:
    """From `since` to `until` (epoch minutes) no medicine but the doses themselves; `doses` are their step ids."""

    since: int
    until: int
    doses: tuple[str, ...]


def medicine_gaps(
    protocol: Protocol, steps: Sequence[Step], fixed: Fixed, nights: Sequence[tuple[int, int]]
) -> tuple[list[Step], list[Finding]]:
    """A step for each stretch of time to be left: its start is "take them by", its end "or from" (None: not before).

    Told, for a nurse to decide, when the day of the procedure leaves no time for them before leaving home.
    """
    gap = protocol.usual_medicines
    blocks = _blocks(gap, steps) if gap else []
    if gap is None or not blocks:
        return [], []
    stop = min(
        (epoch_minutes(step.start) for step in steps if step.kind == "stop-drinking"), default=fixed.leaving
    )
    last = min(stop, fixed.leaving)
    made = [_step(block, gap, fixed, last) for block in blocks]
    return made, [] if _is_time_left(blocks, fixed, last, nights) else [_no_time(blocks[-1], gap)]


def _blocks(gap: MedicineGap, steps: Sequence[Step]) -> list[_Block]:
    """One block around each dose; those that touch are one."""
    blocks: list[_Block] = []
    doses = sorted((step for step in steps if step.kind == "drink"), key=lambda step: step.start)
    for dose in doses:
        since = epoch_minutes(dose.start) - gap.before
        until = epoch_minutes(dose.end or dose.start) + gap.after
        if blocks and since <= blocks[-1].until:
            before = blocks.pop()
            blocks.append(_Block(before.since, max(until, before.until), (*before.doses, dose.id)))
        else:
            blocks.append(_Block(since, until, (dose.id,)))
    return blocks


def _step(block: _Block, gap: MedicineGap, fixed: Fixed, last: int) -> Step:
    doses = ", ".join(f"“{dose}”" for dose in block.doses)
    told = f"the patient's own medicines keep {hours(gap.before)} before {doses} and {hours(gap.after)} after"
    until = block.until if block.until < last or block.since >= fixed.procedure else None
    return Step(
        id=f"{STEP_PREFIX}-{block.doses[0]}",
        kind="medicine",
        start=from_epoch_minutes(block.since, fixed.zone),
        end=None if until is None else from_epoch_minutes(until, fixed.zone),
        leeway=None,
        amounts={"minutes_before": gap.before, "minutes_after": gap.after},
        because=(Reason(told, gap.source, True),),
    )


def _is_time_left(
    blocks: Sequence[_Block], fixed: Fixed, last: int, nights: Sequence[tuple[int, int]]
) -> bool:
    """Whether medicines can be taken that day: after a dose, however early, or before it outside the night."""
    morning = epoch_minutes(_start_of(fixed))
    after = [block.until for block in blocks if block.until > morning]
    before = [morning, *(until for _, until in nights)]
    return any(_is_free(moment, blocks, morning, last) for moment in after) or any(
        _is_free(moment, blocks, morning, last)
        and not any(since <= moment < until for since, until in nights)
        for moment in before
    )


def _is_free(moment: int, blocks: Sequence[_Block], morning: int, last: int) -> bool:
    return morning <= moment < last and not any(block.since < moment < block.until for block in blocks)


def _start_of(fixed: Fixed) -> dt.datetime:
    return start_of_day(fixed.zone, in_zone(from_epoch_minutes(fixed.leaving, fixed.zone), fixed.zone).date())


def _no_time(block: _Block, gap: MedicineGap) -> Finding:
    return warning(
        "no-time-for-medicines",
        block.doses[-1],
        f"On the day there is no time for the patient's own medicines before leaving home: they keep "
        f"{hours(gap.before)} before and {hours(gap.after)} after “{block.doses[-1]}”.",
        "A nurse decides when this patient takes them, or whether a later slot is better.",
        decision=True,
    )
