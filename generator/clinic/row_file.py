"""Reads a [[row]] table of a protocol file into a Row, with every finding."""

from __future__ import annotations

import datetime as dt

from generator.clinic.fields import Fields
from generator.clinic.rows import (
    DIETS,
    ENGINE_KINDS,
    KINDS,
    SESSION_KINDS,
    Anchor,
    Before,
    Deadline,
    Gap,
    Glasses,
    Row,
    WallClock,
    Window,
)


def row_from(fields: Fields) -> Row:
    """A Row from a [[row]] table."""
    row_id, kind = fields.identifier("id"), fields.choice("kind", set(KINDS) - set(ENGINE_KINDS))
    source = fields.text("source")
    glasses = _glasses_from(fields) if kind in SESSION_KINDS else None
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
        packets=fields.whole("packets", least=1, most=40) if fields.has("packets") else None,
        mix_ml=fields.whole("mix_ml", least=50, most=4000) if fields.has("mix_ml") else None,
        tablets=fields.whole("tablets", least=1, most=40) if kind == "tablets" else None,
        wait_minutes=fields.whole("wait_minutes", least=1, most=1440) if fields.has("wait_minutes") else None,
        days=fields.whole("days", least=1, most=60) if kind == "watch" else None,
        medicine=fields.flag("medicine", kind in ("drink", "tablets", "enema")),
        usual=_usual_from(fields),
        source=source,
    )
    ways = (row.anchor is not None) + bool(row.windows) + _is_fixed_by_gap(row)
    if ways == 0 or (row.anchor is not None and row.windows):
        fields.refuse(
            "row-time",
            "",
            f"The row “{row_id}” needs one statement of its time.",
            "Give it “at” with “day”, or “before” with “hours”, or a “window”, or “after”.",
        )
    fields.close()
    return row


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
        pair = fields.tables("window")
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
        cited = table.text("source", source)
        anchor = _anchor_in(table)
        table.close()
        if anchor is not None:
            deadlines.append(Deadline(anchor, cited))
    return tuple(deadlines)


def _glasses_from(fields: Fields) -> Glasses:
    ml = fields.whole("ml", least=1, most=1000)
    if fields.has("total_ml"):
        total = fields.whole("total_ml", least=1, most=6000)
        if fields.has("glasses"):
            fields.refuse(
                "value-invalid", "glasses", "Both “glasses” and “total_ml” are given.", "Keep one of them."
            )
        count = max(1, -(-total // max(ml, 1)))
        last = total - (count - 1) * ml
    else:
        count, last = fields.whole("glasses", least=1, most=60), ml
    minutes = fields.whole("minutes", least=1, most=240)
    fastest = fields.whole("fastest_minutes", minutes, least=1, most=240)
    if fastest > minutes:
        fields.refuse(
            "value-invalid",
            "fastest_minutes",
            "The fastest pace is slower than the planned one.",
            "Make fastest_minutes no greater than minutes.",
        )
    most = fields.whole("most_ml_per_hour", least=100, most=2000) if fields.has("most_ml_per_hour") else None
    if most is not None and ml * 60 > most * fastest:
        fields.refuse(
            "pace-over-maximum",
            "minutes",
            f"{ml} mL every {fastest} minutes is more than {most} mL an hour.",
            "Give each glass more time, or mend most_ml_per_hour.",
        )
    return Glasses(count, ml, last, minutes, fastest, most)
