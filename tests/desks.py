"""A console over a data folder, with a clock that a test sets: asked in this process, or served to a browser."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from typing import Any
from unittest.mock import patch

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.serving import make_server
from werkzeug.test import TestResponse

from generator.console.app import console_app
from generator.console.office import Office
from generator.plan.moments import zone_named
from generator.records import PlanRecord, accounts
from tests.command import DEMO_UNIT

PASSWORD = "four-words-of-it"  # sixteen characters
NOW = "2026-03-16T08:00"
ZONE = zone_named("Europe/London")


@dataclass
class Clock:
    """The moment at which the console is."""

    now: dt.datetime

    def __call__(self) -> dt.datetime:
        return self.now

    def set(self, moment: str) -> None:
        """To a wall-clock moment of the unit."""
        self.now = dt.datetime.fromisoformat(moment).replace(tzinfo=ZONE)

    def forward(self, minutes: int) -> None:
        """So many minutes later."""
        self.now += dt.timedelta(minutes=minutes)


@dataclass
class Desks:
    """A unit's console, its data folder and its clock."""

    app: Flask
    office: Office
    clock: Clock

    @property
    def data(self) -> Path:
        """The data folder."""
        return self.office.data

    def browser(self, name: str | None = None) -> FlaskClient:
        """A browser with nothing in it, or one in which that account is signed in."""
        client = self.app.test_client()
        if name is not None:
            key = key_of(client.get("/sign-in").text)
            answer = client.post("/sign-in", data={"csrf_token": key, "name": name, "password": PASSWORD})
            assert answer.status_code == 302, answer.text
        return client


def key_of(page: str) -> str:
    """The form key of a page."""
    return page.split('name="csrf_token" value="')[1].split('"')[0]


@contextmanager
def desks(
    data: Path, *, unit: Path = DEMO_UNIT, base_url: str = "http://localhost:8641/", now: str = NOW
) -> Iterator[Desks]:
    """A console with an account of each role, named as the role."""
    clock = Clock(dt.datetime.fromisoformat(now).replace(tzinfo=ZONE))
    quick = patch.object(accounts, "METHOD", "scrypt:1024:8:1")  # not the guard that these tests are about
    with quick, closing(Office(unit, data, base_url, clock)) as office:
        for role in accounts.ROLES:
            accounts.set_account(office.records, role, role, PASSWORD, clock.now)
        yield Desks(console_app(office), office, clock)


@contextmanager
def served(app: Flask) -> Iterator[str]:
    """An application at an address of this machine."""
    server = make_server("127.0.0.1", 0, app, threaded=True)
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.port}/"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def sent(client: FlaskClient, path: str, **fields: Any) -> TestResponse:
    """A form, sent with its key as a page of this console has it; `seen` of a booking is taken from its page."""
    return client.post(path, data={"csrf_token": key_of(client.get("/sign-in").text), **fields})


def seen_of(found: Desks, ref: str) -> str:
    """What a person who looks at the booking now has before them."""
    record = found.office.records.find(ref)
    assert record is not None
    return record.seen


FRIDAY = {"date": "2026-03-20", "time": "09:30", "language": "en"}


def prepared(found: Desks, ref: str, **fields: Any) -> PlanRecord:
    """A booking that a clerk has put on the desk."""
    answer = sent(found.browser("clerk"), "/bookings/new/keep", ref=ref, **{**FRIDAY, **fields})
    assert answer.status_code == 302, answer.text
    return known(found, ref)


def published(found: Desks, ref: str, **fields: Any) -> PlanRecord:
    """A booking that a nurse has made, cleared and published."""
    answer = sent(found.browser("nurse"), "/bookings/new/clear", ref=ref, **{**FRIDAY, **fields})
    assert answer.status_code == 302, answer.text
    record = known(found, ref)
    assert record.was_given
    return record


def known(found: Desks, ref: str) -> PlanRecord:
    """What the records say of a booking."""
    record = found.office.records.find(ref)
    assert record is not None
    return record
