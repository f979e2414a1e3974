"""The call list: who must be phoned, why, by when, in which words; and what came of each try, by fixed choices."""

from __future__ import annotations

from flask import Blueprint, abort, g, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from generator.console.office import Office
from generator.console.roles import Action, needs
from generator.console.told import name_of
from generator.console.words import OUTCOMES, REASONS
from generator.plan.moments import in_zone
from generator.records import calls

pages = Blueprint("calls", __name__)


@pages.get("/calls")
@needs(Action.CALL)
def every() -> str:
    """All calls still to be made, the most urgent first."""
    office: Office = g.office
    zone, wordings = office.unit.zone, office.materials.wordings
    rows = []
    for call in calls.waiting(office.records):
        record = office.records.find(call.ref)
        booking = record.inputs.booking if record and record.inputs else None
        spoken = (booking.speaks or booking.languages[0]) if booking else None
        rows.append(
            {
                "call": call,
                "due": in_zone(call.due, zone),
                "late": call.due <= office.now(),
                "why": REASONS.get(call.why, call.why),
                "record": record,
                "language": name_of(spoken, wordings) if spoken else "",
                "speaks": bool(booking and booking.speaks),
                "foreign": spoken not in (None, office.unit.languages[0]),
                "lines": call.script.split("\n"),
                "tries": [(in_zone(at, zone), OUTCOMES.get(what, what)) for at, what in call.tries],
            }
        )
    return render_template("calls.html", rows=rows, outcomes=OUTCOMES, told=request.args.get("told", ""))


@pages.post("/calls/<int:number>")
@needs(Action.CALL)
def tried(number: int) -> AnyResponse:
    """Records what came of a try."""
    office: Office = g.office
    outcome = request.form.get("outcome", "")
    call = next((one for one in calls.waiting(office.records) if one.id == number), None)
    if outcome not in calls.OUTCOMES:
        abort(400)
    if call is None:  # somebody else reached them, or the booking has changed since: nothing is written over
        return redirect(url_for("calls.every", told="gone"))
    calls.tried(office.records, call.ref, outcome, g.account.role, office.now())
    return redirect(url_for("calls.every", told="recorded"))
