"""Signing in and out. Every sign-in begins a new sitting under a new number, whatever the browser brought along."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from flask import (
    Blueprint,
    Flask,
    Response,
    current_app,
    g,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from flask_limiter import Limiter
from flask_limiter.util import get_remote_address
from werkzeug.wrappers import Response as AnyResponse

from generator.console.kept import carried_fields
from generator.console.office import Office
from generator.console.roles import Action, needs
from generator.records import accounts

pages = Blueprint("signing", __name__)
# Only failed tries count: by account, and by the computer they come from, which may be a whole unit's.
TRIES_OF_AN_ACCOUNT, TRIES_OF_A_COMPUTER = "5 per minute;30 per hour", "30 per minute"


@pages.get("/sign-in")
@needs(Action.COME_IN)
def sign_in() -> str:
    """The page on which one signs in."""
    return render_template("sign-in.html", kept=[], then=_own_path(request.args.get("then", "")))


@pages.post("/sign-in", endpoint="sign_in_now")
@needs(Action.COME_IN)
def sign_in_now() -> AnyResponse | str | tuple[str, int]:
    """Begins a sitting; what was typed before the last one ended is offered again."""
    office: Office = g.office
    name, password = request.form.get("name", "").strip().lower(), request.form.get("password", "")
    kept, then = carried_fields(request.form), _own_path(request.form.get("then", ""))
    account = accounts.signed_in(office.records, name, password)
    if account is None:
        return render_template("sign-in.html", kept=kept, then=then, wrong=True, name=name[:40]), 401
    begin_sitting(account)
    g.account = account
    if kept:
        return render_template("kept.html", kept=kept, then=then)
    return redirect(then or url_for("days.today"))


def begin_sitting(account: accounts.Account) -> None:
    """A sitting with a number of its own; nothing the browser brought along is taken over."""
    sittings, office = current_app.extensions["sittings"], g.office
    sittings.end(str(session.get("sitting", "")))
    session.clear()
    session["sitting"] = sittings.begin(account.name, account.changed, office.now())


@pages.post("/sign-out")
@needs(Action.BE_HERE)
def sign_out() -> AnyResponse:
    """Ends the sitting."""
    current_app.extensions["sittings"].end(str(session.get("sitting", "")))
    session.clear()
    return redirect(url_for("signing.sign_in"))


def limit(app: Flask) -> None:
    """Slows down whoever tries passwords."""
    limiter = Limiter(get_remote_address, app=app, storage_uri="memory://", strategy="moving-window")
    view: Callable[..., Any] = app.view_functions["signing.sign_in_now"]
    for limits, key in (
        (TRIES_OF_A_COMPUTER, get_remote_address),
        (TRIES_OF_AN_ACCOUNT, lambda: request.form.get("name", "").strip().lower()[:40]),
    ):
        view = limiter.limit(limits, key_func=key, deduct_when=_has_failed)(view)
    app.view_functions["signing.sign_in_now"] = needs(Action.COME_IN)(view)


def _has_failed(response: Response) -> bool:
    return response.status_code == 401


def _own_path(path: str) -> str:
    """A path of this console, or ""; never an address elsewhere."""
    if (
        not path.startswith("/")
        or path.startswith("//")
        or "\\" in path
        or any(ord(one) < 33 for one in path)
    ):
        return ""
    return path
