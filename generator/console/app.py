"""The console as a web application: its parts, its guards, and what every page is given."""

from __future__ import annotations

import logging
from types import TracebackType
from typing import Any

from flask import Flask, g, request, session
from flask_wtf.csrf import CSRFProtect  # type: ignore[import-untyped]  # the package has no types

from generator.console import bookings, calls, card, changes, days, handing, making, patient, seen, signing
from generator.console.guards import with_guards
from generator.console.office import Office
from generator.console.roles import Action, may
from generator.console.secret import secret_of
from generator.console.sittings import Sittings
from generator.console.words import LIVES, console_remedy, role_words
from generator.materials.shipped import shipped_folder
from generator.plan.moment_text import day_text, moment_text
from generator.records import finding
from generator.records.calls import waiting_count

MOST_BYTES = 64 * 1024  # of a request: the longest form has some hundred short fields


class _Console(Flask):
    def log_exception(
        self,
        exc_info: tuple[type, BaseException, TracebackType] | tuple[None, None, None],
    ) -> None:
        # The usual line holds the path, and the traceback what somebody typed.
        name = exc_info[0].__name__ if exc_info[0] else "unknown"
        self.logger.error("A page of the console could not be made: %s.", name)


def console_app(office: Office, *, hosts: tuple[str, ...] = (), secure: bool = False) -> Flask:
    """The unit's console.

    Args:
        hosts: names under which it is reached; any other is refused. Empty: this computer alone.
        secure: it is reached by https: cookies are sent over nothing else.
    """
    app = _Console(
        __name__,
        static_folder=str(shipped_folder("static") / "console"),
        static_url_path="/static",
        template_folder=str(shipped_folder("templates") / "console"),
    )
    app.url_map.strict_slashes = False
    app.config.update(
        SECRET_KEY=secret_of(office.data),
        MAX_CONTENT_LENGTH=MOST_BYTES,
        MAX_FORM_MEMORY_SIZE=MOST_BYTES,
        MAX_FORM_PARTS=500,
        SESSION_COOKIE_NAME="__Host-console" if secure else "console",
        SESSION_COOKIE_SECURE=secure,
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Strict",
        WTF_CSRF_TIME_LIMIT=None,  # it ends with the sitting
        WTF_CSRF_SSL_STRICT=False,  # no page of ours sends a referrer
        TRUSTED_HOSTS=[*(hosts or ("localhost", "127.0.0.1", "[::1]"))],
        SEND_FILE_MAX_AGE_DEFAULT=0,
    )
    logging.getLogger("flask-limiter").setLevel(logging.ERROR)  # its lines hold the path
    app.extensions["office"], app.extensions["sittings"] = office, Sittings()
    CSRFProtect(app)
    with_guards(app)
    for part in (signing, days, making, bookings, changes, patient, calls, card, seen, handing):
        app.register_blueprint(part.pages)
    signing.limit(app)
    app.context_processor(_given_to_every_page)
    app.jinja_env.globals.update(Action=Action, LIVES=LIVES)
    app.jinja_env.filters.update(
        day=day_text, moment=moment_text, remedy=console_remedy, role_words=role_words
    )
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    return app


def _given_to_every_page() -> dict[str, Any]:
    office: Office | None = g.get("office")
    account = g.get("account")
    given: dict[str, Any] = {
        "account": account,
        "may": lambda action: account is not None and may(account.role, action),
        "unit": office.unit if office else None,
        "now": office.now() if office else None,
        "endpoint": request.endpoint or "",
        "signed_in": "sitting" in session,
    }
    if office is not None and account is not None and may(account.role, Action.LOOK):
        given["waiting_count"] = finding.prepared_count(office.records)
        given["call_count"] = waiting_count(office.records)
        given["faults"] = office.faults
    return given
