"""Symptoms: at which level the unit puts a warning sign: the emergency number, the unit, or carry on and tell."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from generator.clinic.fields import Fields
from generator.finding import Finding

LEVELS = ("tell", "unit", "emergency")  # each more careful than the one before it


def levels_from(
    table: Mapping[str, Any], ours: Mapping[str, str], file: str
) -> tuple[dict[str, str], list[Finding]]:
    """The unit's level for each sign that it puts elsewhere than we do, and every finding.

    Args:
        ours: sign -> the level at which it stands where the unit says nothing.
    """
    findings: list[Finding] = []
    fields = Fields(table, file, findings)
    levels: dict[str, str] = {}
    for entry in fields.tables("sign"):
        sign, level = entry.choice("sign", ours), entry.choice("level", LEVELS)
        entry.text("source")
        if sign in levels:
            entry.refuse("sign-doubled", "sign", f"The sign “{sign}” stands twice.", "Keep one of them.")
        if ours.get(sign) == "emergency" and level != "emergency":
            problem = f"“{sign}” is a sign for the emergency number, and would only be for “{level}”."
            entry.refuse(
                "sign-lowered", "level", problem, "Leave it out: a sign of danger to life stays one."
            )
        levels[sign] = level
        entry.close()
    fields.close()
    return levels, findings
