"""The calendar file (RFC 5545): times in UTC, neutral words, few entries, the plan code in each."""

from __future__ import annotations

import datetime as dt

from generator.page.plan import Plan
from generator.words.message import Message
from generator.words.speaker import Speaker

# Calendars are synced, shared and shown on lock screens: the entries name no step and no examination.
_SUMMARY = Message(
    "B.calendar.step", "Your plan {code}: next step", "Title of a calendar entry; others may see it."
)
_BE_THERE = Message(
    "B.calendar.appointment",
    "Your plan {code}: appointment",
    "Title of the calendar entry for the appointment; others may see it.",
)
_DESCRIPTION = Message("B.calendar.open", "Open your plan.", "Text of a calendar entry; others may see it.")
_DRAFT = Message(
    "A.calendar.demonstration",
    "Demonstration. Do not follow.",
    "Added to each calendar entry of a demonstration.",
)
MESSAGES = (_SUMMARY, _BE_THERE, _DESCRIPTION, _DRAFT)
KINDS = ("mix", "drink", "stop-drinking", "leave", "arrive")
_FOLD = 75  # octets, RFC 5545 section 3.1


def calendar_file(plan: Plan, speaker: Speaker) -> bytes:
    """The file in one language."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//daybefore//plan//EN", "METHOD:PUBLISH"]
    for step in plan.timetable.steps:
        if step.kind in KINDS:
            title = _BE_THERE if step.kind == "arrive" else _SUMMARY
            end = step.end or step.start + dt.timedelta(minutes=5)
            lines += _event(plan, speaker, step.id, title, step.start, end)
    lines.append("END:VCALENDAR")
    return "".join(_folded(line) + "\r\n" for line in lines).encode()


def _event(
    plan: Plan, speaker: Speaker, step_id: str, title: Message, start: dt.datetime, end: dt.datetime
) -> list[str]:
    summary = speaker.plain(title, code=plan.identity.code)
    text = speaker.plain(_DESCRIPTION)
    if plan.unit.demonstration:
        text = f"{text} {speaker.plain(_DRAFT)}"
    # The event starts when something is to be done, so that even a calendar's own default alarm is of use.
    return [
        "BEGIN:VEVENT",
        f"UID:{plan.identity.mark}-{step_id}@daybefore.invalid",
        f"SEQUENCE:{plan.identity.version}",
        f"DTSTAMP:{_utc(plan.identity.made)}",
        f"DTSTART:{_utc(start)}",
        f"DTEND:{_utc(end)}",
        f"SUMMARY:{_escaped(summary)}",
        f"DESCRIPTION:{_escaped(text)}",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"DESCRIPTION:{_escaped(summary)}",
        "TRIGGER:PT0S",
        "END:VALARM",
        "END:VEVENT",
    ]


def _utc(moment: dt.datetime) -> str:
    return moment.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")


def _escaped(text: str) -> str:
    plain = text.translate({0x2066: None, 0x2068: None, 0x2069: None})
    return plain.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def _folded(line: str) -> str:
    """At most 75 octets a line, never inside a character."""
    parts: list[str] = []
    part = ""
    for character in line:
        if len((part + character).encode()) > _FOLD - bool(parts):
            parts.append(part)
            part = ""
        part += character
    return "\r\n ".join([*parts, part])
