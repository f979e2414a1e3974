"""A protocol as one HTML file that a clinical lead reads, prints and signs: rules, sources, departures, samples."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from generator.clinic.protocol import Protocol
from generator.clinic.rows import SESSION_KINDS
from generator.clinic.unit import Unit
from generator.finding import Finding
from generator.plan.departures import DepartedRule
from generator.plan.hourly import most_of
from generator.plan.samples import Sample
from generator.plan.spoken import spoken_day
from generator.plan.suited import Stated
from generator.plan.timetable import Step
from generator.policy import hash_source
from generator.staff.rule_words import ToldRow, told_rows, told_usual_medicines
from generator.staff.step_names import finding_in_words, in_words, names_of_rows, names_of_steps

_NOTHING_STATED = Stated()


@dataclass(frozen=True, slots=True)
class RulePageParts:
    """What the file is made from: the texts of its template and style."""

    template: str
    style: str


@dataclass(frozen=True, slots=True)
class RulePage:
    """What the page is of.

    Attributes:
        file: the protocol's path inside the unit's folder.
        digest: of its meaning, to which a signature is bound.
        validity: until when it is signed, in a sentence.
    """

    unit: Unit
    protocol: Protocol
    file: str
    digest: str
    validity: str
    samples: tuple[Sample, ...]
    departed: tuple[DepartedRule, ...]
    findings: tuple[Finding, ...]


def rule_page(told: RulePage, parts: RulePageParts) -> bytes:
    """The page as HTML; it needs no network, and its policy lets nothing run and only this style apply."""
    protocol, names = told.protocol, names_of_rows(told.protocol.rows)
    style = f"{parts.style}\n{_page_rule(told)}"
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    text = environment.from_string(parts.template).render(
        unit=told.unit.name,
        protocol=protocol,
        file=told.file,
        digest=told.digest,
        validity=told.validity,
        starts=f"{protocol.slots.since:%H:%M} to before {protocol.slots.until:%H:%M}",
        rows=[_row(row) for row in told_rows(protocol)],
        own_medicines=told_usual_medicines(protocol),
        added=list(_added_rules(protocol, told.unit)),
        departed=[_departed(one, names) for one in told.departed],
        findings=[finding_in_words(one, names) for one in told.findings],
        samples=[_sample(sample) for sample in told.samples],
        days=list(_days(told.samples)),
        style=Markup(style),
        style_hash=hash_source(style),
    )
    return text.encode()


def _page_rule(told: RulePage) -> str:
    """Names the version at the foot of each printed page; id and digest hold letters, digits and hyphens alone."""
    foot = f"{told.protocol.id}, version {told.digest}, page "
    return f'@page {{ @bottom-center {{ content: "{foot}" counter(page) " of " counter(pages); }} }}'


def _row(row: ToldRow) -> dict[str, object]:
    """A row's sentences by what states them, in their order."""
    groups = groupby(row.rules, key=lambda rule: rule.source)
    stated = [(source, [rule.sentence for rule in rules]) for source, rules in groups]
    return {"title": row.title, "id": row.id, "stated": stated}


def _added_rules(protocol: Protocol, unit: Unit) -> Iterator[str]:
    """What the software adds to the file's rules; see PROTOCOLS.md."""
    yield "Bowel medicine, tablets, drinks and mixing have ended when nothing more may be taken."
    yield "Whatever is done at home has ended by leaving home."
    yield "Drinks and pauses follow one another in the order of this page."
    most = most_of(protocol.rows)
    if most is not None:
        yield f"All drinks of any 60 minutes together hold at most {most[0]:,} mL."
    yield "A mixture is ready before its drink starts, and is drunk while it keeps."
    yield "What is done with somebody who keeps opening days is moved to a working day."
    night = f"{unit.night.since:%H:%M} to {unit.night.until:%H:%M}"
    yield (
        f"Of all times that keep every rule: fewest minutes awake in the unit's night ({night}); then most of the "
        f"{unit.quiet_minutes} quiet minutes before leaving home; then starts on the hour, half hour or quarter; then "
        "the last dose late, the others early."
    )
    yield "Where no times keep every rule there is no plan, and the rules that collide are named."


def _departed(rule: DepartedRule, names: dict[str, str]) -> dict[str, object]:
    return {
        "yardstick": rule.yardstick,
        "rule": rule.rule,
        "lines": [in_words(line, names) for line in rule.lines],
        "accepted": rule.accepted,
        "former": rule.former,
    }


def _sample(sample: Sample) -> dict[str, object]:
    return {
        "start": f"{sample.start:%H:%M}",
        "way": f"{sample.travel_minutes} min" if sample.travel_minutes else "none",
        "is_planned": bool(sample.timetable.steps),
    }


def _days(samples: Sequence[Sample]) -> Iterator[dict[str, object]]:
    """The steps of all samples by the day they stand on, counted from the procedure's, in order of time."""
    steps = [(number, step) for number, sample in enumerate(samples) for step in sample.timetable.steps]
    names = names_of_steps((step for _, step in steps), _NOTHING_STATED)
    places: dict[int, dict[str, dict[int, Step]]] = {}
    for number, step in sorted(steps, key=lambda found: (_day(found[1], samples[found[0]]), found[1].start)):
        on_day = places.setdefault(_day(step, samples[number]), {})
        on_day.setdefault(step.id, {})[number] = step
    for day, on_day in places.items():
        cells = [
            {"title": names[step_id], "cells": [_cell(found.get(number)) for number in range(len(samples))]}
            for step_id, found in on_day.items()
        ]
        told = spoken_day(day)
        yield {"day": f"{told[0].upper()}{told[1:]}", "steps": cells}


def _day(step: Step, sample: Sample) -> int:
    return (step.start.date() - sample.start.date()).days


def _cell(step: Step | None) -> str:
    """When a step is in one sample: a clock time, a span, or since when a phase is."""
    if step is None:
        return ""
    if step.end is None or step.end == step.start:
        return f"{step.start:%H:%M}"
    if step.end.date() == step.start.date() or step.kind in SESSION_KINDS:
        return f"{step.start:%H:%M}\u2013{step.end:%H:%M}"
    return f"from {step.start:%H:%M}"
