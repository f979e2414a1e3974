"""The data block: what the scripts on the phone need, as integers and finished strings.

All times are epoch minutes. Inside the page itself, so that words, times and data cannot disagree.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json

from markupsafe import Markup

from generator.page.plan import Plan
from generator.page.step_words import title_of
from generator.plan.cues import cues_for
from generator.plan.moments import epoch_minutes, from_epoch_minutes, in_zone, later, offset_minutes
from generator.plan.opening import calls_for
from generator.plan.timetable import Step
from generator.words.clock import date_text, when_text
from generator.words.message import Message
from generator.words.speaker import Speaker
from generator.words.wording import PLURAL_TOP

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
    "callNow": Message("A.left.call-now", "This line answers now:", "Before a phone number."),
    "callClosed": Message(
        "A.left.call-closed",
        "No line answers now. If you feel ill, ring {emergency}.",
        "When every line of the clinic is closed.",
    ),
}
MESSAGES = tuple(WORDS.values())


def data_block(plan: Plan, speaker: Speaker) -> Markup:
    """The JSON, safe inside a script element."""
    timetable, zone, made = plan.timetable, plan.unit.zone, plan.identity.made
    first = min(in_zone(made, zone), timetable.steps[0].start)
    last = later(timetable.procedure, plan.unit.aftercare_days * 24 * 60)
    index = {step.id: number for number, step in enumerate(timetable.steps)}
    block = {
        "mark": plan.identity.mark,
        "code": plan.identity.code,
        "version": plan.identity.version,
        "made": epoch_minutes(made),
        "zone": zone,
        "offsets": offsets_between(first, last, zone),
        "clock": plan.unit.clock,
        "plural": _plural_table(speaker),
        "steps": [_step(step, speaker) for step in timetable.steps],
        "cues": [[cue.at, -1 if cue.step is None else index[cue.step]] for cue in cues_for(timetable)],
        "lines": [[line.shown, line.dial] for line in plan.unit.call_lines],
        "calls": [
            [call.since, call.until, call.line] for call in calls_for(plan.unit, first.date(), last.date())
        ],
        "words": {name: speaker.raw(message) for name, message in WORDS.items()},
        "emergency": plan.unit.emergency.shown,
    }
    return in_script(json.dumps(block, ensure_ascii=False, separators=(",", ":")))


def in_script(text: str) -> Markup:
    """JSON that may stand inside a script element."""
    return Markup(text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e"))


def _step(step: Step, speaker: Speaker) -> dict[str, object]:
    return {
        "id": step.id,
        "key": tick_key(step),
        "kind": step.kind,
        "start": epoch_minutes(step.start),
        "end": epoch_minutes(step.end) if step.end else None,
        "glasses": step.amounts.get("glasses", 0),
        "when": date_text(speaker, step.start.date()) if step.is_all_day else when_text(speaker, step.start),
        "time": f"{step.start:%H:%M}",
        "title": speaker.plain(title_of(step)),
    }


def tick_key(step: Step) -> str:
    """The name a tick is kept under: it survives a move while id, kind and amounts are the same."""
    text = json.dumps([step.id, step.kind, step.amounts, step.diet], sort_keys=True)
    return f"{step.id}-{hashlib.sha256(text.encode()).hexdigest()[:6]}"


def offsets_between(first: dt.datetime, last: dt.datetime, zone: str) -> list[list[int]]:
    """[[from, offset in minutes east], ...]: the zone's offsets over the plan, so that the phone can doubt itself."""
    offsets: list[list[int]] = []
    start = epoch_minutes(first) // 1440 * 1440 - 1440
    for day in range(start, epoch_minutes(last) + 1440, 1440):
        ends = [offset_minutes(from_epoch_minutes(minute, zone)) for minute in (day, day + 1440)]
        # Only a day whose ends differ is searched; zones change at a quarter of an hour.
        for minute in range(day, day + 1440, 15) if ends[0] != ends[1] else (day,):
            offset = offset_minutes(from_epoch_minutes(minute, zone))
            if not offsets or offsets[-1][1] != offset:
                offsets.append([minute, offset])
    return offsets


def _plural_table(speaker: Speaker) -> str:
    """One digit for each number from 0 to 200: which form it takes."""
    return "".join(str(speaker.wording.form_for(number)) for number in range(PLURAL_TOP + 1))
