"""Changes of a booking that was given: move, hold, cancel, release. Old against new is shown before it is done."""

from __future__ import annotations

import datetime as dt

from flask import Blueprint, g, redirect, render_template, request, url_for
from werkzeug.exceptions import NotFound

from generator.console.booking_form import Typed, read_moment
from generator.console.bookings import booking_page, known_record
from generator.console.making import Page
from generator.console.move_form import changed_by_move, move_of, move_typed
from generator.console.office import Office
from generator.console.roles import Action, needs
from generator.console.told import days_told, findings_told
from generator.console.words import state_words
from generator.desk import Desk, Made, cancel, hold, move, release
from generator.desk.decisions import GO_AHEAD
from generator.desk.exchange import Between, between
from generator.desk.moving import moved
from generator.desk.preparing import as_seen_findings
from generator.desk.proposing import proposals
from generator.desk.questions import questions_about
from generator.finding import Finding
from generator.plan.change import Change, What
from generator.plan.moment_text import when_text
from generator.plan.moments import in_zone
from generator.records import PlanRecord
from generator.records.inputs import Inputs
from generator.staff.step_names import names_of_steps

pages = Blueprint("changes", __name__, url_prefix="/bookings")


def given_record(number: int) -> PlanRecord:
    """The booking of that number, if somebody may have its link."""
    record = known_record(number)
    if not record.was_given or record.inputs is None:
        raise NotFound
    return record


@pages.get("/<int:number>/move", endpoint="move")
@needs(Action.MOVE)
def move_form(number: int) -> str:
    """The form, as the booking stands."""
    office, record = g.office, given_record(number)
    return _move_page(record, move_of(_base(record).booking, office.unit.zone))


@pages.post("/<int:number>/move", endpoint="look_at_move")
@needs(Action.MOVE)
def look_at_move(number: int) -> str:
    """Old against new; nothing is changed."""
    return _move_page(given_record(number), move_typed(request.form), looked=True)


@pages.post("/<int:number>/move/now", endpoint="move_now")
@needs(Action.MOVE)
def move_now(number: int) -> Page:
    """Moves it."""
    office, record = g.office, given_record(number)
    typed = move_typed(request.form)
    desk: Desk = office.desk(request.form.get("seen"))
    changed, faults = changed_by_move(typed, _base(record).booking, desk.folder)
    if faults:
        return _move_page(record, typed, looked=True), 422
    return _told(record, move(desk, record.ref, changed, g.account.role), "moved", typed)


def _told(record: PlanRecord, made: Made, what: str, typed: Typed | None = None) -> Page:
    """The booking's page after a change; where nothing was done, the form again with what was typed."""
    office: Office = g.office
    if made.link is None:
        now = office.records.again(record)
        if typed is not None:
            return _move_page(now, typed, looked=True, stopped=made.findings), 409
        return booking_page(now, stopped=made.findings), 409
    held = any(one.kind == "plan-held" for one in made.findings)
    return redirect(url_for("bookings.one", number=record.id, told=f"{what}-held" if held else what))


def _base(record: PlanRecord) -> Inputs:
    base = record.pending or record.inputs
    assert base is not None, "a record that was given has inputs"
    return base


def _move_page(
    record: PlanRecord, typed: Typed, *, looked: bool = False, stopped: tuple[Finding, ...] = ()
) -> str:
    office: Office = g.office
    desk, base = office.desk(), _base(record)
    changed, faults = changed_by_move(typed, base.booking, desk.folder) if looked else ({}, [])
    if looked and not stopped:
        stopped = tuple(as_seen_findings(office.desk(request.form.get("seen")), record))
    inputs = moved(record, changed) if changed else None
    step = between(desk, record, inputs) if inputs else None
    booking = inputs.booking if inputs else base.booking
    offered = proposals(desk.folder, booking.start, booking.factors, desk.now.date())
    return render_template(
        "move.html",
        record=record,
        state=state_words(record),
        typed=typed,
        start=in_zone(base.booking.start, office.unit.zone),
        new_start=in_zone(booking.start, office.unit.zone),
        offered=offered,
        step=step,
        rows=change_rows(step, desk) if step else [],
        days=days_told(step.new, desk.folder) if step else [],
        findings=findings_told(step.findings, desk.folder, step.new, booking.protocol) if step else [],
        stopped=findings_told((*stopped, *faults), desk.folder),
        will_hold=_will_hold(step, record, inputs),
    )


def _will_hold(step: Between | None, record: PlanRecord, inputs: Inputs | None) -> bool:
    """Whether the old plan would be taken down, and the new one wait for a nurse."""
    if step is None or inputs is None:
        return False
    other = inputs.booking.protocol != _base(record).booking.protocol and g.account.role == "clerk"
    waits = any(
        one.decision and one.kind not in inputs.settled and not one.kind.startswith("instruction-shifted")
        for one in step.findings
    )
    return other or waits or step.is_refused or bool(step.begun) or record.life == "held"


def change_rows(step: Between, desk: Desk) -> list[tuple[str, str, str, str]]:
    """Title, what was, what is, and whether it is the same, of each step in either plan."""
    if step.new is None or not step.new.steps:  # as it stands there is no new plan to compare with
        return []
    steps = [one for plan in (step.old, step.new) if plan for one in plan.steps]
    names = names_of_steps({one.id: one for one in steps}.values(), desk.folder.stated)
    return [
        (names[one.step], _when(one, new=False), _when(one, new=True), _kind(one)) for one in step.changes
    ]


def _when(change: Change, *, new: bool) -> str:
    step = change.new if new else change.old
    if step is None:
        return "not in the plan"
    passed = change.past if new else change.due
    return when_text(step) + (" (has passed)" if new and passed else " (was due)" if passed else "")


def _kind(change: Change) -> str:
    return "same" if change.what is What.SAME else "other"


@pages.get("/<int:number>/hold", endpoint="hold")
@needs(Action.HOLD)
def hold_page(number: int) -> str:
    """Asks first."""
    return _sure_page(given_record(number), "hold")


@pages.post("/<int:number>/hold", endpoint="hold_now")
@needs(Action.HOLD)
def hold_now(number: int) -> Page:
    """Takes the plan down until somebody releases it."""
    office, record = g.office, given_record(number)
    return _told(record, hold(office.desk(request.form.get("seen")), record.ref, g.account.role), "held")


@pages.get("/<int:number>/cancel", endpoint="cancel")
@needs(Action.CANCEL)
def cancel_page(number: int) -> str:
    """Asks first."""
    return _sure_page(given_record(number), "cancel")


@pages.post("/<int:number>/cancel", endpoint="cancel_now")
@needs(Action.CANCEL)
def cancel_now(number: int) -> Page:
    """Takes the plan down for good."""
    office, record = g.office, given_record(number)
    return _told(
        record, cancel(office.desk(request.form.get("seen")), record.ref, g.account.role), "cancelled"
    )


def _sure_page(record: PlanRecord, what: str) -> str:
    """What will happen, and which of the patient's own medicines must be spoken about."""
    office: Office = g.office
    desk, given = office.desk(), record.inputs.given if record.inputs else None
    instructions = [step for step in given.steps if step.kind == "instruction"] if given else []
    names = names_of_steps(given.steps, desk.folder.stated) if given else {}
    return render_template(
        "sure.html",
        record=record,
        what=what,
        state=state_words(record),
        start=in_zone(_base(record).booking.start, office.unit.zone),
        medicines=[(names[step.id], when_text(step)) for step in instructions],
    )


@pages.get("/<int:number>/release", endpoint="release")
@needs(Action.RELEASE)
def release_page(number: int) -> str:
    """What waits, and what to decide with the patient."""
    return _release_page(given_record(number))


@pages.post("/<int:number>/release", endpoint="release_now")
@needs(Action.RELEASE)
def release_now(number: int) -> Page:
    """Publishes what waits, with what the patient told."""
    office, record = g.office, given_record(number)
    faults: list[Finding] = []
    begun = _begun(record, office, faults)
    decided = [kind for kind in request.form.getlist("decided") if len(kind) < 200]
    cleared = request.form.get("cleared") == "yes"
    if faults:
        return _release_page(record, tuple(faults)), 422
    desk: Desk = office.desk(request.form.get("seen"))
    made = release(desk, record.ref, g.account.role, begun, decided, cleared=cleared)
    if made.link is None:
        return _release_page(office.records.again(record), made.findings), 409
    return redirect(url_for("bookings.one", number=number, told="released"))


def _begun(record: PlanRecord, office: Office, faults: list[Finding]) -> dict[str, dt.datetime]:
    """The doses that the patient has begun, by what they say on the phone."""
    begun: dict[str, dt.datetime] = {}
    for name, value in request.form.items():
        row = name.removeprefix("begun-date:")
        if row == name:
            continue
        time = request.form.get(f"begun-time:{row}", "").strip()
        if value.strip() and time:
            at = read_moment(value.strip(), time, office.unit.zone, "Begun", faults)
            begun |= {row: at} if at else {}
    return begun


def _release_page(record: PlanRecord, stopped: tuple[Finding, ...] = ()) -> str:
    office: Office = g.office
    desk = office.desk()
    if record.life != "held":
        return booking_page(record)
    inputs = _base(record)
    step = between(desk, record, inputs)
    new = step.new
    asked = questions_about(step.findings, inputs.settled, desk.folder)
    return render_template(
        "release.html",
        record=record,
        state=state_words(record),
        start=in_zone(inputs.booking.start, office.unit.zone),
        step=step,
        rows=change_rows(step, desk),
        days=days_told(new, desk.folder),
        findings=findings_told(step.findings, desk.folder, new, inputs.booking.protocol),
        stopped=findings_told(stopped, desk.folder),
        questions=[one for one in asked if GO_AHEAD in one.choices],
        unanswered=[one for one in asked if GO_AHEAD not in one.choices],
        uncleared=inputs.booking.cleared is None,
        doses=[one for one in new.steps if one.medicine] if new else [],
        names=names_of_steps(new.steps, desk.folder.stated) if new else {},
        form=request.form,
    )
