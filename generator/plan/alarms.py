"""Alarms: the few moments of a plan at which something must call a person, a phone's alarm or a calendar's entry."""

from __future__ import annotations

from generator.plan.timetable import Step, Timetable

MOST = 8  # a longer list is not set by hand, and floods a calendar
_KINDS = ("wake", "mix", "drink", "tablets", "enema", "stop-drinking", "leave", "arrive")
# Left out in this order where a plan has more than MOST: the alarm of the dose itself follows soon. A dose, the
# end of drinking, leaving and arriving are never left out.
_FIRST_TO_GO = ("wake", "mix")


def alarm_steps(timetable: Timetable) -> tuple[Step, ...]:
    """The steps that an alarm should call to, in order of time; what was past or begun when it was made needs none."""
    steps = [step for step in timetable.steps if step.kind in _KINDS and not (step.past or step.done)]
    for kind in _FIRST_TO_GO:
        if len(steps) > MOST:
            steps = [step for step in steps if step.kind != kind]
    return tuple(steps)
