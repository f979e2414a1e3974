"""The calendar file (RFC 5545): times in UTC, neutral words, few entries, the plan code in each.

Written here and only judged by a library: the entries are made for each language of each plan, their properties
have one order, and importers want the alarm last and no time zone tables.
"""

from __future__ import annotations

import datetime as dt
import re

from generator.clinic.unit import Unit
from generator.page.plan import Entry, Identity, Plan, Replaced
from generator.plan.alarms import alarm_steps
from generator.plan.timetable import Timetable
from generator.words.clock import when_text
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
_WHEN = Message(
    "A.calendar.when",
    "By the unit’s clock: {when}.",
    "Text of a calendar entry: a phone that is set to another time zone shows another hour. {when}: a day phrase "
    "and a time.",
)
DEMONSTRATION = Message(
    "A.calendar.demonstration",
    "Demonstration. Do not follow.",
    "Added to each calendar entry of a demonstration.",
)
_CANCELLED = Message(
    "A.calendar.cancelled",
    "Your plan {code}: no longer holds",
    "Title of a calendar entry of a plan that was changed or cancelled; others may see it.",
)
MESSAGES = (_SUMMARY, _BE_THERE, _DESCRIPTION, _WHEN, DEMONSTRATION, _CANCELLED)
_ENTRY = re.compile(
    r"UID:[0-9a-f]{12}-([^@\r\n]+)@.*?DTSTART:(\d{8}T\d{6}Z)\r\nDTEND:(\d{8}T\d{6}Z)", re.DOTALL
)
_FOLD = 75  # octets, RFC 5545 section 3.1


def entries_of(timetable: Timetable) -> tuple[Entry, ...]:
    """What a plan puts into calendars."""
    return tuple(
        Entry(step.id, step.start, step.end or step.start + dt.timedelta(minutes=5))
        for step in alarm_steps(timetable)
    )


def entries_in(calendar: bytes) -> tuple[Entry, ...]:
    """The entries of a calendar file of ours, cancelled ones too: no plan need be worked out anew to cancel them."""
    text = calendar.decode("utf-8", "replace").replace("\r\n ", "")
    return tuple(Entry(step_id, _moment(start), _moment(end)) for step_id, start, end in _ENTRY.findall(text))


def calendar_file(plan: Plan, speaker: Speaker) -> bytes:
    """The file in one language; entries of the earlier plan that this one does not have are cancelled in it."""
    lines: list[str] = []
    present = entries_of(plan.timetable)
    arrivals = {step.id for step in plan.timetable.steps if step.kind == "arrive"}
    for entry in present:
        summary = speaker.plain(_BE_THERE if entry.step_id in arrivals else _SUMMARY, code=plan.identity.code)
        when = speaker.plain(_WHEN, when=when_text(speaker, entry.start))
        lines += _event(plan.identity, entry, summary, _text(plan.unit, speaker, when))
    if plan.replaces:
        kept = {entry.step_id for entry in present}
        gone = tuple(entry for entry in plan.replaces.entries if entry.step_id not in kept)
        lines += _cancelled(plan.identity, plan.replaces.code, gone, plan.unit, speaker)
    return _calendar(lines)


def cancelling_file(identity: Identity, replaced: Replaced | None, unit: Unit, speaker: Speaker) -> bytes:
    """A file that takes back every entry of the plan that was replaced; without entries an empty calendar.

    The events say STATUS:CANCELLED (RFC 5545, 3.8.1.11), with the earlier UID and a higher SEQUENCE, and keep
    METHOD:PUBLISH: METHOD:CANCEL is a message of scheduling (RFC 5546, 3.2.5), which needs an organizer.
    """
    if replaced is None:
        return _calendar([])
    return _calendar(_cancelled(identity, replaced.code, replaced.entries, unit, speaker))


def _calendar(lines: list[str]) -> bytes:
    head = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//daybefore//plan//EN", "METHOD:PUBLISH"]
    return b"".join(_folded(line) + b"\r\n" for line in [*head, *lines, "END:VCALENDAR"])


def _text(unit: Unit, speaker: Speaker, *more: str) -> str:
    draft = (speaker.plain(DEMONSTRATION),) if unit.demonstration else ()
    return " ".join((speaker.plain(_DESCRIPTION), *more, *draft))


def _event(identity: Identity, entry: Entry, summary: str, text: str) -> list[str]:
    # The event starts when something is to be done, so that even a calendar's own default alarm is of use.
    alarm = [
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"DESCRIPTION:{_escaped(summary)}",
        "TRIGGER:PT0S",
        "END:VALARM",
    ]
    # A version counts for two: what cancels it comes after it, and before the next version.
    return _event_lines(identity, entry, 2 * identity.version - 1, summary, text, alarm)


def _cancelled(
    identity: Identity, code: str, entries: tuple[Entry, ...], unit: Unit, speaker: Speaker
) -> list[str]:
    lines = []
    for entry in entries:
        summary, text = speaker.plain(_CANCELLED, code=code), _text(unit, speaker)
        lines += _event_lines(identity, entry, 2 * identity.version, summary, text, ["STATUS:CANCELLED"])
    return lines


def _event_lines(
    identity: Identity, entry: Entry, sequence: int, summary: str, text: str, more: list[str]
) -> list[str]:
    return [
        "BEGIN:VEVENT",
        f"UID:{identity.mark}-{entry.step_id}@daybefore.invalid",
        f"SEQUENCE:{sequence}",
        f"DTSTAMP:{_utc(identity.made)}",
        f"LAST-MODIFIED:{_utc(identity.made)}",
        f"DTSTART:{_utc(entry.start)}",
        f"DTEND:{_utc(entry.end)}",
        f"SUMMARY:{_escaped(summary)}",
        f"DESCRIPTION:{_escaped(text)}",
        *more,
        "END:VEVENT",
    ]


def _moment(text: str) -> dt.datetime:
    return dt.datetime.strptime(text, "%Y%m%dT%H%M%SZ").replace(tzinfo=dt.UTC)


def _utc(moment: dt.datetime) -> str:
    return moment.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")


def _escaped(text: str) -> str:
    plain = text.translate({0x2066: None, 0x2068: None, 0x2069: None})
    return plain.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def _folded(line: str) -> bytes:
    """At most 75 octets a line, never inside a character."""
    parts, rest, room = [], line.encode(), _FOLD
    while len(rest) > room:
        cut = room
        while rest[cut] & 0xC0 == 0x80:  # inside a character of several octets
            cut -= 1
        parts.append(rest[:cut])
        rest, room = rest[cut:], _FOLD - 1  # the space that marks a folded line
    return b"\r\n ".join((*parts, rest))
