"""What a drinking step says about its pace, for paper and for phones without script; the card says it by the minute."""

from __future__ import annotations

from collections.abc import Iterator

from generator.page import step_messages as say
from generator.page.pace_words import WORDS
from generator.page.plan import Plan
from generator.page.step_line import Line
from generator.page.step_words import millilitres
from generator.plan.moments import epoch_minutes, from_epoch_minutes
from generator.plan.pace import Limit
from generator.plan.timetable import Step

_NEAR = 180  # minutes after its end within which a limit means something to whoever drinks; common practice, no source


def pace_lines(plan: Plan, step: Step, limit: Limit | None) -> Iterator[Line]:
    """The sentences about glass, pace, end and jug of a step with several glasses; none for any other."""
    if limit is None or step.amounts["glasses"] < 2 or step.past:
        return
    if step.id == _first_counted(plan):
        yield Line(say.MEASURE, {"volume": millilitres(step.amounts["ml"])})
    if step.kind != "drink":
        return
    yield Line(say.DRINK_FASTEST, {"minutes": step.amounts["fastest_minutes"]})
    end = epoch_minutes(step.end or step.start)
    by = min(limit.by, limit.quiet, epoch_minutes(step.start) + (limit.keeps or limit.by))
    if by - end <= _NEAR:
        yield Line(WORDS["paceBy"], {"time": f"{from_epoch_minutes(by, plan.unit.zone):%H:%M}"})
        yield Line(WORDS["paceIfNot"], {})
        yield Line(WORDS["paceUntil"], {})
    yield Line(WORDS["jugAsk"], {})


def _first_counted(plan: Plan) -> str:
    """The first step whose glasses are counted: there the glass is measured."""
    return next((step.id for step in plan.timetable.steps if step.amounts.get("glasses", 0) > 1), "")
