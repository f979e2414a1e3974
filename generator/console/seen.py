"""What this patient sees: the page that is up, at any chosen moment, beside the English. For the nurse on the phone."""

from __future__ import annotations

import datetime as dt
import re
from base64 import b64encode
from pathlib import Path

from flask import Blueprint, Response, g, render_template, request, url_for
from werkzeug.exceptions import NotFound
from werkzeug.security import safe_join

from generator.console.booking_form import read_moment
from generator.console.bookings import known_record
from generator.console.office import Office
from generator.console.roles import Action, needs
from generator.finding import Finding
from generator.page.names import Names
from generator.page.qr import qr_svg
from generator.page.step_words import title_of
from generator.plan.moment_text import when_text
from generator.plan.moments import in_zone
from generator.records import PlanRecord

pages = Blueprint("seen", __name__)
_HEAD = re.compile(r"<head>", re.IGNORECASE)
_STYLE = re.compile(r"'sha256-[\w+/=]+'")  # in the document's own policy: its style sheet
_KINDS = {"css": "text/css", "js": "text/javascript", "png": "image/png", "svg": "image/svg+xml"}


@pages.get("/bookings/<int:number>/seen")
@needs(Action.LOOK)
def seen(number: int) -> str:
    """The patient's page at a moment, and the English of it."""
    office, record = g.office, _given(number)
    faults: list[Finding] = []
    day, time = request.args.get("day", ""), request.args.get("time", "")
    at = read_moment(day, time, office.unit.zone, "Moment", faults) if day or time else office.now()
    at = at or office.now()
    tags = _tags(record)
    first = request.args.get("tag", tags[0])
    shown = [tag for tag in dict.fromkeys((first, office.unit.languages[0])) if tag in tags]
    given = record.inputs.given if record.inputs and record.life == "made" else None
    steps = (
        [(in_zone(one.start, office.unit.zone), when_text(one), title_of(one).english) for one in given.steps]
        if given
        else []
    )
    wordings = office.materials.wordings
    return render_template(
        "seen.html",
        record=record,
        at=at,
        minute=int(at.timestamp() * 1000),
        frames=[(tag, getattr(wordings.get(tag), "name", tag), _names(tags)[tag]) for tag in shown],
        steps=steps,
        faults=faults,
    )


def _given(number: int) -> PlanRecord:
    record = known_record(number)
    if not record.was_given:
        raise NotFound
    return record


def _tags(record: PlanRecord) -> tuple[str, ...]:
    """The languages of what is up."""
    if record.life != "made" and record.notice is not None:
        return record.notice.languages
    office: Office = g.office
    assert record.inputs is not None, "a plan that is up has inputs"
    return tuple(dict.fromkeys((*record.inputs.booking.languages, office.unit.languages[0])))


def _names(tags: tuple[str, ...]) -> dict[str, str]:
    names = Names(list(tags))
    return {tag: names.page(tag) for tag in tags}


@pages.get("/seen/<int:number>/<name>")
@needs(Action.LOOK)
def document(number: int, name: str) -> Response:
    """A document as it is up, with a clock set to a moment. It keeps nothing and knows nothing of the console."""
    office, record = g.office, _given(number)
    if name not in _names(_tags(record)).values():
        raise NotFound
    try:
        content = (office.shelf.public / "p" / record.identity.token / name).read_bytes()
    except OSError:  # replaced or taken away at this moment
        raise NotFound from None
    at = request.args.get("at", "")
    moment = at if at.isdigit() and len(at) < 15 else str(int(office.now().timestamp() * 1000))
    there = in_zone(dt.datetime.fromtimestamp(int(moment) / 1000, dt.UTC), office.unit.zone).utcoffset()
    offset = int(there.total_seconds() // 60) if there else 0
    clock, words = url_for("static", filename="at.js"), f'data-at="{moment}" data-offset="{offset}"'
    script = f'<head><script src="{clock}" {words}></script>'
    page = _HEAD.sub(script, content.decode(), count=1)
    code = b64encode(qr_svg(record.identity.link(office.base_url))).decode()
    page = page.replace('src="qr.svg"', f'src="data:image/svg+xml;base64,{code}"')
    own = request.host_url.rstrip("/")
    style = " ".join([own, *_STYLE.findall(page)[:1]])
    policy = (
        f"sandbox allow-scripts; default-src 'none'; script-src {own}; style-src {style}; img-src {own} data:; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
    )
    headers = {"Content-Security-Policy": policy, "X-Frame-Options": "SAMEORIGIN"}
    return Response(page, mimetype="text/html", headers=headers)


@pages.get("/a/<path:path>")
@needs(Action.COME_IN)
def asset(path: str) -> Response:
    """What all plans share, such as their style sheet: no more secret than on the plans' own address."""
    office: Office = g.office
    place, kind = safe_join(str(office.shelf.public / "a"), path), _KINDS.get(path.rpartition(".")[2])
    if place is None or kind is None or _is_hidden(path):
        raise NotFound
    try:
        content = Path(place).read_bytes()
    except OSError:
        raise NotFound from None
    headers = {"Cross-Origin-Resource-Policy": "cross-origin", "Access-Control-Allow-Origin": "null"}
    return Response(content, mimetype=kind, headers=headers)


def _is_hidden(path: str) -> bool:
    """Whether a name in it begins with a dot: work in progress, or a way out."""
    return "/." in f"/{path}"
