"""Handing over in the console: messages due, the file, a booking's texts, the sheets of a day, and the record."""

from __future__ import annotations

import csv
import html
import io
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from generator.desk import cancel, move
from generator.records import trail
from tests.desks import Desks, desks, key_of
from tests.lives import ROWS, build


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> Path:
    data = tmp_path_factory.mktemp("plans")
    with desks(data) as found:
        assert all(made.was_changed for made in build(found.office.desk(), ROWS))
    return data


@pytest.fixture
def desk(plans: Path, tmp_path: Path) -> Iterator[Desks]:
    data = Path(shutil.copytree(plans, tmp_path / "data"))
    with desks(data, now="2026-03-16T08:05") as found:
        yield found


@pytest.fixture
def clerk(desk: Desks) -> FlaskClient:
    return desk.browser("clerk")


def send(client: FlaskClient, path: str, page: str, **fields: str) -> TestResponse:
    return client.post(path, data={"csrf_token": key_of(page), **fields})


def field(page: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found, name
    return html.unescape(found[1])


def test_a_clerk_copies_a_message_and_it_is_due_no_more(desk: Desks, clerk: FlaskClient) -> None:
    page = clerk.get("/messages").text
    assert "Messages due (3)" in page
    assert "Here is the plan for your appointment." in page
    assert 'lang="ar" dir="rtl"' in page
    answer = send(clerk, "/bookings/1/given", page, seen=field(page, "seen"), kind="first", way="copied")
    assert answer.headers["Location"].endswith("/bookings/1/messages?told=given")
    assert "Messages due (2)" in clerk.get("/messages").text
    told = clerk.get("/bookings/1/messages").text
    assert "given over already" in told
    assert "First link: text copied, 16 March, 08:05, clerk" in told


def test_the_booking_shows_the_message_that_is_due(desk: Desks, clerk: FlaskClient) -> None:
    page = clerk.get("/bookings/2").text
    assert "Este es el plan para su cita." in page
    assert "part" in page
    assert 'href="/bookings/2/handout"' in page
    send(clerk, "/bookings/2/given", page, seen=field(page, "seen"), kind="link", way="shown")
    assert "Este es el plan para su cita." not in clerk.get("/bookings/2").text


def test_the_file_is_taken_and_recorded_in_two_steps_so_that_none_is_lost(
    desk: Desks, clerk: FlaskClient
) -> None:
    page = clerk.get("/messages").text
    taken = clerk.get("/messages.csv")
    assert taken.headers["Content-Disposition"] == "attachment; filename=messages.csv"
    lines = list(csv.reader(io.StringIO(taken.data.decode("utf-8-sig"), newline="")))
    assert [line[0] for line in lines] == ["reference", "DEMO-101", "DEMO-102", "DEMO-103"]
    assert "Messages due (3)" in clerk.get("/messages").text
    assert send(clerk, "/messages/sent", page, stamp=field(page, "stamp")).status_code == 302
    assert "No message is due." in clerk.get("/messages").text
    actions = [str(line["action"]) for line in trail.lines(desk.office.records)]
    assert actions.count("handed:first:exported") == 3


def test_a_list_that_has_changed_since_is_not_recorded(desk: Desks, clerk: FlaskClient) -> None:
    page = clerk.get("/messages").text
    cancel(desk.office.desk(), "DEMO-101", "clerk")
    answer = send(clerk, "/messages/sent", page, stamp=field(page, "stamp"))
    assert answer.status_code == 409
    assert "Nothing was recorded" in answer.text
    assert "Eat and drink normally again." in answer.text
    one = send(clerk, "/bookings/1/given", page, seen=field(page, "seen"), kind="first", way="copied")
    assert one.headers["Location"].endswith("told=changed")
    assert not [
        line for line in trail.lines(desk.office.records) if str(line["action"]).startswith("handed:")
    ]


def test_all_sheets_of_a_day_are_printed_in_one_job_and_recorded(desk: Desks, clerk: FlaskClient) -> None:
    page = clerk.get("/days/2026-03-18/handouts").text
    assert "(2)" in page
    sheets = clerk.get("/days/2026-03-18/handouts/sheets")
    assert re.findall(r'class="ref">(DEMO-\d+)<', sheets.text) == ["DEMO-101", "DEMO-102"]
    policy = sheets.headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; style-src 'sha256-")
    assert "frame-ancestors 'none'" in policy
    assert sheets.headers["Cache-Control"] == "no-store"
    answer = send(clerk, "/days/2026-03-18/handouts/given", page, stamp=field(page, "stamp"))
    assert answer.status_code == 302
    assert "Messages due (1)" in clerk.get("/messages").text


def test_a_day_whose_bookings_changed_is_printed_again(desk: Desks, clerk: FlaskClient) -> None:
    page = clerk.get("/days/2026-03-18/handouts").text
    changed = {"start": desk.office.now().replace(day=25, hour=14, minute=0), "arrival": None}
    assert move(desk.office.desk(), "DEMO-102", changed, "clerk").was_changed
    answer = send(clerk, "/days/2026-03-18/handouts/given", page, stamp=field(page, "stamp"))
    assert answer.status_code == 409
    assert "throw its sheet away" in answer.text


def test_what_has_no_plan_has_no_sheet_and_says_why(desk: Desks, clerk: FlaskClient) -> None:
    cancel(desk.office.desk(), "DEMO-103", "clerk")
    answer = clerk.get("/bookings/3/handout")
    assert answer.status_code == 409
    assert "There is no sheet to print" in answer.text
    assert "daybefore" not in answer.text.split("<main")[1]
    assert "There is no sheet to print." in clerk.get("/days/2026-03-19/handouts").text


@pytest.mark.parametrize(
    "fields",
    [{"kind": "call", "way": "copied"}, {"kind": "first", "way": "read"}, {"kind": "x", "way": "copied"}],
)
def test_nothing_but_what_was_given_over_is_recorded(
    desk: Desks, clerk: FlaskClient, fields: dict[str, str]
) -> None:
    page = clerk.get("/messages").text
    assert send(clerk, "/bookings/1/given", page, seen=field(page, "seen"), **fields).status_code == 400


def test_a_translator_sees_none_of_it(desk: Desks) -> None:
    client = desk.browser("translator")
    for path in ("/messages", "/messages.csv", "/bookings/1/messages", "/bookings/1/handout"):
        answer = client.get(path)
        assert answer.status_code == 403
        assert "/p/" not in answer.text
