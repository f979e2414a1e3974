"""Step names: the headings of the page in place of ids, in what staff read. JSON keeps the ids."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace

from generator.clinic.instruction import MEDICINE_CLASSES
from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row
from generator.finding import Finding
from generator.page.step_messages import TITLES
from generator.page.step_words import title_of
from generator.plan.spoken import POINT_NAMES
from generator.plan.suited import Stated
from generator.plan.timetable import Step

Names = Mapping[str, str]
NO_NAMES: Names = {}
_QUOTED = re.compile("“([^”]+)”")


def names_of_steps(steps: Iterable[Step], stated: Stated) -> dict[str, str]:
    """Step id -> its heading; headings that stand more than once are numbered in the order of the steps."""
    titles = {}
    for step in steps:
        own = stated.instructions.get(step.instruction or "")
        titles[step.id] = f"{title_of(step).english} ({own.title})" if own else title_of(step).english
    return _numbered(titles)


def names_of_rows(rows: Iterable[Row]) -> dict[str, str]:
    """The same for the rows of a protocol, where there is no timetable; a kind without a heading keeps its id."""
    titles = {}
    for row in rows:
        title = TITLES.get(f"{row.kind}-{row.diet or row.check}") or TITLES.get(row.kind)
        titles[row.id] = title.english if title else row.id
    return _numbered(titles)


def names_of_unit(stated: Stated, *protocols: Protocol) -> dict[str, str]:
    """What the unit's files name: classes of medicine, instructions and rows; earlier protocols win."""
    names = dict(MEDICINE_CLASSES)
    names |= {one.id: one.title for one in stated.instructions.values()}
    added = [added.row for factor in stated.factors.values() for added in factor.rows]
    for protocol in reversed(protocols):
        names |= names_of_rows((*protocol.rows, *added))
    return names


def in_words(text: str, names: Names) -> str:
    """The text with each id in quotes as the heading of its step; what is no id of these stays."""

    def word(found: re.Match[str]) -> str:
        name = found[1]
        return POINT_NAMES.get(name) or f"“{names.get(name, name)}”"

    return _QUOTED.sub(word, text) if names else text


def finding_in_words(finding: Finding, names: Names) -> Finding:
    """The finding as a person reads it; a place that the sentence names anyhow is not said twice."""
    return replace(
        finding,
        where=_place(finding, names),
        problem=in_words(finding.problem, names),
        remedy=in_words(finding.remedy, names),
    )


def _place(finding: Finding, names: Names) -> str:
    """Where it is, in words; "" where its sentence says so. A factor's sentence begins with the factor's title."""
    ids = finding.where.split(", ")
    if finding.kind.startswith("factor-") and finding.kind.endswith(f":{finding.where}"):
        return ""
    if all(f"“{one}”" in finding.problem for one in ids):
        return ""
    return ", ".join(POINT_NAMES.get(one) or names.get(one, one) for one in ids) if names else finding.where


def _numbered(titles: Mapping[str, str]) -> dict[str, str]:
    many, seen, names = Counter(titles.values()), Counter[str](), {}
    for name, title in titles.items():
        seen[title] += 1
        names[name] = title if many[title] == 1 else f"{title} ({seen[title]} of {many[title]})"
    return names
