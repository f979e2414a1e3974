"""Words that the phone's scripts put on the page by themselves: under these names they stand in the data block."""

from __future__ import annotations

from generator.words.message import Message

_CHANGE = "In the list of what is different in a new plan."
_LEFT = "Time left, worked out by the phone. Keep it short."
WORDS = {
    "left": Message("B.left.hours-minutes", "in {hours} h {minutes} min", _LEFT),
    "leftMinutes": Message("B.left.minutes", "in {minutes} min", _LEFT),
    "leftDays": Message("B.left.days", "in 1 day", f"{_LEFT} Days, counted; {{n}}: how many.", "in {n} days"),
    "glasses": Message(
        "B.left.glasses",
        "1 glass drunk, of {of}",
        "How many glasses the person has counted; {n}: how many, {of}: in all.",
        "{n} glasses drunk, of {of}",
    ),
    "noGlass": Message(
        "B.left.no-glass", "No glass counted yet, of {of}", "Before the first glass is counted."
    ),
    "next": Message("B.left.next", "Next:", "Before the name and the time of the step that comes next."),
    "rest": Message("B.left.rest", "Nothing to do at this moment", "Heading of “now” when no step is due."),
    "ticked": Message("B.left.ticked", "You have done this.", "When the person has marked the step as done."),
    "over": Message("B.left.over", "The plan has ended", "Heading of “now” after the last step."),
    "tick": Message("B.left.tick", "Done", "Button beside a step. Pressed: the person has done it. Short."),
    "looked": Message(
        "B.clarity.looked",
        "Your last look: {when}",
        "Below the answers about the toilet bowl. {when}: date, time.",
    ),
    "anew": Message(
        "B.clarity.anew",
        "Look again now, and answer again.",
        "The answers about the toilet bowl are from before the time at which they count.",
    ),
    "callNow": Message("A.left.call-now", "This line answers now:", "Before a phone number."),
    "callClosed": Message(
        "A.left.call-closed",
        "No line answers now. If you feel ill, ring {emergency}.",
        "When every line of the clinic is closed.",
    ),
    "callOpens": Message(
        "A.left.call-opens",
        "The next line opens {when}. Until then, keep to this page.",
        "After “No line answers now”. {when}: day and time. This page: the plan, or what stands in its place.",
    ),
    "sameAppointment": Message(
        "A.change.same-appointment", "Your appointment: {when}.", "In the list of what stays the same."
    ),
    "sameMedicine": Message(
        "A.change.same-medicine",
        "The bowel medicine and its amounts are the same.",
        "In the list of what stays the same in a new plan.",
    ),
    "sameSteps": Message(
        "A.change.same-steps",
        "1 step keeps its time.",
        "In the list of what stays the same. {n}: how many steps.",
        "{n} steps keep their times.",
    ),
    "appointment": Message("A.change.appointment", "Your appointment", f"{_CHANGE} A heading."),
    "before": Message("A.change.before", "Before: {when}", f"{_CHANGE} {{when}}: day, date and time."),
    "now": Message("A.change.now", "Now: {when}", f"{_CHANGE} {{when}}: day, date and time."),
    "until": Message(
        "A.steps.until", "Until {when}.", "When a step has ended. {when}: a time, or a date and a time."
    ),
    "otherAmount": Message(
        "A.change.amount", "The amount or the way is different. Read this step again.", _CHANGE
    ),
    "gone": Message("A.change.gone", "This is no longer in your plan.", _CHANGE),
    "goneUnnamed": Message("A.change.gone-step", "One step is no longer in your plan.", _CHANGE),
    "added": Message("A.change.added", "This is new in your plan.", _CHANGE),
    "wordsOnly": Message(
        "A.change.words",
        "Times and amounts are the same. Read the plan again: some words are different.",
        _CHANGE,
    ),
    "checkedToday": Message(
        "A.checked.today",
        "Checked with the unit today, {time}.",
        "Below “saved”: this page was compared with the unit’s at this time.",
    ),
    "checkedSince": Message(
        "A.checked.since",
        "Not checked with the unit since {when}.",
        "Below “saved”. {when}: date with weekday, and time.",
    ),
}
MESSAGES = tuple(WORDS.values())
