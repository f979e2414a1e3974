"""A timetable as a nurse reads it: by day and night, clock times, amounts, and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.cli.options import finding_lines
from generator.cli.timetable_head import head_lines
from generator.clinic.booking import Booking
from generator.finding import Verdict
from generator.materials.unit_folder import UnitFolder
from generator.plan.change import Change
from generator.plan.timetable import Timetable
from generator.staff.change_text import change_lines
from generator.staff.step_names import Names
from generator.staff.timetable_told import ToldStep, told_days

_VERDICTS = {
    Verdict.READY: "READY: these times keep every rule",
    Verdict.CHECK: "CHECK: somebody looks at the findings first",
    Verdict.REFUSED: "REFUSED: there is no plan",
}
_INDENT = " " * 17


def timetable_lines(
    planned: Timetable,
    booking: Booking,
    folder: UnitFolder,
    names: Names,
    changes: Sequence[Change] = (),
    *,
    every_rule: bool = False,
) -> Iterator[str]:
    """The lines to print; of the rules only those that put a step where it is, unless `every_rule`.

    Args:
        names: what each step is called.
    """
    yield from head_lines(planned, booking, folder)
    yield _VERDICTS[planned.verdict]
    yield from finding_lines(planned.findings, "  ", names)
    yield from change_lines(changes, names)
    for day in told_days(planned.steps, folder.stated, names, every_rule=every_rule):
        yield ""
        yield day.heading
        for step in day.steps:
            yield from _step_lines(step, every_rule)
    if planned.yardsticks:
        yield ""
    for yardstick in planned.yardsticks:
        told = {True: "kept", False: "differs", None: "does not apply"}[yardstick.met]
        yield f"{yardstick.id}: {told}"
        yield from (f"  {text}" for text in yardstick.departures)
    if planned.steps and booking.cleared is None:
        yield ""
        yield "Times only. Nobody has cleared this patient."


def _step_lines(step: ToldStep, every_rule: bool) -> Iterator[str]:
    past = "  ** HAS PASSED **" if step.past else ""
    yield f"  {step.clock:<13}  {step.title}{f': {step.amounts}' if step.amounts else ''}{past}"
    yield from (f"{_INDENT}{line}" for line in (step.room, step.words) if line)
    none_binds = not any(reason.binding for reason in step.because)
    for reason in step.because:
        word = "because" if reason.binding or (none_binds and not every_rule) else "also"
        yield f"{_INDENT}{word}: {reason.rule} [{reason.source}]"
