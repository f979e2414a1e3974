"""Making a booking: the form, its timetable before anything is kept, and putting it on the desk."""

from __future__ import annotations

from flask import Blueprint, g, redirect, render_template, request, url_for
from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response as AnyResponse

from generator.clinic.booking import Booking
from generator.clinic.instruction import MEDICINE_CLASSES
from generator.clinic.rows import SEDATIONS
from generator.console.booking_form import (
    Typed,
    Understood,
    language_names,
    typed_from,
    typed_of,
    understood,
)
from generator.console.office import Office
from generator.console.roles import Action, needs
from generator.console.told import blocking_titles, days_told, findings_told
from generator.console.words import SEDATIONS as SEDATION_WORDS
from generator.desk import Desk
from generator.desk.preparing import Look, as_seen_findings, asked_of, clear, looked_at, prepare
from generator.finding import Finding
from generator.records import PlanRecord, finding
from generator.records.inputs import Inputs

pages = Blueprint("making", __name__, url_prefix="/bookings")
Page = str | AnyResponse | tuple[str, int]


@pages.get("/new")
@needs(Action.PREPARE)
def new() -> str:
    """An empty form."""
    office: Office = g.office
    typed = Typed({"language": office.unit.languages[0], "date": request.args.get("date", "")})
    return _form(office.desk(), typed, None, None)


@pages.post("/new", endpoint="look_at_new")
@needs(Action.PREPARE)
def look_at_new() -> Page:
    """The timetable of what was typed; nothing is kept."""
    return _looked(None)


@pages.post("/new/keep")
@needs(Action.PREPARE)
def keep_new() -> Page:
    """Puts it on the desk, to be cleared."""
    return _kept(None)


@pages.post("/new/clear")
@needs(Action.CLEAR)
def clear_new() -> Page:
    """Puts it on the desk and clears it at once: whoever clears prepared it."""
    return _kept(None, clearing=True)


@pages.get("/<int:number>/details")
@needs(Action.PREPARE)
def details(number: int) -> str:
    """The form of a booking that waits."""
    record = prepared_record(number)
    office: Office = g.office
    assert record.inputs is not None, "a prepared record has inputs"
    return _form(office.desk(), typed_of(record.inputs.booking, office.unit.zone), None, record)


@pages.post("/<int:number>/details", endpoint="look_at_details")
@needs(Action.PREPARE)
def look_at_details(number: int) -> Page:
    """The timetable of what was typed; nothing is kept."""
    return _looked(prepared_record(number))


@pages.post("/<int:number>/details/keep")
@needs(Action.PREPARE)
def keep_details(number: int) -> Page:
    """Puts it in the place of what waits there."""
    return _kept(prepared_record(number))


def prepared_record(number: int) -> PlanRecord:
    """The booking of that number, while it waits; a page of its own where it does not."""
    office: Office = g.office
    record = finding.by_id(office.records, number)
    if record is None or not record.is_prepared:
        raise NotFound
    return record


def _looked(record: PlanRecord | None) -> str:
    office: Office = g.office
    desk = office.desk()
    typed = _typed(desk, record)
    meant = understood(typed, desk.folder, desk.now.date(), _before(record))
    look = looked_at(desk, Inputs(meant.booking)) if meant.booking else None
    stale = stale_findings(office, record)
    return _form(desk, typed, meant, record, look, stale)


def _kept(record: PlanRecord | None, *, clearing: bool = False) -> Page:
    """Puts what was typed on the desk; where that cannot be, the form is shown again as it was typed."""
    office: Office = g.office
    desk = office.desk(request.form.get("seen"))
    typed = _typed(desk, record)
    meant = understood(typed, desk.folder, desk.now.date(), _before(record))
    if meant.booking is None:
        return _form(desk, typed, meant, record), 422
    look = looked_at(desk, Inputs(meant.booking))
    made = prepare(desk, meant.booking, g.account.role, new=record is None)
    if made.findings:
        return _form(desk, typed, meant, record, look, made.findings), 409
    known = office.records.find(meant.booking.ref)
    assert known is not None, "it was put there a moment ago"
    if clearing:
        _, answers = asked_of(desk, Inputs(meant.booking), request.form)
        done = clear(office.desk(known.seen), meant.booking.ref, answers, g.account.role)
        told = "published" if done.link else "not-published"
        return redirect(url_for("bookings.one", number=known.id, told=told))
    return redirect(url_for("bookings.one", number=known.id, told="prepared"))


def _typed(desk: Desk, record: PlanRecord | None) -> Typed:
    typed = typed_from(request.form, desk.folder)
    if record is not None:  # a reference is what the booking is found by: it is not changed under it
        typed.texts["ref"] = record.ref
    return typed


def _before(record: PlanRecord | None) -> Booking | None:
    return record.inputs.booking if record and record.inputs else None


def stale_findings(office: Office, record: PlanRecord | None) -> tuple[Finding, ...]:
    """Whether the booking is another than the page that was sent knew."""
    return tuple(as_seen_findings(office.desk(request.form.get("seen")), record)) if record else ()


def _form(
    desk: Desk,
    typed: Typed,
    meant: Understood | None,
    record: PlanRecord | None,
    look: Look | None = None,
    stopped: tuple[Finding, ...] = (),
) -> str:
    folder, stated = desk.folder, desk.folder.stated
    booking = meant.booking if meant else None
    protocol = folder.regimens.get(booking.protocol) if booking else None
    return render_template(
        "booking-form.html",
        typed=typed,
        meant=meant,
        booking=booking,
        protocol=protocol,
        record=record,
        look=look,
        days=days_told(look.timetable, folder) if look else [],
        findings=findings_told(look.findings, folder, look.timetable, booking.protocol)
        if look and booking
        else [],
        stopped=findings_told((*stopped, *(meant.findings if meant else ())), folder),
        blocking=blocking_titles(folder, booking.protocol) if booking else [],
        languages=language_names(folder.unit.languages, desk.wordings),
        spoken=language_names(tuple(desk.wordings), desk.wordings),
        sedations=[(name, SEDATION_WORDS[name]) for name in SEDATIONS],
        factors=stated.factors.values(),
        medicines=MEDICINE_CLASSES,
        others=folder.unit.visit_procedures,
    )
