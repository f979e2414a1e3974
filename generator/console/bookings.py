"""One booking: how it stands, its timetable and why; clearing, withdrawing, and the link with its code."""

from __future__ import annotations

from collections.abc import Iterable

from flask import Blueprint, Response, g, redirect, render_template, request, url_for
from werkzeug.exceptions import NotFound

from generator.clinic.booking import Booking
from generator.console.making import Page, prepared_record
from generator.console.message_view import MessageView, message_view
from generator.console.office import Office
from generator.console.roles import Action, may, needs
from generator.console.told import ToldFinding, blocking_titles, days_told, findings_told, particulars
from generator.console.words import state_words
from generator.desk import Desk
from generator.desk.handing import due_message
from generator.desk.preparing import (
    Look,
    asked_of,
    clear,
    looked_at,
    publish_assessed,
    with_answers,
    withdraw,
)
from generator.desk.questions import Question
from generator.desk.rendering import timetable_of
from generator.finding import Finding
from generator.page.qr import qr_svg
from generator.plan.moments import in_zone
from generator.records import MADE, PlanRecord, finding
from generator.records.calls import waiting_for

pages = Blueprint("bookings", __name__, url_prefix="/bookings")


def known_record(number: int) -> PlanRecord:
    """The booking of that number; not found where there is none, or it was forgotten."""
    office: Office = g.office
    record = finding.by_id(office.records, number)
    if record is None or (record.inputs is None and record.notice is None):
        raise NotFound
    return record


@pages.get("/<int:number>")
@needs(Action.LOOK)
def one(number: int) -> str:
    """The booking as it stands."""
    return booking_page(known_record(number), told=request.args.get("told", ""))


@pages.get("/<int:number>/code.svg")
@needs(Action.LOOK)
def code(number: int) -> Response:
    """The code to scan, of the link."""
    office, record = g.office, known_record(number)
    if not record.was_given:
        raise NotFound
    return Response(qr_svg(record.identity.link(office.base_url)), mimetype="image/svg+xml")


@pages.post("/<int:number>/consider")
@needs(Action.CLEAR)
def consider(number: int) -> str:
    """The timetable as the answers would make it; nothing is kept."""
    return booking_page(prepared_record(number), chosen=dict(request.form))


@pages.post("/<int:number>/clear", endpoint="clear")
@needs(Action.CLEAR)
def clear_now(number: int) -> Page:
    """Clears the patient and publishes the plan."""
    office, record = g.office, prepared_record(number)
    desk: Desk = office.desk(request.form.get("seen"))
    assert record.inputs is not None, "a prepared record has inputs"
    _, answers = asked_of(desk, record.inputs, request.form)
    done = clear(desk, record.ref, answers, g.account.role)
    if done.link is None:
        return booking_page(_now(record), stopped=done.findings, chosen=dict(request.form)), 409
    return redirect(url_for("bookings.one", number=number, told="published"))


@pages.post("/<int:number>/publish")
@needs(Action.PREPARE)
def publish(number: int) -> Page:
    """Publishes what nobody need clear alone, by the unit's declaration."""
    office, record = g.office, prepared_record(number)
    done = publish_assessed(office.desk(request.form.get("seen")), record.ref)
    if done.link is None:
        return booking_page(_now(record), stopped=done.findings), 409
    return redirect(url_for("bookings.one", number=number, told="published"))


@pages.post("/<int:number>/withdraw", endpoint="withdraw")
@needs(Action.PREPARE)
def withdraw_now(number: int) -> Page:
    """Takes a booking that nobody was given off the desk."""
    office, record = g.office, prepared_record(number)
    done = withdraw(office.desk(request.form.get("seen")), record.ref, g.account.role)
    if done.findings:
        return booking_page(_now(record), stopped=done.findings), 409
    return redirect(url_for("days.today", told="withdrawn"))


def _now(record: PlanRecord) -> PlanRecord:
    office: Office = g.office
    return office.records.again(record)


def booking_page(
    record: PlanRecord,
    *,
    stopped: Iterable[Finding] = (),
    chosen: dict[str, str] | None = None,
    told: str = "",
) -> str:
    """The page of a booking.

    Args:
        stopped: what kept what was asked for from being done.
        chosen: what was answered to its questions, shown again.
        told: what was done a moment ago.
    """
    office: Office = g.office
    desk, unit = office.desk(), office.unit
    inputs = record.inputs
    asked, look = _look(desk, record, chosen or {})
    booking, waits = (inputs.booking if inputs else None), record.pending
    stands = waits.booking if waits else booking
    assessed = unit.assessed
    return render_template(
        "booking.html",
        record=record,
        state=state_words(record),
        start=in_zone(booking.start, unit.zone) if booking else None,
        arrival=look.timetable.arrival if look and look.timetable else None,
        booking=booking,
        lines=particulars(stands, desk.folder, desk.wordings) if stands else [],
        look=look,
        questions=asked,
        chosen=chosen or {},
        days=days_told(look.timetable, desk.folder) if look else [],
        findings=_told(desk, look, booking, asked),
        stopped=findings_told(stopped, desk.folder),
        blocking=blocking_titles(desk.folder, booking.protocol) if booking and record.is_prepared else [],
        protocol=desk.folder.regimens.get(booking.protocol) if booking else None,
        link=record.identity.link(office.base_url) if record.was_given else "",
        call=waiting_for(office.records, record),
        pending=_pending(record, unit.zone),
        assessed=assessed is not None and desk.now.date() <= assessed.until and not unit.demonstration,
        due=_due_message(desk, record),
        told=told,
    )


def _due_message(desk: Desk, record: PlanRecord) -> MessageView | None:
    """The message that the booking waits for, ready to be copied."""
    found = due_message(desk, record) if record.was_given else None
    return message_view(desk, found) if found else None


def _told(
    desk: Desk, look: Look | None, booking: Booking | None, asked: tuple[Question, ...]
) -> list[ToldFinding]:
    """The findings; what whoever clears is asked about stands there already."""
    if look is None or booking is None:
        return []
    there = {one.kind for one in asked} if may(g.account.role, Action.CLEAR) else set()
    found = [one for one in look.findings if one.kind not in there]
    return findings_told(found, desk.folder, look.timetable, booking.protocol)


def _pending(record: PlanRecord, zone: str) -> object:
    return in_zone(record.pending.booking.start, zone) if record.pending else None


def _look(desk: Desk, record: PlanRecord, chosen: dict[str, str]) -> tuple[tuple[Question, ...], Look | None]:
    """What is, or would be, the plan: of what waits as it would be made now, of what was given as it was given."""
    inputs = record.inputs
    if inputs is None or inputs.booking.protocol not in desk.folder.regimens:
        return (), None
    if record.is_prepared:
        asked, answers = asked_of(desk, inputs, chosen)
        return asked, looked_at(desk, with_answers(desk, inputs, answers) if chosen else inputs)
    given = inputs.given
    if record.life != MADE:
        return (), Look(given, (), ())
    again = timetable_of(desk, inputs, record.identity.made)
    # With its reasons, where today's files make the same of it; what the patient has is what was given.
    same = given and [step[:4] for step in again.steps] == [step[:4] for step in given.steps]
    return (), Look(again if same else given, again.findings, ())
