"""Handing over: messages due, each booking's messages and sheet, all sheets of a day; and that they were given."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence

from flask import Blueprint, Response, abort, g, redirect, render_template, request, url_for
from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response as AnyResponse

from generator.console.bookings import known_record
from generator.console.message_view import given_told, message_view
from generator.console.office import Office
from generator.console.roles import Action, needs
from generator.console.told import findings_told
from generator.console.words import GIVEN_KINDS
from generator.desk import Desk
from generator.desk.handing import (
    HANDOUT,
    PrintJob,
    due_messages,
    give,
    handouts,
    messages_csv,
    messages_of,
    records_of_day,
)
from generator.page.handout import handout_policy
from generator.records import PlanRecord
from generator.records.handed import CALL, WAYS

pages = Blueprint("handing", __name__)
_SHOWN = 100  # messages on one page; the file has all


@pages.get("/messages")
@needs(Action.HAND)
def due() -> str:
    """The messages due now."""
    return _due_page(request.args.get("told", ""))


def _due_page(told: str = "") -> str:
    desk = _desk()
    found = due_messages(desk)
    sent = [one for one in found if one.text is not None]
    return render_template(
        "messages.html",
        messages=[message_view(desk, one) for one in found[:_SHOWN]],
        count=len(found),
        sendable=len(sent),
        shown=_SHOWN,
        stamp=_stamp([(one.record, one.kind) for one in sent]),
        told=told,
    )


@pages.get("/messages.csv")
@needs(Action.HAND)
def due_file() -> Response:
    """The same as a file for the unit's own texting or letter merge; looking records nothing."""
    answer = Response(messages_csv(due_messages(_desk()), bom=True), mimetype="text/csv")
    answer.headers["Content-Disposition"] = "attachment; filename=messages.csv"
    return answer


@pages.post("/messages/sent")
@needs(Action.HAND)
def due_sent() -> str | AnyResponse | tuple[str, int]:
    """Records that all messages of the file were given over; not if another one would be in it by now."""
    desk = _desk()
    sent = [(one.record, one.kind.value) for one in due_messages(desk) if one.text is not None]
    if request.form.get("stamp") != _stamp(sent) or not all(give(desk, sent, "exported", g.account.role)):
        return _due_page("changed"), 409
    return redirect(url_for("handing.due", told="sent"))


@pages.get("/bookings/<int:number>/messages")
@needs(Action.HAND)
def of_booking(number: int) -> str:
    """Every message that makes sense for a booking, and what was given over of it."""
    record, desk = known_record(number), _desk()
    found = messages_of(desk, record)
    return render_template(
        "booking-messages.html",
        record=record,
        messages=[message_view(desk, one) for one in found],
        given=given_told(desk, found[0].given if found else ()),
        told=request.args.get("told", ""),
    )


@pages.post("/bookings/<int:number>/given")
@needs(Action.HAND)
def given(number: int) -> AnyResponse:
    """Records that something of a booking was given over, as the person saw it."""
    record, desk = known_record(number), _desk()
    kind, way = request.form.get("kind", ""), request.form.get("way", "")
    if kind not in GIVEN_KINDS or kind == CALL or way not in WAYS:
        abort(400)
    done = request.form.get("seen") == record.seen and give(desk, [(record, kind)], way, g.account.role)[0]
    told = "given" if done else "changed"
    if request.form.get("from") == "due":
        return redirect(url_for("handing.due", told=told))
    return redirect(url_for("handing.of_booking", number=number, told=told))


@pages.get("/bookings/<int:number>/handout")
@needs(Action.HAND)
def handout(number: int) -> Response | tuple[str, int]:
    """The sheet of a booking, to print."""
    record, desk = known_record(number), _desk()
    job = handouts(desk, [record])
    return _sheets(desk, job) if job.records else _none(job, desk)


@pages.get("/days/<day>/handouts")
@needs(Action.HAND)
def day(day: str) -> str:
    """What will be printed of a day, and what not and why."""
    return _day_page(_day_of(day), request.args.get("told", ""))


def _day_page(date: dt.date, told: str = "") -> str:
    desk = _desk()
    job = handouts(desk, records_of_day(desk, date))
    return render_template(
        "handouts.html",
        date=date,
        records=job.records,
        stopped=findings_told(job.findings, desk.folder),
        stamp=_stamp([(record, HANDOUT) for record in job.records]),
        told=told,
    )


@pages.get("/days/<day>/handouts/sheets")
@needs(Action.HAND)
def day_sheets(day: str) -> Response | tuple[str, int]:
    """All sheets of a day in one document, in the order of the list."""
    desk = _desk()
    job = handouts(desk, records_of_day(desk, _day_of(day)))
    return _sheets(desk, job) if job.records else _none(job, desk)


@pages.post("/days/<day>/handouts/given")
@needs(Action.HAND)
def day_given(day: str) -> str | AnyResponse | tuple[str, int]:
    """Records that all sheets of a day were printed; not if another one would be among them by now."""
    date, desk = _day_of(day), _desk()
    printed = [(record, HANDOUT) for record in handouts(desk, records_of_day(desk, date)).records]
    if request.form.get("stamp") != _stamp(printed) or not all(
        give(desk, printed, "printed", g.account.role)
    ):
        return _day_page(date, "changed"), 409
    return redirect(url_for("handing.day", day=date, told="given"))


def _sheets(desk: Desk, job: PrintJob) -> Response:
    policy = f"{handout_policy(desk.parts.templates)}; frame-ancestors 'none'"
    return Response(job.page, mimetype="text/html", headers={"Content-Security-Policy": policy})


def _none(job: PrintJob, desk: Desk) -> tuple[str, int]:
    return render_template("no-sheet.html", stopped=findings_told(job.findings, desk.folder)), 409


def _desk() -> Desk:
    office: Office = g.office
    return office.desk()


def _day_of(day: str) -> dt.date:
    try:
        return dt.date.fromisoformat(day)
    except ValueError:
        raise NotFound from None


def _stamp(what: Sequence[tuple[PlanRecord, str]]) -> str:
    """Another value as soon as one of them is another, or more or fewer."""
    return hashlib.sha256(repr([(record.seen, str(kind)) for record, kind in what]).encode()).hexdigest()[:16]
