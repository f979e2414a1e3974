"""Day: what the unit states about the day of the examination: what to bring and tell, how long, how one goes home."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.clinic.rows import SEDATIONS
from generator.finding import Finding

BRING = (
    "letter", "medicines-list", "medicines", "inhaler", "diabetes-kit", "implant-card", "glasses",
    "hearing-aids", "loose-clothes", "spare-clothes", "slippers", "pads", "stoma-bag", "cpap", "phone",
    "no-valuables",
)  # fmt: skip
TELL = (
    "device", "veins", "allergy", "sedation", "breathing", "pregnant", "period", "teeth", "tube", "ill",
    "vomited", "interpreter",
)  # fmt: skip
HOME = ("adult", "car-or-taxi-with-adult", "car-with-adult", "adult-or-transport")
STAY = ("overnight", "some-hours", "as-told")
# After anything else somebody has to take the patient home: common practice, no source.
MAY_LEAVE_ALONE = ("none", "gas")


@dataclass(frozen=True, slots=True)
class Day:
    """The day of the examination as the unit has it.

    Attributes:
        bring, tell: ids of BRING and TELL, in the unit's order.
        shortest, longest: usual minutes of the examination.
        visit_minutes: from arrival to going home, about.
        home, stay: one of HOME, one of STAY: the rule after medicine that makes one sleepy.
        alone_after: kinds of sedation after which one may go home alone; empty: nobody may.
        sedation: kinds of sedation that the unit has.
        directions: the unit's own sentence on the way to it, in English, or None.
    """

    bring: tuple[str, ...]
    tell: tuple[str, ...]
    shortest: int
    longest: int
    visit_minutes: int
    home: str
    stay: str
    alone_after: tuple[str, ...]
    sedation: tuple[str, ...]
    directions: str | None


def day_from(table: Mapping[str, Any], file: str) -> tuple[Day, list[Finding]]:
    """The unit's day, and every finding."""
    findings: list[Finding] = []
    fields = Fields(table, file, findings)
    minutes = fields.table("examination_minutes")
    day = Day(
        bring=fields.choices("bring", BRING),
        tell=fields.choices("tell", TELL),
        shortest=minutes.whole("least", least=5, most=240),
        longest=minutes.whole("most", least=5, most=240),
        visit_minutes=fields.whole("visit_hours", least=1, most=24) * 60,
        home=fields.choice("home", HOME),
        stay=fields.choice("stay", STAY),
        alone_after=fields.choices("alone_after", MAY_LEAVE_ALONE),
        sedation=fields.choices("sedation", SEDATIONS),
        directions=fields.own_sentence("directions"),
    )
    if day.shortest > day.longest:
        minutes.refuse("value-invalid", "least", "“least” is more than “most”.", "Change one of them.")
    if day.visit_minutes < day.longest:
        problem = "The whole visit is shorter than the examination."
        fields.refuse("value-invalid", "visit_hours", problem, "Count from arrival to going home.")
    fields.text("source")
    minutes.close()
    fields.close()
    return day, findings
