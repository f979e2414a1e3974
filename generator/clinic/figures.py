"""Figures: how often something happens at this unit, or by what it goes; signed, dated, per 10,000 people."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.finding import Finding

OF = 10_000  # the one denominator; practice and clinical background: never two in one table
HARMS = (
    "perforation", "perforation-polyp", "bleeding", "bleeding-polyp", "hospital", "sedation", "death",
    "missed", "incomplete",
)  # fmt: skip
BENEFITS = ("polyps", "cancer")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: its id, how many of 10,000 people it happened to (below 1: a fraction), and up to which day."""

    id: str
    per_10000: float
    date: dt.date


@dataclass(frozen=True, slots=True)
class Figures:
    """The unit's figures, and its own sentence on who counted whom, in English."""

    counted: str
    figures: tuple[Figure, ...]


def figures_from(table: Mapping[str, Any], file: str) -> tuple[Figures | None, list[Finding]]:
    """The unit's figures, or None where the file states none, and every finding."""
    findings: list[Finding] = []
    fields = Fields(table, file, findings)
    entries = fields.tables("figure")
    counted = fields.own_sentence("counted")
    if entries and counted is None:
        fields.refuse(
            "key-missing",
            "counted",
            "Nothing says who was counted.",
            'Add counted = "Our own examinations of 2023 to 2025: 4120 people.": it stands below the figures.',
        )
    figures: dict[str, Figure] = {}
    for entry in entries:
        figure = _figure_from(entry)
        if figure.id in figures:
            entry.refuse(
                "figure-doubled", "id", f"The figure “{figure.id}” stands twice.", "Keep one of them."
            )
        figures[figure.id] = figure
    fields.close()
    return (Figures(counted or "", tuple(figures.values())) if figures else None), findings


def _figure_from(fields: Fields) -> Figure:
    per = fields.number("per_10000", least=0.001, most=9999)
    if per > 1 and per != int(per):
        fields.refuse(
            "value-invalid",
            "per_10000",
            "People are counted whole.",
            "Round it to a whole number of people in 10,000; only below 1 is a fraction kept.",
        )
    figure = Figure(
        id=fields.choice("id", (*HARMS, *BENEFITS)),
        per_10000=per,
        date=fields.day("date") or dt.date.min,
    )
    fields.text("source")
    fields.close()
    return figure
