"""Reads a [[row]] table of a protocol file into a Row, with every finding."""

from __future__ import annotations

import datetime as dt
from typing import Any

from generator.clinic.fields import Fields
from generator.clinic.glasses_file import glasses_from
from generator.clinic.rows import (
    CHECKS,
    DIETS,
    ENGINE_KINDS,
    HOME_KINDS,
    KINDS,
    SEDATIONS,
    SESSION_KINDS,
    Anchor,
    Before,
    Deadline,
    Gap,
    Instead,
    PhaseLimits,
    Row,
    WallClock,
    Window,
)


def row_from(fields: Fields) -> Row:
    """A Row from a [[row]] table."""
    known = len(fields.findings)
    row_id, kind = fields.identifier("id"), fields.choice("kind", set(KINDS) - set(ENGINE_KINDS))
    source = fields.text("source")
    glasses = glasses_from(fields) if kind in SESSION_KINDS else None
    row = Row(
        id=row_id,
        kind=kind,
        diet=fields.choice("diet", DIETS) if kind == "diet" else None,
        anchor=_anchor_in(fields) if fields.has("at") or fields.has("before") else None,
        windows=_windows_from(fields, source),
        gaps=_gaps_from(fields, source),
        deadlines=_deadlines_from(fields, source),
        until_row=fields.optional_text("until"),
        glasses=glasses,
        packets=fields.optional_whole("packets", least=1, most=40) if kind == "mix" else None,
        mix_ml=fields.optional_whole("mix_ml", least=50, most=4000) if kind == "mix" else None,
        tablets=fields.whole("tablets", least=1, most=40) if kind == "tablets" else None,
        wait_minutes=fields.optional_whole("wait_minutes", least=1, most=1440) if kind == "mix" else None,
        days=fields.whole("days", least=1, most=60) if kind == "watch" else None,
        medicine=fields.flag("medicine", kind in ("drink", "tablets", "enema")),
        usual=_usual_from(fields),
        source=source,
        instead=_instead_from(fields, source),
        takes_minutes=None if glasses else _length_from(fields, kind),
        contains=fields.optional_text("contains"),
        at_unit=fields.flag("at_unit", False) if kind in HOME_KINDS else False,
        **_of_kind(fields, kind),
    )
    for window in row.windows:
        _check_window(fields, row.id, window)
    _check_times(fields, row, told=len(fields.findings) > known)
    if kind in KINDS:  # else nobody knows which keys it may have
        fields.close()
    return row


def _check_window(fields: Fields, row_id: str, window: Window) -> None:
    """A window that ends before it begins; where its ends are of two sorts, the booking decides."""
    since, until = window.since, window.until
    if isinstance(since, WallClock) and isinstance(until, WallClock):
        is_reversed = (since.day, since.at) > (until.day, until.at)
    elif isinstance(since, Before) and isinstance(until, Before) and since.point == until.point:
        is_reversed = since.minutes < until.minutes
    else:
        return
    if is_reversed:
        problem = f"The window of “{row_id}” ends before it begins."
        fields.refuse(
            "window-reversed", "window", problem, "State the earlier moment first; days before are negative."
        )


def _check_times(fields: Fields, row: Row, *, told: bool) -> None:
    """One statement of when it starts, and one of when it ends.

    Args:
        told: something of the row is told already; a time that could not be read is not missing.
    """
    if row.until_row is not None and row.minutes:
        fields.refuse(
            "value-invalid",
            "until",
            f"The row “{row.id}” says both how long it takes and until when it is.",
            "Keep “until”, or the minutes.",
        )
    if row.kind == "stop-drinking" and row.windows:
        fields.refuse(
            "row-time",
            "window",
            f"The row “{row.id}” says from when to when drinking may end; nobody but the unit picks that moment.",
            'State one moment, such as before = "procedure" with hours = 2.',
        )
    ways = (row.anchor is not None) + bool(row.windows) + _is_fixed_by_gap(row)
    is_stated = told and any([fields.has(key) for key in ("at", "before", "window", "windows", "after")])
    if (ways == 0 and not is_stated) or (row.anchor is not None and row.windows):
        fields.refuse(
            "row-time",
            "",
            f"The row “{row.id}” needs one statement of its time.",
            "Give it “at” with “day”, or “before” with “hours”, or a “window”, or “after”.",
        )


def _length_from(fields: Fields, kind: str) -> int | None:
    """How long a row without glasses takes; a pause that says neither that nor until when would be none."""
    if kind == "pause" and not fields.has("until"):
        return fields.whole("minutes", least=1, most=1440)
    return fields.optional_whole("minutes", least=1, most=1440)


def _of_kind(fields: Fields, kind: str) -> dict[str, Any]:
    """What only some kinds have: how long a mixture keeps, and for what, what a check looks for, a phase's most."""
    if kind == "mix":
        return {
            "serves": fields.texts("for", []),
            "keeps_minutes": fields.minutes_of_hours("keeps_hours", least=0.25)
            if fields.has("keeps_hours")
            else None,
        }
    if kind == "check":
        return {
            "check": fields.choice("check", CHECKS, "clarity"),
            "room_minutes": fields.optional_whole("room_minutes", least=1, most=480),
            "settle_minutes": fields.optional_whole("settle_minutes", least=5, most=120),
        }
    if kind == "clear-fluids":
        return {
            "phase": PhaseLimits(
                fields.optional_whole("most_ml", least=500, most=10000),
                fields.optional_whole("most_ml_per_hour", least=100, most=2000),
            )
        }
    return {}


def _instead_from(fields: Fields, source: str) -> tuple[Instead, ...]:
    """Other times of the row by kind of sedation: instead = [{ sedation = ["none"], before = …, hours = 1 }]."""
    others = []
    for table in fields.tables("instead"):
        cited, sedation = table.text("source", source), table.choices("sedation", SEDATIONS)
        anchor = _anchor_in(table)
        table.close()
        if not sedation:
            table.refuse(
                "key-missing", "sedation", "It says no kind of sedation.", 'Write sedation = ["none"].'
            )
        if anchor is not None:
            others.append(Instead(sedation, anchor, cited))
    if others and not (fields.has("at") or fields.has("before")):
        fields.refuse(
            "value-invalid",
            "instead",
            "Only a row with a time of its own can have another one instead.",
            "Give the row “at” or “before”.",
        )
    return tuple(others)


def _usual_from(fields: Fields) -> dict[dt.time, dt.time]:
    """The unit's own times by slot, written usual = { "09:00" = "05:00" }."""
    if not fields.has("usual"):
        return {}
    if not (fields.has("window") or fields.has("windows")):
        fields.refuse(
            "value-invalid", "usual", "Only a row with a window can have usual times.", "Give it a window."
        )
    table = fields.table("usual")
    return {slot: table.clock(name) for name in table.keys() if (slot := table.clock_named(name)) is not None}


def _is_fixed_by_gap(row: Row) -> bool:
    return any(gap.at_least is not None for gap in row.gaps)


def _anchor_in(fields: Fields) -> Anchor | None:
    if fields.has("at"):
        if fields.has("before"):
            fields.refuse("row-time", "before", "Both “at” and “before” are given.", "Keep one of them.")
            fields.has("hours")
        return WallClock(fields.whole("day", least=-30, most=60), fields.clock("at"))
    if not fields.has("before"):
        fields.refuse(
            "key-missing",
            "before",
            "A time needs “at” with “day”, or “before” with “hours”.",
            'Write { at = "18:00", day = -1 } or { before = "procedure", hours = 5 }.',
        )
        return None
    return Before(fields.text("before"), fields.minutes_of_hours("hours"))


def _anchor_from(fields: Fields) -> Anchor | None:
    anchor = _anchor_in(fields)
    fields.close()
    return anchor


def _windows_from(fields: Fields, source: str) -> tuple[Window, ...]:
    windows: list[Window] = []
    if fields.has("window"):
        value = fields.anything("window")
        pair = (
            fields.tables("window")
            if isinstance(value, list) and all(isinstance(one, dict) for one in value)
            else []
        )
        if len(pair) != 2:
            fields.refuse(
                "value-invalid",
                "window",
                "A window needs two times.",
                'Write [{ at = "18:00", day = -1 }, { at = "20:00", day = -1 }].',
            )
        else:
            windows.append(Window(_anchor_from(pair[0]), _anchor_from(pair[1]), source))
    for table in fields.tables("windows"):
        windows.append(
            Window(
                _anchor_from(table.table("since")) if table.has("since") else None,
                _anchor_from(table.table("until")) if table.has("until") else None,
                table.text("source", source),
                table.choices("sedation", SEDATIONS),
            )
        )
        table.close()
    return tuple(windows)


def _gaps_from(fields: Fields, source: str) -> tuple[Gap, ...]:
    value = fields.anything("after")
    if value is None:
        return ()
    tables = fields.tables("after") if isinstance(value, list) else [fields.table("after")]
    gaps = []
    for table in tables:
        gaps.append(
            Gap(
                row=table.text("row"),
                at_least=table.minutes_of_hours("at_least") if table.has("at_least") else None,
                at_most=table.minutes_of_hours("at_most") if table.has("at_most") else None,
                counted_from=table.choice("counted_from", ("start", "end"), "end"),
                source=table.text("source", source),
                sedation=table.choices("sedation", SEDATIONS),
            )
        )
        table.close()
    return tuple(gaps)


def _deadlines_from(fields: Fields, source: str) -> tuple[Deadline, ...]:
    value = fields.anything("end_by")
    if value is None:
        return ()
    tables = fields.tables("end_by") if isinstance(value, list) else [fields.table("end_by")]
    deadlines = []
    for table in tables:
        cited, sedation = table.text("source", source), table.choices("sedation", SEDATIONS)
        anchor = _anchor_in(table)
        table.close()
        if anchor is not None:
            deadlines.append(Deadline(anchor, cited, sedation))
    return tuple(deadlines)
