"""Advice notes: published figures beside the unit's own, for the clinical lead who signs; none is ever on a page.

Figures: Reumkens et al., Am J Gastroenterol 2016 (21 population studies); Paszat et al. 2021 (121,626 people
screened); Zhao et al. 2019 (missed adenomas); the trade's consent forms (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator

from generator.clinic.aftercare import WAITS, Aftercare
from generator.clinic.figures import Figures
from generator.finding import Finding, note

# Figure -> what is published, in 10,000: each with who states it.
_PUBLISHED = {
    "perforation": (
        "Reumkens 2016: 5 (4 to 7)",
        "Paszat 2021, admitted: 6, later 4",
        "consent forms of the trade: 10 to 30 (0.1 to 0.3 %)",
    ),
    "perforation-polyp": ("Reumkens 2016: about 8 with polyp removal, 4 without",),
    "bleeding": (
        "Reumkens 2016: 26 (17 to 37)",
        "Paszat 2021, admitted: 43",
        "consent forms of the trade: 50 to 100 (0.5 to 1 %)",
    ),
    "bleeding-polyp": ("Reumkens 2016: 98 (77 to 121) with polyp removal, 6 without",),
    "death": ("Reumkens 2016: 0.29 (0.11 to 0.55), which is 2.9 in 100,000",),
    "missed": ("Zhao 2019: 26 % of adenomas, 9 % of advanced ones; of growths, not of people",),
}
_USUAL_HOURS = 24  # common practice after sedation into a vein; some units state 12 after propofol alone
_USUAL_WATCH = 14  # days; Paszat et al. 2021
_USUAL_WATCH_THINNER = 30  # days; Park et al. 2018 called at 7 and 30 days
_USUAL_FEVER = 38.0  # degrees Celsius; common practice, no source


def figure_notes(figures: Figures | None, file: str) -> Iterator[Finding]:
    """For each of the unit's figures, what is published about the same."""
    for figure in figures.figures if figures else ():
        for published in _PUBLISHED.get(figure.id, ("nothing that we know of",)):
            yield note(
                "figure-beside",
                f"{file} figure {figure.id}",
                f"This file states {figure.per_10000:g} in 10,000. Published: {published}.",
                "Compare it with the consent form that patients sign here; the page shows this file's figure alone.",
            )


def aftercare_notes(aftercare: Aftercare, file: str) -> Iterator[Finding]:
    """Where the unit's after-care is shorter or higher than is usual."""
    for kind in ("conscious", "propofol", "general"):
        waits = aftercare.waits.get(kind)
        short = [name for name in WAITS if waits and getattr(waits, name) < _USUAL_HOURS]
        if short:
            yield _beside(f"{file} hours {kind}", f"{', '.join(short)}: fewer hours than the usual 24")
    watch = aftercare.watch
    if watch.polyp < _USUAL_WATCH:
        yield _beside(f"{file} watch_days polyp", "fewer than the 14 days of Paszat 2021")
    if watch.polyp_thinner < _USUAL_WATCH_THINNER:
        yield _beside(
            f"{file} watch_days polyp_thinner", "fewer than 30 days, to which Park 2018 followed people"
        )
    if aftercare.fever > _USUAL_FEVER:
        yield _beside(f"{file} fever_celsius", "more than the usual 38.0")


def _beside(where: str, problem: str) -> Finding:
    return note("aftercare-beside", where, f"This is {problem}.", "If this is your rule, keep it and sign.")
