"""Aftercare: what the unit states about the time after the examination: waits, days of watching, bleeding, fever."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.clinic.fields import Fields
from generator.clinic.rows import SEDATIONS
from generator.finding import Finding

COUNTED_FROM = ("discharge", "last-dose")
MEALS = ("light", "usual")
SCALES = ("celsius", "fahrenheit", "both")
BLOOD = ("streaks", "spoon", "half-cup", "cup")  # from less to more
WAITS = ("drive", "alcohol", "sign", "alone")
LONGEST_WATCH = 60


@dataclass(frozen=True, slots=True)
class Waits:
    """Hours without driving, alcohol, signing, and being alone; 0: no wait."""

    drive: int
    alcohol: int
    sign: int
    alone: int


@dataclass(frozen=True, slots=True)
class Watch:
    """Days of watching from the day of the examination: after a biopsy, a polyp, a polyp on a blood thinner."""

    biopsy: int
    polyp: int
    polyp_thinner: int

    @property
    def longest(self) -> int:
        """The days for whom nobody told what was done."""
        return max(self.biopsy, self.polyp, self.polyp_thinner)


@dataclass(frozen=True, slots=True)
class Aftercare:
    """The unit's after-care.

    Attributes:
        counted_from: what the hours are counted from.
        waits: kind of sedation -> its waits; a kind that the unit does not have is not there.
        call_over, emergency_over: of BLOOD: more than this is a call, or an emergency.
        fever: degrees Celsius from which it is a call.
        fever_scale: how the page writes it.
        no_letter_days: after how many days without a letter to call, or None.
        results, flying, lifting: the unit's own sentences in English, or None.
    """

    counted_from: str
    waits: Mapping[str, Waits]
    watch: Watch
    call_over: str
    emergency_over: str
    fever: float
    fever_scale: str
    first_meal: str
    no_letter_days: int | None
    results: str | None
    flying: str | None
    lifting: str | None

    def waits_for(self, sedation: str | None) -> Waits | None:
        """The waits after that kind; None: not known, then of each the longest there is. No such kind: None."""
        if sedation is not None:
            return self.waits.get(sedation)
        every = self.waits.values()
        return Waits(*(max(getattr(waits, name) for waits in every) for name in WAITS)) if every else None


def aftercare_from(table: Mapping[str, Any], file: str) -> tuple[Aftercare, list[Finding]]:
    """The unit's after-care, and every finding."""
    findings: list[Finding] = []
    fields = Fields(table, file, findings)
    bleeding = fields.table("bleeding")
    call_over = bleeding.choice("call_over", BLOOD[:2])
    aftercare = Aftercare(
        counted_from=fields.choice("counted_from", COUNTED_FROM, "discharge"),
        waits=_waits_from(fields.table("hours")),
        watch=_watch_from(fields.table("watch_days")),
        call_over=call_over,
        emergency_over=bleeding.choice("emergency_over", BLOOD[1:]),
        fever=fields.number("fever_celsius", least=37.5, most=39.0),
        fever_scale=fields.choice("fever_shown", SCALES, "celsius"),
        first_meal=fields.choice("first_meal", MEALS),
        no_letter_days=fields.optional_whole("no_letter_days", least=1, most=120),
        results=fields.own_sentence("results"),
        flying=fields.own_sentence("flying"),
        lifting=fields.own_sentence("lifting"),
    )
    if call_over == aftercare.emergency_over:
        problem = f"More than “{call_over}” is both a call and an emergency."
        bleeding.refuse("value-invalid", "emergency_over", problem, "Make the emergency the larger amount.")
    bleeding.text("source")
    bleeding.close()
    fields.text("source")
    fields.close()
    return aftercare, findings


def _waits_from(fields: Fields) -> dict[str, Waits]:
    waits = {}
    for kind in SEDATIONS:
        if fields.has(kind):
            entry = fields.table(kind)
            waits[kind] = Waits(*(entry.whole(name, least=0, most=72) for name in WAITS))
            entry.close()
    if not waits:
        form = "conscious = { drive = …, alcohol = …, sign = …, alone = … }"
        fields.refuse("key-missing", "", "No kind of sedation has its hours.", f"Add {form}.")
    fields.text("source")
    fields.close()
    return waits


def _watch_from(fields: Fields) -> Watch:
    watch = Watch(
        *(fields.whole(name, least=1, most=LONGEST_WATCH) for name in ("biopsy", "polyp", "polyp_thinner"))
    )
    if watch.longest != watch.polyp_thinner:
        problem = "A polyp taken away on a blood thinner is watched for fewer days than something else."
        fields.refuse(
            "value-invalid", "polyp_thinner", problem, "Late bleeding is likeliest then: state more."
        )
    fields.text("source")
    fields.close()
    return watch
