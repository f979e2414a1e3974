"""The amounts of a step as a phrase for staff."""

from __future__ import annotations

from generator.plan.spoken import hours
from generator.plan.timetable import Step

_PHRASES = {
    "packets": "{} packet(s)", "mix_ml": "in {} mL of water", "wait_minutes": "let it stand {} minutes",
    "tablets": "{} tablet(s)", "takes_minutes": "{} minutes", "days": "for {} days",
    "least_ml": "at least {} mL", "most_ml": "at most {} mL", "most_ml_per_hour": "never more than {} mL an hour",
}  # fmt: skip


def amounts_text(step: Step) -> str:
    """The amounts; what only a machine wants is left out."""
    amounts, said = step.amounts, []
    if "glasses" in amounts:
        last = f", the last of {amounts['last_ml']} mL" if amounts["last_ml"] != amounts["ml"] else ""
        many = f"{amounts['glasses']} glasses of {amounts['ml']} mL{last}, one every {amounts['minutes']} minutes"
        one = f"one glass of {amounts['ml']} mL in {amounts['minutes']} minutes"
        said.append(one if amounts["glasses"] == 1 else f"{many}, {amounts['total_ml']} mL in all")
    said += [phrase.format(amounts[name]) for name, phrase in _PHRASES.items() if name in amounts]
    if "keeps_minutes" in amounts:
        said.append(f"keeps {hours(amounts['keeps_minutes'])}")
    if step.kind == "leave":
        said.append(f"{amounts['minutes']} minutes' way")
    if step.at_unit:
        said.append("at the unit")
    return ", ".join(said)
