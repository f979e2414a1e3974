"""Facts: what a patient must be told of when it changes, as a digest."""

from __future__ import annotations

import hashlib
import json

from generator.page.plan import Plan
from generator.words.speaker import Speaker


def plan_facts(plan: Plan, speakers: list[Speaker]) -> str:
    """Digest of procedure, arrival, leaving, steps and every class A sentence, in each language."""
    timetable = plan.timetable
    facts = {
        "medicine": [plan.protocol.product, plan.protocol.pieces],
        "place": plan.unit.place,
        "moments": [
            moment.isoformat() for moment in (timetable.procedure, timetable.arrival, timetable.leaving)
        ],
        "steps": [
            [
                step.id,
                step.kind,
                step.start.isoformat(),
                step.end.isoformat() if step.end else None,
                step.amounts,
                step.diet,
            ]
            for step in timetable.steps
        ],
        "said": {speaker.wording.tag: sorted(speaker.said) for speaker in speakers},
    }
    return facts_digest(facts)


def facts_digest(facts: object) -> str:
    """16 hex digits over what a page states."""
    return hashlib.sha256(as_json(facts)).hexdigest()[:16]


def as_json(value: object) -> bytes:
    """The same value gives the same bytes."""
    return (json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":")) + "\n").encode()
