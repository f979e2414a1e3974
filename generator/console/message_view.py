"""A text message as the console shows it, with what was given over of its booking before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from generator.console.told import ToldFinding, findings_told, name_of
from generator.console.words import GIVEN_KINDS, GIVEN_WAYS
from generator.desk import Desk
from generator.desk.handing import Prepared
from generator.plan.moments import in_zone
from generator.records.handed import Handed


@dataclass(frozen=True, slots=True)
class MessageView:
    """A message as it is shown: its text, how it is sent, what was given over before; `english` where it is not."""

    number: int
    ref: str
    seen: str
    kind: str
    name: str
    language: str
    lang: str
    dir: str
    text: str
    english: str
    parts: int
    start: dt.datetime
    findings: tuple[ToldFinding, ...]
    given: tuple[str, ...]
    again: bool


def message_view(desk: Desk, one: Prepared) -> MessageView:
    """A message as it is shown."""
    text, booking = one.text, one.record.inputs and one.record.inputs.booking
    tag = text.lang if text else (booking.languages[0] if booking else "")
    return MessageView(
        number=one.record.id,
        ref=one.record.ref,
        seen=one.record.seen,
        kind=one.kind.value,
        name=GIVEN_KINDS[one.kind.value],
        language=name_of(tag, desk.wordings),
        lang=tag,
        dir=text.dir if text else "ltr",
        text=text.text if text else "",
        english=one.english,
        parts=text.parts.count if text else 0,
        start=in_zone(dt.datetime.fromisoformat(one.record.start), desk.folder.unit.zone),
        findings=tuple(findings_told(one.findings, desk.folder)),
        given=tuple(given_told(desk, [it for it in one.given if it.kind == one.kind])),
        again=any(it.kind == one.kind and it.version == one.record.identity.version for it in one.given),
    )


def given_told(desk: Desk, given: Sequence[Handed]) -> list[str]:
    """What was given over, when and by whom, the last first; whether it was read nobody knows."""
    zone = desk.folder.unit.zone
    return [
        f"{GIVEN_KINDS[one.kind]}: {GIVEN_WAYS[one.way]}, {in_zone(one.at, zone):%d %B, %H:%M}, {one.role}"
        + (f", plan version {one.version}" if one.version > 1 else "")
        for one in reversed(given)
    ]
