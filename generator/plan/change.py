"""Change: how a new timetable of a booking differs from the one the patient has."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from generator.finding import Finding, warning
from generator.plan.moment_text import when_text
from generator.plan.timetable import Step, Timetable


class What(StrEnum):
    """What became of a step."""

    SAME = "same"
    MOVED = "moved"
    AMOUNTS = "amounts"
    ADDED = "added"
    REMOVED = "removed"


@dataclass(frozen=True, slots=True)
class Change:
    """One step in both timetables.

    Attributes:
        old, new: the step in each; None where it is not in it.
        past: its new start has passed already, so that it cannot be followed as it stands.
        due: its old start has come, so that the patient may have begun it.
    """

    step: str
    kind: str
    what: What
    old: Step | None
    new: Step | None
    past: bool
    due: bool

    def as_json(self) -> dict[str, object]:
        """The JSON form; moments in ISO 8601 with offset."""
        return {
            "id": self.step,
            "kind": self.kind,
            "change": self.what.value,
            "old": _iso(self.old),
            "new": _iso(self.new),
            "past": self.past,
            "due": self.due,
        }


_SHIFTED = {
    What.ADDED: "The plan has an instruction about a medicine that the old one did not have",
    What.REMOVED: "The plan no longer has an instruction about a medicine that the old one had",
}


def changes_between(old: Timetable, new: Timetable, now: dt.datetime) -> tuple[Change, ...]:
    """Every step of either timetable, those of the new one first, each in order of time.

    Args:
        now: the moment at which the change is made, zone-aware.
    """
    before = {step.id: step for step in old.steps}
    after = {step.id: step for step in new.steps}
    gone = [step for step in old.steps if step.id not in after]
    return tuple(_change(before.get(step.id), after.get(step.id), now) for step in (*new.steps, *gone))


def _iso(step: Step | None) -> str | None:
    return None if step is None else step.start.isoformat(timespec="minutes")


def _change(old: Step | None, new: Step | None, now: dt.datetime) -> Change:
    step = new or old
    assert step is not None, "a step stands in one of the two"
    return Change(
        step.id,
        step.kind,
        _what(old, new),
        old,
        new,
        past=new is not None and new.start < now,
        due=old is not None and old.start <= now,
    )


def _what(old: Step | None, new: Step | None) -> What:
    if old is None:
        return What.ADDED
    if new is None:
        return What.REMOVED
    if old.start != new.start or old.end != new.end:
        return What.MOVED
    told = (old.kind, old.amounts, old.diet, old.check, old.dates)
    return What.SAME if told == (new.kind, new.amounts, new.diet, new.check, new.dates) else What.AMOUNTS


def change_findings(old: Timetable, changes: tuple[Change, ...]) -> Iterator[Finding]:
    """What a nurse must settle with the patient before the new timetable may take the old one's place."""
    medicine = {step.id for step in old.steps if step.medicine or step.kind == "instruction"}
    medicine |= {change.step for change in changes if change.new is not None and change.new.medicine}
    begun = [change.old for change in changes if change.old and change.due and change.step in medicine]
    if begun:
        yield warning(
            "preparation-begun",
            ", ".join(step.id for step in begun),
            f"By the old plan the patient may have begun already: {_told(begun)}.",
            "Phone the patient, ask what was taken and when, then plan anew with what was begun.",
            decision=True,
        )
    passed = [
        change.new
        for change in changes
        if change.new
        and change.past
        and not change.new.done
        and change.what is not What.SAME
        and change.step in medicine
    ]
    if passed:
        yield warning(
            "new-time-passed",
            ", ".join(step.id for step in passed),
            f"In the new plan the time of these steps has passed already: {_told(passed)}.",
            "A nurse decides what can still be done, or whether another slot is better.",
            decision=True,
        )
    for change in changes:
        if change.kind == "instruction" and change.what is not What.SAME:
            yield warning(
                f"instruction-shifted:{change.step.removeprefix('instruction-')}",
                change.step,
                f"{_SHIFTED.get(change.what, 'The days of an instruction about a medicine have changed')}.",
                "A nurse decides what the patient does with this medicine, and says it by phone.",
                decision=True,
            )


def _told(steps: Iterable[Step]) -> str:
    """Steps with the moments they are meant at: an old and a new plan have the same step at two."""
    return "; ".join(f"“{step.id}” ({when_text(step)})" for step in steps)
