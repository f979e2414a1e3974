"""The data block: what the scripts on the phone need, as integers and finished strings.

All times are epoch minutes. Inside the page itself, so that words, times and data cannot disagree.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable

from markupsafe import Markup

from generator.page.hours import bar_index
from generator.page.phone_places import phone_words
from generator.page.plan import Plan
from generator.page.questions import ASKED_AT_NIGHT, asked_at
from generator.plan.cues import cues_for
from generator.plan.looking import Looking, looking_in
from generator.plan.moments import epoch_minutes, from_epoch_minutes, in_zone, later, offset_minutes
from generator.plan.opening import Call, calls_for
from generator.plan.pace import Limit, limits_of, most_per_hour
from generator.plan.timetable import Step
from generator.words import clock
from generator.words.plurals import PLURAL_TOP
from generator.words.speaker import Speaker

DOSES = ("mix", "drink", "tablets", "enema")


def data_block(plan: Plan, speaker: Speaker) -> Markup:
    """The JSON, safe inside a script element."""
    timetable, zone, made = plan.timetable, plan.unit.zone, plan.identity.made
    first = min(in_zone(made, zone), timetable.steps[0].start)
    last = later(timetable.procedure, plan.unit.aftercare_days * 24 * 60)
    limits = limits_of(timetable, plan.protocol, plan.unit.quiet_minutes)
    index = {step.id: number for number, step in enumerate(timetable.steps)}
    block = {
        "mark": plan.identity.mark,
        "code": plan.identity.code,
        "lang": speaker.wording.tag,
        "version": plan.identity.version,
        "made": epoch_minutes(made),
        "zone": zone,
        "medicine": _short_digest([plan.protocol.id, plan.protocol.product, plan.protocol.pieces]),
        "procedure": epoch_minutes(timetable.procedure),
        "arrival": epoch_minutes(timetable.arrival),
        "offsets": offsets_between(first, last, zone),
        "clock": plan.unit.clock,
        "plural": _plural_table(speaker),
        "times": clock.patterns(speaker),
        "steps": [
            _short(_step(step, asked_at(step, timetable.steps), limits.get(step.id)))
            for step in timetable.steps
        ],
        "night": ASKED_AT_NIGHT,
        "cues": [[cue.at, -1 if cue.step is None else index[cue.step]] for cue in cues_for(timetable)],
        "look": _look(looking_in(timetable, plan.protocol.rows), timetable.procedure),
        "lines": [[line.shown, line.dial] for line in plan.unit.call_lines],
        "calls": call_rows(calls_for(plan.unit, first.date(), last.date())),
        "most": most_per_hour(timetable) or 0,
        "steady": timetable.steady,
        "words": phone_words(speaker),
        "bar": bar_index(plan.unit),
        "emergency": plan.unit.emergency.shown,
    }
    return in_script(json.dumps(block, ensure_ascii=False, separators=(",", ":")))


def call_rows(calls: Iterable[Call]) -> list[list[int]]:
    """[minutes after the start of the one before, minutes long, line] for each stretch in which a line answers.

    Small numbers that recur: the hours of months of after-care weigh little in every page.
    """
    rows, before = [], 0
    for call in calls:
        rows.append([call.since - before, call.until - call.since, call.line])
        before = call.since
    return rows


def in_script(text: str) -> Markup:
    """JSON that may stand inside a script element."""
    return Markup(text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e"))


def _step(step: Step, asked: list[str], limit: Limit | None) -> dict[str, object]:
    own: dict[str, object] = {} if limit is None else {"pace": _pace(step, limit)}
    return own | {
        "id": step.id,
        "key": tick_key(step),
        "kind": step.kind,
        "start": epoch_minutes(step.start),
        "end": epoch_minutes(step.end) if step.end else None,
        "allDay": step.is_all_day,
        "dose": step.medicine and step.kind in DOSES,
        "glasses": step.amounts.get("glasses", 0),
        "asked": asked,
    }


def _pace(step: Step, limit: Limit) -> dict[str, object]:
    """The figures of a drinking session besides those of any step: millilitres, minutes, epoch minutes."""
    return {
        "ml": step.amounts["ml"],
        "last": step.amounts["last_ml"],
        "minutes": step.amounts["minutes"],
        "fastest": step.amounts["fastest_minutes"],
        "by": limit.by,
        "quiet": limit.quiet,
        "keeps": limit.keeps or 0,
    }


def _short(row: dict[str, object]) -> dict[str, object]:
    """A step without what block.js fills in: title and hour stand in the list, its id begins its key."""
    short = {name: value for name, value in row.items() if value not in (None, False, 0, [])}
    return short | {"key": str(row["key"]).removeprefix(f"{row['id']}-")}


def _look(looking: Looking, procedure: dt.datetime) -> dict[str, object]:
    """When what comes out means what; 0: the plan has no such moment."""
    return {
        "step": looking.look.id if looking.look else "",
        "dosed": epoch_minutes(looking.dose_over),
        "counts": epoch_minutes(looking.counts),
        "short": epoch_minutes(looking.short),
        "stop": epoch_minutes(looking.nothing_more) if looking.nothing_more else 0,
        "by": epoch_minutes(looking.something_by) if looking.something_by else 0,
        "over": epoch_minutes(procedure),
    }


def tick_key(step: Step) -> str:
    """The name a tick is kept under: it survives a move while id, kind and amounts are the same."""
    return f"{step.id}-{_short_digest([step.id, step.kind, step.amounts, step.diet])}"


def _short_digest(value: object) -> str:
    return hashlib.sha256(json.dumps(value, sort_keys=True).encode()).hexdigest()[:6]


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
