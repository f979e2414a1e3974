"""Timetable: the steps of one booking at exact moments, each with the reasons that put it there."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import NamedTuple

from generator.finding import Finding, Verdict, verdict_of
from generator.plan.moments import later

_NO_AMOUNTS: dict[str, int] = {}  # shared, never written to
_NO_DATES: dict[str, dt.date] = {}


class Reason(NamedTuple):
    """Why a step is where it is: the rule, what states it, and whether loosening it by 5 minutes moves the step."""

    rule: str
    source: str
    binding: bool


@dataclass(frozen=True, slots=True)
class StartWindow:
    """What the hard rules leave for a start, before kindness, and by when the step must have ended."""

    earliest: dt.datetime
    latest: dt.datetime
    end_by: dt.datetime | None


class Leeway(NamedTuple):
    """The same in elapsed minutes from the step's start: how much earlier and later, and until when it must end."""

    earlier: int
    later: int
    end_by: int | None


# A tuple, for a year's list shifts some hundred thousand of them to other days.
class Step(NamedTuple):
    """One thing to do. Moments are zone-aware, on the unit's clocks; `end` is None for a moment.

    `amounts` are millilitres, minutes and counts by name; `diet` is the phase of a diet step, `check` what a
    check looks for; `instruction` and `dates` belong to an instruction of the unit. `past`: its time had
    passed when the plan was made; `done`: the patient had begun it by then; `at_unit`: it is done there.
    """

    id: str
    kind: str
    start: dt.datetime
    end: dt.datetime | None
    leeway: Leeway | None
    amounts: dict[str, int] = _NO_AMOUNTS
    diet: str | None = None
    medicine: bool = False
    because: tuple[Reason, ...] = ()
    check: str | None = None
    instruction: str | None = None
    dates: dict[str, dt.date] = _NO_DATES
    past: bool = False
    done: bool = False
    at_unit: bool = False

    def shifted(self, by: dt.timedelta) -> Step:
        """The same step on another day; for days between which no clock changes."""
        step, kind, start, end, *same = self
        shifted = Step._make((step, kind, start + by, None if end is None else end + by, *same))
        if not self.dates:
            return shifted
        return shifted._replace(dates={name: day + by for name, day in self.dates.items()})

    @property
    def window(self) -> StartWindow | None:
        """What the hard rules leave for its start, or None for a step that no row gives."""
        leeway = self.leeway
        if leeway is None:
            return None
        return StartWindow(
            later(self.start, -leeway.earlier),
            later(self.start, leeway.later),
            None if leeway.end_by is None else later(self.start, leeway.end_by),
        )

    @property
    def is_all_day(self) -> bool:
        """Whether it holds from the beginning of its day: an hour would only mislead."""
        return self.kind in ("instruction", "restart") and self.start.time() == dt.time(0)

    @property
    def is_last_day(self) -> bool:
        """Whether it stands on the last day on which a medicine is taken: it is done then, not from then on."""
        return self.kind == "instruction" and "last_day" in self.dates


@dataclass(frozen=True, slots=True)
class Yardstick:
    """How a timetable stands to a published rule; `met` is None where the rule does not apply."""

    id: str
    met: bool | None
    departures: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Timetable:
    """The steps of one booking, in order of time. Refused timetables have no steps.

    `steady`: something about the patient forbids to propose shorter pauses between glasses than planned.
    """

    zone: str
    procedure: dt.datetime
    arrival: dt.datetime
    leaving: dt.datetime
    steps: tuple[Step, ...]
    findings: tuple[Finding, ...]
    yardsticks: tuple[Yardstick, ...]
    steady: bool = False

    @property
    def verdict(self) -> Verdict:
        """The verdict the worst finding gives."""
        return verdict_of(self.findings)

    def step(self, step_id: str) -> Step:
        """The step of that id.

        Raises:
            KeyError: if there is none.
        """
        for step in self.steps:
            if step.id == step_id:
                return step
        raise KeyError(step_id)

    def shifted(self, by: dt.timedelta) -> Timetable:
        """The same on another day; for days between which no clock changes."""
        return Timetable(
            self.zone,
            self.procedure + by,
            self.arrival + by,
            self.leaving + by,
            tuple([step.shifted(by) for step in self.steps]),
            self.findings,
            self.yardsticks,
            self.steady,
        )

    def with_findings(self, more: Iterable[Finding]) -> Timetable:
        """The same timetable with further findings."""
        return replace(self, findings=(*self.findings, *more))

    def as_json(self) -> dict[str, object]:
        """The promised JSON form."""
        return {
            "verdict": self.verdict.value,
            "zone": self.zone,
            "procedure": _iso(self.procedure),
            "findings": [finding.as_json() for finding in self.findings],
            "yardsticks": [
                {"id": yardstick.id, "met": yardstick.met, "departures": list(yardstick.departures)}
                for yardstick in self.yardsticks
            ],
            "steps": [_step_json(step) for step in self.steps],
        }


def _iso(moment: dt.datetime) -> str:
    return moment.isoformat(timespec="minutes")


def _step_json(step: Step) -> dict[str, object]:
    window = step.window
    document: dict[str, object] = {
        "id": step.id,
        "kind": step.kind,
        "start": _iso(step.start),
        "end": _iso(step.end) if step.end else None,
        "window": window
        and {
            "start": [_iso(window.earliest), _iso(window.latest)],
            "end_by": _iso(window.end_by) if window.end_by else None,
        },
        "amounts": step.amounts | _named({"diet": step.diet, "check": step.check}),
        "because": [
            {"rule": reason.rule, "source": reason.source, "binding": reason.binding}
            for reason in step.because
        ],
    }
    if step.dates:
        document["dates"] = {name: day.isoformat() for name, day in step.dates.items()}
    if step.past:
        document["past"] = True
    if step.at_unit:
        document["at_unit"] = True
    return document


def _named(values: dict[str, str | None]) -> dict[str, str]:
    return {name: value for name, value in values.items() if value is not None}
