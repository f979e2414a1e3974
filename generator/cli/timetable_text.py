"""A timetable as a nurse reads it: by day, clock times with both days named at night, amounts, and why."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from itertools import groupby

from generator.cli.options import finding_lines
from generator.clinic.protocol import Protocol
from generator.finding import Verdict
from generator.page.step_words import title_of
from generator.plan.change import Change, What
from generator.plan.spoken import hours
from generator.plan.suited import Stated
from generator.plan.timetable import Step, Timetable

_VERDICTS = {
    Verdict.READY: "READY",
    Verdict.CHECK: "CHECK: somebody looks at the findings first",
    Verdict.REFUSED: "REFUSED: there is no plan",
}
_INDENT = " " * 17


def timetable_lines(
    planned: Timetable,
    protocol: Protocol,
    stated: Stated,
    changes: Sequence[Change] = (),
    *,
    every_rule: bool = False,
) -> Iterator[str]:
    """The lines to print; of the rules only those that put a step where it is, unless `every_rule`."""
    yield f"{protocol.title}"
    yield f"Examination {_day(planned.procedure)} {planned.procedure.year}, {planned.procedure:%H:%M} ({planned.zone})"
    yield _VERDICTS[planned.verdict]
    yield from finding_lines(planned.findings, "  ")
    yield from _change_lines(changes)
    for day, steps in groupby(planned.steps, key=lambda step: step.start.date()):
        yield ""
        yield f"{_day(day)}"
        for night, together in groupby(steps, key=lambda step: "" if step.is_all_day else _night(step.start)):
            if night:
                yield f"  {night}"
            for step in together:
                yield from _step_lines(step, stated, every_rule)
    if planned.yardsticks:
        yield ""
    for yardstick in planned.yardsticks:
        told = {True: "kept", False: "differs", None: "does not apply"}[yardstick.met]
        yield f"{yardstick.id}: {told}"
        yield from (f"  {text}" for text in yardstick.departures)


def _step_lines(step: Step, stated: Stated, every_rule: bool) -> Iterator[str]:
    yield f"  {_clock(step):<13}  {_title(step)}{_amounts(step)}{_past(step)}"
    if step.instruction is not None:
        dates = {name: _day(day) for name, day in step.dates.items()}
        yield f"{_INDENT}{stated.instructions[step.instruction].text.format(**dates)}"
    binding = [reason for reason in step.because if reason.binding]
    for reason in step.because if every_rule else binding or step.because[:1]:
        word = "because" if reason.binding or not (binding or every_rule) else "also"
        yield f"{_INDENT}{word}: {reason.rule.removeprefix(f'“{step.id}” ')} [{reason.source}]"


def _clock(step: Step) -> str:
    if step.is_all_day:
        return "on this day" if step.is_last_day else "from this day"
    if step.end is None:
        return f"{step.start:%H:%M}"
    if step.end.date() == step.start.date():
        return f"{step.start:%H:%M}-{step.end:%H:%M}"
    return f"from {step.start:%H:%M}"


def _title(step: Step) -> str:
    if step.kind == "medicine":
        until = f"or from {_at(step.end, step.start)}" if step.end else "not again before the examination"
        return f"Own medicines: until then, {until}"
    title = title_of(step).english
    return f"{title}, until {_at(step.end, step.start)}" if _runs_over(step) else title


def _runs_over(step: Step) -> bool:
    return step.end is not None and step.end.date() != step.start.date()


def _at(moment: dt.datetime | None, seen_from: dt.datetime) -> str:
    if moment is None:
        return ""
    day = "" if moment.date() == seen_from.date() else f"{_day(moment)}, "
    night = f" ({_night(moment)})" if day and _night(moment) else ""
    return f"{day}{moment:%H:%M}{night}"


def _amounts(step: Step) -> str:
    """The amounts as a phrase; what only a machine wants is left out."""
    amounts, said = step.amounts, []
    if "glasses" in amounts:
        last = f", the last of {amounts['last_ml']} mL" if amounts["last_ml"] != amounts["ml"] else ""
        many = f"{amounts['glasses']} glasses of {amounts['ml']} mL{last}, one every {amounts['minutes']} minutes"
        one = f"one glass of {amounts['ml']} mL in {amounts['minutes']} minutes"
        said.append(one if amounts["glasses"] == 1 else f"{many}, {amounts['total_ml']} mL in all")
    phrases = {
        "packets": "{} packet(s)", "mix_ml": "in {} mL of water", "wait_minutes": "let it stand {} minutes",
        "tablets": "{} tablet(s)", "takes_minutes": "{} minutes", "days": "for {} days",
        "least_ml": "at least {} mL", "most_ml": "at most {} mL", "most_ml_per_hour": "never more than {} mL an hour",
    }  # fmt: skip
    said += [phrase.format(amounts[name]) for name, phrase in phrases.items() if name in amounts]
    if "keeps_minutes" in amounts:
        said.append(f"keeps {hours(amounts['keeps_minutes'])}")
    if step.kind == "leave":
        said.append(f"{amounts['minutes']} minutes' way")
    return f": {', '.join(said)}" if said else ""


def _past(step: Step) -> str:
    return "  ** HAS PASSED **" if step.past else ""


def _night(moment: dt.datetime) -> str:
    """From 21:00 to 06:00 both days are named: nobody is woken a day early or late."""
    if 6 <= moment.hour < 21:
        return ""
    eve = moment.date() if moment.hour >= 21 else moment.date() - dt.timedelta(days=1)
    return f"in the night from {eve:%A} to {eve + dt.timedelta(days=1):%A}"


def _day(day: dt.date) -> str:
    return f"{day:%A} {day.day} {day:%B}"


def _change_lines(changes: Sequence[Change]) -> Iterator[str]:
    if not changes:
        return
    yield ""
    yield "What changes for the patient"
    same = [change.step for change in changes if change.what is What.SAME]
    if same:
        yield f"  stays the same: {', '.join(same)}"
    for change in changes:
        if change.what is What.SAME:
            continue
        told = {
            What.MOVED: f"moves from {_when(change.old)} to {_when(change.new)}",
            What.AMOUNTS: f"says something else, at {_when(change.new)}",
            What.ADDED: f"is new, at {_when(change.new)}",
            What.REMOVED: f"falls away; it was at {_when(change.old)}",
        }[change.what]
        due = "; by the old plan its time has come" if change.due else ""
        past = "; its new time HAS PASSED" if change.past else ""
        yield f"  {change.step} {told}{due}{past}"


def _when(step: Step | None) -> str:
    if step is None:
        return ""
    end = (
        f" to {'' if step.end.date() == step.start.date() else f'{step.end:%A} '}{step.end:%H:%M}"
        if step.end
        else ""
    )
    return f"{step.start:%A %H:%M}{end}"
