"""Days: who comes when, what waits to be cleared, whose steps fall into tonight; and finding one booking."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from flask import Blueprint, g, redirect, render_template, request, url_for
from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response as AnyResponse

from generator.console.booking_form import Typed, language_names
from generator.console.office import Office
from generator.console.roles import Action, may, needs
from generator.console.told import name_of
from generator.console.words import short, state_words
from generator.desk import Desk
from generator.desk.preparing import looked_at
from generator.desk.rendering import timetable_of
from generator.finding import Finding, Severity
from generator.page.step_words import title_of
from generator.plan.moments import in_zone
from generator.plan.timetable import Step
from generator.records import MADE, PlanRecord, finding

pages = Blueprint("days", __name__)
# "Tonight" begins with the afternoon and ends when the first lists have begun; nobody asks about a diet at night.
_SINCE, _HOURS = dt.time(16), 18
_BY_NIGHT = ("drink", "tablets", "enema", "check", "stop-drinking", "leave")
_AHEAD = 2  # days on which an examination has steps in the coming night


@dataclass(frozen=True, slots=True)
class Line:
    """One booking in a list."""

    id: int
    start: dt.datetime
    ref: str
    call_number: str
    code: str
    state: str
    languages: str
    protocol: str
    findings: tuple[str, ...]
    waits: bool
    opens: bool


@pages.get("/")
@needs(Action.BE_HERE)
def today() -> str:
    """The first page: today, what waits, and tonight."""
    office: Office = g.office
    if not may(g.account.role, Action.LOOK):
        return render_template("nothing-yet.html")
    return _day_page(office.now().date())


@pages.get("/days/<day>")
@needs(Action.LOOK)
def on_day(day: str) -> str:
    """One day's list."""
    try:
        return _day_page(dt.date.fromisoformat(day))
    except ValueError:
        raise NotFound from None


@pages.get("/days")
@needs(Action.LOOK)
def a_day() -> AnyResponse:
    """To the day that was chosen."""
    return redirect(url_for("days.on_day", day=request.args.get("day", "")))


@pages.get("/find")
@needs(Action.LOOK)
def find() -> str | AnyResponse:
    """The bookings whose reference begins with what was typed, or with that call number."""
    office: Office = g.office
    words = request.args.get("q", "")[:64]
    found = finding.matching(office.records, words)
    if len(found) == 1:
        return redirect(url_for("bookings.one", number=found[0].id))
    return render_template("find.html", words=words, lines=lines_of(office.desk(), found))


def _day_page(day: dt.date) -> str:
    office: Office = g.office
    desk, today = office.desk(), office.now().date()
    if not dt.date(2000, 1, 2) < day < dt.date(2099, 12, 30):
        raise NotFound
    folder, wordings = desk.folder, desk.wordings
    return render_template(
        "day.html",
        date=day,
        today=today,
        before=day - dt.timedelta(days=1),
        after=day + dt.timedelta(days=1),
        lines=lines_of(desk, finding.on_days(office.records, day, day)),
        waiting=lines_of(desk, finding.prepared(office.records)),
        held=lines_of(desk, finding.held(office.records)),
        tonight=_tonight(desk) if day == today else [],
        typed=Typed({"date": "", "language": folder.unit.languages[0]}),
        languages=language_names(folder.unit.languages, wordings),
    )


def lines_of(desk: Desk, records: list[PlanRecord]) -> list[Line]:
    """Each booking in a line."""
    return [_line(desk, record) for record in records]


def _line(desk: Desk, record: PlanRecord) -> Line:
    inputs = record.pending or record.inputs
    booking = inputs.booking if inputs else None
    known = desk.folder.regimens.get(booking.protocol) if booking else None
    return Line(
        id=record.id,
        start=in_zone(dt.datetime.fromisoformat(record.start), desk.folder.unit.zone),
        ref=record.ref,
        call_number=record.identity.call_number,
        code=record.identity.code if record.was_given else "",
        state=state_words(record),
        languages=", ".join(_languages(desk, record)),
        protocol=known.title if known else (booking.protocol if booking else ""),
        findings=tuple(short(one, desk.folder.stated) for one in _findings(desk, record)),
        opens=record.was_given or record.is_prepared,
        waits=record.is_prepared or record.pending is not None or record.life == "held",
    )


def _languages(desk: Desk, record: PlanRecord) -> list[str]:
    if record.inputs is None:
        return []
    booking = record.inputs.booking
    read = [name_of(tag, desk.wordings) for tag in booking.languages]
    speaks = booking.speaks
    return [*read, f"speaks {name_of(speaks, desk.wordings)}"] if speaks else read


def _findings(desk: Desk, record: PlanRecord) -> list[Finding]:
    """What somebody should look at in a booking; what is only to know stands on its own page."""
    inputs = record.pending or record.inputs
    if (
        inputs is None
        or inputs.booking.protocol not in desk.folder.regimens
        or record.life not in (MADE, "held")
    ):
        return []
    if record.is_prepared or record.pending:
        found = looked_at(desk, inputs, words=False).findings
    else:
        found = timetable_of(desk, inputs, record.identity.made).findings
    return [one for one in dict.fromkeys(found) if one.severity is not Severity.NOTE]


@dataclass(frozen=True, slots=True)
class Hour:
    """What stands in the plans for one hour of the night: step -> bookings."""

    at: dt.datetime
    steps: dict[str, list[PlanRecord]]


def _tonight(desk: Desk) -> list[Hour]:
    """The steps of the coming night by hour, so that a nurse knows who may ring about what."""
    today = desk.now.date()
    since = dt.datetime.combine(today, _SINCE, desk.now.tzinfo)
    until = since + dt.timedelta(hours=_HOURS)
    hours: dict[dt.datetime, dict[str, list[PlanRecord]]] = defaultdict(lambda: defaultdict(list))
    for record in finding.on_days(desk.records, today, today + dt.timedelta(days=_AHEAD)):
        for step in _steps(record):
            if since <= step.start < until:
                at = step.start.replace(minute=0)
                hours[at][f"{step.start:%H:%M} {title_of(step).english}"].append(record)
    return [Hour(at, dict(sorted(hours[at].items()))) for at in sorted(hours)]


def _steps(record: PlanRecord) -> list[Step]:
    """The steps of a plan that is up and that nights are made of."""
    given = record.inputs.given if record.inputs and record.life == MADE and record.was_given else None
    return [step for step in given.steps if step.kind in _BY_NIGHT] if given else []
