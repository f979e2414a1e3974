"""Reads the drinking session of a row: glasses, pace, and the least and most it may hold."""

from __future__ import annotations

from generator.clinic.fields import Fields
from generator.clinic.rows import Glasses

_MEND_GLASSES = "Mend the number of glasses, their size or minutes, or the figure itself."


def glasses_from(fields: Fields) -> Glasses:
    """The session of a row: glasses of so many millilitres, or a total of which the last glass is the rest."""
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
        count, last = _count_from(fields), ml
    minutes, fastest, most = _pace_from(fields, ml)
    return _within_bounds(
        fields,
        Glasses(
            count,
            ml,
            last,
            minutes,
            fastest,
            most,
            fields.optional_whole("least_ml_per_hour", least=50, most=2000),
            fields.optional_whole("least_ml", least=1, most=6000),
            fields.optional_whole("most_ml", least=1, most=6000),
        ),
    )


def _count_from(fields: Fields) -> int:
    if not fields.has("glasses"):
        problem = "It says neither how many glasses nor how much in all."
        fields.refuse("key-missing", "glasses", problem, "Add glasses = 8, or total_ml = 2000.")
        return 1
    return fields.whole("glasses", least=1, most=60)


def _pace_from(fields: Fields, ml: int) -> tuple[int, int, int | None]:
    """Minutes per glass, the fastest allowed, and the hourly maximum of all drinks together."""
    minutes = fields.whole("minutes", least=1, most=240)
    fastest = fields.whole("fastest_minutes", minutes, least=1, most=240)
    if fastest > minutes:
        fields.refuse(
            "value-invalid",
            "fastest_minutes",
            "The fastest pace is slower than the planned one.",
            "Make fastest_minutes no greater than minutes.",
        )
    most = fields.optional_whole("most_ml_per_hour", least=100, most=2000)
    if most is not None and ml * 60 > most * fastest:
        fields.refuse(
            "pace-over-maximum",
            "minutes",
            f"{ml} mL every {fastest} minutes is more than {most} mL an hour.",
            "Give each glass more time, or mend most_ml_per_hour.",
        )
    return minutes, fastest, most


def _within_bounds(fields: Fields, glasses: Glasses) -> Glasses:
    """The same glasses; told where they are fewer or more than the session may hold, or slower than it may be."""
    least, most, per_hour = glasses.least_ml, glasses.most_ml, glasses.least_ml_per_hour
    told = f"The glasses are {glasses.total_ml} mL together"
    if least is not None and glasses.total_ml < least:
        fields.refuse("amount-below-least", "least_ml", f"{told}, less than {least} mL.", _MEND_GLASSES)
    if most is not None and glasses.total_ml > most:
        fields.refuse("amount-over-most", "most_ml", f"{told}, more than {most} mL.", _MEND_GLASSES)
    if per_hour is not None and glasses.ml * 60 < per_hour * glasses.minutes:
        problem = f"{glasses.ml} mL every {glasses.minutes} minutes is less than {per_hour} mL an hour."
        fields.refuse("pace-below-least", "least_ml_per_hour", problem, _MEND_GLASSES)
    return glasses
