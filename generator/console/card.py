"""The card for switchboard and on-call doctor: what callers will say, what the codes mean, whom to ring. Printed."""

from __future__ import annotations

from flask import Blueprint, g, render_template

from generator.console.office import Office
from generator.console.roles import Action, needs
from generator.staff.line_hours import hours_text

pages = Blueprint("card", __name__)


@pages.get("/card")
@needs(Action.LOOK)
def card() -> str:
    """One sheet, with nothing of any patient on it."""
    office: Office = g.office
    unit = office.unit
    advice = office.materials.folder.advice_for(office.now().date())
    return render_template(
        "card.html",
        lines=[(line, hours_text(line)) for line in unit.lines],
        protocols=[one.protocol for one in office.materials.folder.protocols.values()],
        bleeding=advice.aftercare,
    )
