"""About the patient: what was learned after the plan was given. Anybody at the desk raises it, a clinician decides."""

from __future__ import annotations

from dataclasses import dataclass, replace

from flask import Blueprint, g, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict

from generator.clinic.booking import Booking
from generator.clinic.instruction import MEDICINE_CLASSES, class_title
from generator.clinic.rows import SEDATIONS
from generator.console.changes import change_rows, given_record
from generator.console.making import Page
from generator.console.office import Office
from generator.console.roles import Action, may, needs
from generator.console.told import days_told, findings_told
from generator.console.words import SEDATIONS as SEDATION_WORDS
from generator.console.words import state_words
from generator.desk import Desk, change
from generator.desk.answers import Answers
from generator.desk.decisions import CALL_FIRST
from generator.desk.exchange import Between, between
from generator.desk.moving import changed_by
from generator.desk.preparing import as_seen_findings
from generator.desk.questions import Question, answers_from, questions_about
from generator.finding import Finding
from generator.plan.suited import Stated
from generator.records import PlanRecord

pages = Blueprint("patient", __name__, url_prefix="/bookings")


@pages.get("/<int:number>/patient", endpoint="patient")
@needs(Action.RAISE)
def patient_form(number: int) -> str:
    """What is known of the patient."""
    return _page(given_record(number), None)


@pages.post("/<int:number>/patient", endpoint="look_at_patient")
@needs(Action.RAISE)
def look_at_patient(number: int) -> str:
    """What it would change; nothing is kept."""
    return _page(given_record(number), request.form)


@pages.post("/<int:number>/patient/now", endpoint="patient_now")
@needs(Action.RAISE)
def patient_now(number: int) -> Page:
    """Records it; the desk refuses a clerk who would choose."""
    office, record = g.office, given_record(number)
    desk: Desk = office.desk(request.form.get("seen"))
    considered = _considered(desk, record, request.form)
    made = change(desk, record.ref, considered.answers, g.account.role)
    if made.link is None:
        return _page(office.records.again(record), request.form, made.findings), 409
    kinds = {one.kind for one in made.findings}
    told = "changed-held" if "plan-held" in kinds else "same" if "same-for-patient" in kinds else "changed"
    return redirect(url_for("bookings.one", number=number, told=told))


@dataclass(frozen=True, slots=True)
class _Considered:
    """What a form says: the answers, what they ask in turn, and what the plan would be with them."""

    answers: Answers
    questions: tuple[Question, ...]
    step: Between | None


def _considered(desk: Desk, record: PlanRecord, form: MultiDict[str, str]) -> _Considered:
    base = record.pending or record.inputs
    assert base is not None, "a record that was given has inputs"
    decides = may(g.account.role, Action.CLEAR)
    said = _said(form, base.booking, desk.folder.stated, decides=decides)
    first = changed_by(desk, base, said, g.account.role)
    asked = questions_about(between(desk, record, first).findings, first.settled, desk.folder)
    chosen = answers_from(asked, {name: form[name] for name in form}) if decides else Answers()
    answers = _joined(said, chosen)
    if answers == Answers():
        return _Considered(answers, tuple(asked), None)
    return _Considered(
        answers, tuple(asked), between(desk, record, changed_by(desk, base, answers, g.account.role))
    )


def _said(form: MultiDict[str, str], booking: Booking, stated: Stated, *, decides: bool) -> Answers:
    """What the ticks say: raised are those that are new; taken back, by a clinician alone, those that are gone."""
    known = (*stated.factors, *MEDICINE_CLASSES)
    ticked = [name for name in dict.fromkeys(form.getlist("raised")) if name in known]
    before = (*booking.factors, *booking.medicines)
    sedation = form.get("sedation", "")
    answers = Answers(
        raised=tuple(name for name in ticked if name not in before),
        sedation=sedation if sedation in SEDATIONS and sedation != booking.sedation else None,
    )
    if not decides:
        return answers
    picked = {name: form.get(f"medicine:{name}", "") for name in _classes(booking, stated)}
    return replace(
        answers,
        void=tuple(name for name in before if name not in ticked),
        call_first=tuple(name for name, choice in picked.items() if choice == CALL_FIRST and name in ticked),
        instructions=tuple(
            choice
            for name, choice in picked.items()
            if name in ticked
            and choice in stated.instructions
            and stated.instructions[choice].medicine == name
        ),
        cleared=form.get("cleared") == "yes",
    )


def _joined(said: Answers, chosen: Answers) -> Answers:
    return replace(
        said,
        # What was raised by mistake a moment ago is not raised at all.
        raised=tuple(one for one in said.raised if one not in chosen.void),
        void=(*said.void, *(one for one in chosen.void if one not in said.raised)),
        instructions=(*said.instructions, *chosen.instructions),
        call_first=(*said.call_first, *chosen.call_first),
        agreed=chosen.agreed,
        decided=chosen.decided,
    )


def _classes(booking: Booking, stated: Stated) -> list[str]:
    """Classes of medicine that something is said of already."""
    told = [stated.instructions[one].medicine for one in booking.instructions if one in stated.instructions]
    return list(dict.fromkeys((*booking.medicines, *booking.call_first, *told)))


def _page(record: PlanRecord, form: MultiDict[str, str] | None, stopped: tuple[Finding, ...] = ()) -> str:
    office: Office = g.office
    desk = office.desk()
    base = record.pending or record.inputs
    assert base is not None, "a record that was given has inputs"
    booking, stated = base.booking, desk.folder.stated
    considered = _considered(desk, record, form) if form is not None else None
    if form is not None and not stopped:
        stopped = tuple(as_seen_findings(office.desk(form.get("seen")), record))
    step = considered.step if considered else None
    before = (*booking.factors, *booking.medicines)
    return render_template(
        "patient.html",
        record=record,
        state=state_words(record),
        booking=booking,
        ticked=form.getlist("raised") if form is not None else before,
        fixed=before if not may(g.account.role, Action.CLEAR) else (),
        factors=stated.factors.values(),
        medicines=MEDICINE_CLASSES,
        classes=[(name, class_title(name), _options(name, stated)) for name in _classes(booking, stated)],
        answered=_answered(booking, stated),
        sedations=[(name, SEDATION_WORDS[name]) for name in SEDATIONS],
        sedation=form.get("sedation", "") if form is not None else booking.sedation or "",
        form=form if form is not None else MultiDict(),
        questions=considered.questions if considered else (),
        step=step,
        rows=change_rows(step, desk) if step else [],
        days=days_told(step.new, desk.folder) if step else [],
        findings=findings_told(step.findings, desk.folder, step.new, booking.protocol) if step else [],
        stopped=findings_told(stopped, desk.folder),
        looked=considered is not None,
    )


def _options(name: str, stated: Stated) -> list[tuple[str, str]]:
    own = [(one.id, one.title) for one in stated.instructions.values() if one.medicine == name]
    return [(CALL_FIRST, "Call the unit before you change this medicine"), *own]


def _answered(booking: Booking, stated: Stated) -> dict[str, str]:
    found = dict.fromkeys(booking.call_first, CALL_FIRST)
    return found | {
        stated.instructions[one].medicine: one for one in booking.instructions if one in stated.instructions
    }
