"""Guards: who is let in to which page, what every answer says to the browser, and what is told when something fails."""

from __future__ import annotations

from typing import Any

from flask import Flask, Response, current_app, g, redirect, render_template, request, session, url_for
from flask.globals import request_ctx
from flask_wtf.csrf import CSRFError  # type: ignore[import-untyped]  # the package has no types
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response as AnyResponse

from generator.console.kept import kept_fields
from generator.console.office import Office
from generator.console.roles import Action, action_of, may
from generator.errors import DaybeforeError
from generator.records.accounts import account_named

_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
        "frame-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
    ),
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "same-origin",  # with no-referrer a form's Origin would be “null”
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
}
_WORDS = {
    400: ("This could not be understood.", "Go back, and send it again."),
    401: ("You are signed out.", "Sign in again."),
    403: ("Your role may not do this.", "Ask a nurse or the clinical lead."),
    404: ("There is no such page, or the booking is not known any more.", "Look the booking up above."),
    405: ("This address is for a form.", "Go back to the page it is on."),
    413: ("That was more than any form here holds.", "Go back, and type less."),
    429: ("Too many tries to sign in.", "Wait a minute, then try again."),
    500: (
        "Something went wrong in the console; nothing is known of what was changed.",
        "Look the booking up.",
    ),
}


def with_guards(app: Flask) -> None:
    """Puts the guards around every page of the application."""
    app.before_request(_let_in)
    app.after_request(_with_headers)
    app.register_error_handler(CSRFError, _not_our_form)
    app.register_error_handler(DaybeforeError, _cannot_go_on)
    app.register_error_handler(HTTPException, _failed)
    app.register_error_handler(Exception, _unexpected)


def _let_in() -> AnyResponse | tuple[str, int] | None:
    """Only whoever is signed in, and only to what the role may do."""
    office: Office = current_app.extensions["office"]
    g.office = office
    office.look_again()
    endpoint = request.endpoint
    if request_ctx.url_adapter is None:
        return page_of_failure(400)
    if endpoint is None:  # no such page: told to nobody who is not signed in
        action: Action | None = Action.BE_HERE
    else:
        action = Action.COME_IN if endpoint == "static" else action_of(current_app.view_functions[endpoint])
    if action is Action.COME_IN:
        return None
    sitting = current_app.extensions["sittings"].at(str(session.get("sitting", "")), office.now())
    account = account_named(office.records, sitting.name) if sitting else None
    if sitting is None or account is None or account.changed != sitting.changed:
        return _sign_in_first()
    g.account = account
    if action is None or not may(account.role, action):
        return page_of_failure(403)
    return None


def _sign_in_first() -> AnyResponse | tuple[str, int]:
    """To the sign-in page; what was typed goes along, for the form was ours and of a sitting that has ended."""
    if request.method == "POST":
        kept = kept_fields(request.form)
        return render_template("sign-in.html", kept=kept, then=request.path, ended=True), 401
    return redirect(url_for("signing.sign_in", then=request.path))


def _not_our_form(error: CSRFError) -> AnyResponse | tuple[str, int]:
    """A form without its key: from elsewhere, or from before somebody signed out in another window.

    What the browser says to be sent from this console is kept, and sent only once the person has looked at it.
    """
    if request.headers.get("Origin") != request.host_url.rstrip("/") or request.endpoint == "signing.sign_in":
        return page_of_failure(400)
    refused = _let_in()
    if refused is not None:
        return refused
    return render_template("kept.html", kept=kept_fields(request.form), then=request.path), 400


def _with_headers(response: Response) -> Response:
    for name, value in _HEADERS.items():
        response.headers.setdefault(name, value)
    if request.endpoint == "static":  # holds nothing of anybody; a frame without an origin asks for it too
        response.headers["Cross-Origin-Resource-Policy"] = "cross-origin"
    if request.is_secure:
        response.headers["Strict-Transport-Security"] = "max-age=31536000"
    return response


def page_of_failure(code: int, problem: str = "", remedy: str = "") -> tuple[str, int]:
    """A page that says what is wrong and the next step; nothing of what was asked for."""
    told = _WORDS.get(code, _WORDS[400])
    if (
        request_ctx.url_adapter is None
    ):  # asked for under a name that is not ours: no page of ours is shown there
        return f"{told[0]} {told[1]}", code
    return render_template("problem.html", problem=problem or told[0], remedy=remedy or told[1]), code


def _failed(error: HTTPException) -> Any:
    if error.code is not None and error.code < 400:
        return error
    answer = page_of_failure(error.code or 500)
    return answer


def _cannot_go_on(error: DaybeforeError) -> tuple[str, int]:
    return page_of_failure(503, error.problem, error.remedy)


def _unexpected(error: Exception) -> tuple[str, int]:
    current_app.log_exception((type(error), error, error.__traceback__))  # type: ignore[arg-type]
    return page_of_failure(500)
