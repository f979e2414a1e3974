"""The console's guards. Each test ends by taking the guard away and seeing the attack succeed: none passes idly."""

from __future__ import annotations

import logging
import os
import stat
from base64 import b64encode
from collections.abc import Iterator
from hashlib import sha256
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from generator.console import guards, seen
from generator.console.roles import MAY, Action, action_of, needs
from generator.console.sittings import Sittings
from generator.records import accounts
from tests.desks import FRIDAY, PASSWORD, Desks, desks, key_of, known, prepared, published, seen_of, sent

NOW = "2026-03-16T08:00"
SCRIPT = '"><script>alert(1)</script>'


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desks]:
    with desks(tmp_path_factory.mktemp("desk")) as found:
        published(found, "GIVEN-1")
        prepared(found, "WAITS-1")
        yield found


@pytest.fixture
def desk(shared: Desks) -> Desks:
    shared.clock.set(NOW)
    limiter(shared.app).reset()
    return shared


def limiter(app: Flask) -> Any:
    [found] = app.extensions["limiter"]
    return found


def rules(found: Desks) -> list[tuple[str, str, str]]:
    """Endpoint, method and a path of each page; the bookings named are there."""
    made = []
    for rule in found.app.url_map.iter_rules():
        values = {
            "number": 1,
            "day": "2026-03-20",
            "name": "index.html",
            "path": "x.css",
            "filename": "at.js",
        }
        methods = sorted({"GET", "POST"} & (rule.methods or set()))
        needed = {name: values[name] for name in rule.arguments}
        path = found.app.url_map.bind("localhost").build(rule.endpoint, needed, method=methods[0])
        made += [(rule.endpoint, method, path) for method in methods]
    return made


def test_every_page_and_action_is_for_the_roles_that_the_table_names(
    desk: Desks, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert len(rules(desk)) > 35
    for role in (None, *accounts.ROLES):
        client = desk.browser(role)
        for endpoint, method, path in rules(desk):
            if endpoint == "signing.sign_out":
                continue
            action = Action.COME_IN if endpoint == "static" else action_of(desk.app.view_functions[endpoint])
            assert action is not None, endpoint
            answer = sent(client, path) if method == "POST" else client.get(path, buffered=True)
            let_in = action is Action.COME_IN or (role is not None and action in MAY[role])
            if let_in:
                assert answer.status_code != 403, (role, method, path)
            elif role is None:
                away = answer.status_code == 401 or "/sign-in" in answer.headers.get("Location", "")
                assert away, (method, path, answer.status_code)
            else:
                assert answer.status_code == 403, (role, method, path)
    translator = desk.browser("translator")
    assert "GIVEN-1" not in translator.get("/days/2026-03-20").text
    monkeypatch.setattr(guards, "may", lambda *_: True)
    assert "GIVEN-1" in translator.get("/days/2026-03-20").text


def test_the_table_says_who_clears_and_releases() -> None:
    """practice.md F1 and F2: a clerk prepares, a clinician clears; a translator has nothing to do with patients."""
    assert {role for role, actions in MAY.items() if Action.CLEAR in actions} == {"nurse", "lead"}
    assert {role for role, actions in MAY.items() if Action.RELEASE in actions} == {"nurse", "lead"}
    assert MAY["translator"] == {Action.BE_HERE}
    assert set(MAY) == set(accounts.ROLES)


def test_a_page_without_an_action_is_shown_to_nobody(desk: Desks) -> None:
    def bare() -> str:
        return "secret"

    client = desk.browser("lead")
    saved = desk.app.view_functions["card.card"]
    desk.app.view_functions["card.card"] = bare
    try:
        assert client.get("/card").status_code == 403
        desk.app.view_functions["card.card"] = needs(Action.LOOK)(bare)
        assert client.get("/card").text == "secret"
    finally:
        desk.app.view_functions["card.card"] = saved


def test_a_clerk_who_is_let_past_the_console_is_refused_by_the_desk(
    desk: Desks, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two guards: the second does not know the first."""
    record, clerk = prepared(desk, "WAITS-2"), desk.browser("clerk")
    path = f"/bookings/{record.id}/clear"
    assert sent(clerk, path, seen=record.seen).status_code == 403
    monkeypatch.setattr(guards, "may", lambda *_: True)
    answer = sent(clerk, path, seen=record.seen)
    assert answer.status_code == 409
    assert "Only a nurse or a doctor clears a patient." in answer.text
    assert not known(desk, "WAITS-2").was_given


def test_a_form_from_elsewhere_changes_nothing(desk: Desks, monkeypatch: pytest.MonkeyPatch) -> None:
    record, nurse = published(desk, "CSRF-1"), desk.browser("nurse")
    path, form = f"/bookings/{record.id}/cancel", {"seen": record.seen}
    for key in ({}, {"csrf_token": "x"}, {"csrf_token": key_of(desk.browser().get("/sign-in").text)}):
        answer = nurse.post(path, data={**form, **key}, headers={"Origin": "https://elsewhere.example"})
        assert answer.status_code == 400
    assert known(desk, "CSRF-1").life == "made"
    monkeypatch.setitem(desk.app.config, "WTF_CSRF_ENABLED", False)
    assert nurse.post(path, data=form).status_code == 302
    assert known(desk, "CSRF-1").life == "cancelled"


def test_a_form_of_ours_from_before_another_sign_in_is_kept_and_not_sent(desk: Desks) -> None:
    """Another window signed out and in again: the browser says that the form is ours."""
    nurse = desk.browser("nurse")
    answer = nurse.post(
        "/bookings/new/keep", data={"ref": "OLD-1", **FRIDAY}, headers={"Origin": "http://localhost"}
    )
    assert answer.status_code == 400
    assert 'value="OLD-1"' in answer.text
    assert desk.office.records.find("OLD-1") is None


def test_signing_in_begins_a_session_of_its_own(desk: Desks, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cookie planted in a nurse's browser is not the nurse's once she has signed in."""

    def planted() -> FlaskClient:
        attacker = desk.browser("translator")
        victim = desk.app.test_client()
        cookie = attacker.get_cookie("console")
        assert cookie is not None
        victim.set_cookie("console", cookie.value)
        answer = sent(victim, "/sign-in", name="nurse", password=PASSWORD)
        assert answer.status_code == 302
        return attacker

    assert "GIVEN-1" not in planted().get("/days/2026-03-20").text
    begin = Sittings.begin

    def the_same_number(self: Sittings, name: str, changed: str, now: Any) -> str:
        number = begin(self, name, changed, now)
        self._open["planted"] = self._open.pop(number)
        return "planted"

    monkeypatch.setattr(Sittings, "begin", the_same_number)
    assert "GIVEN-1" in planted().get("/days/2026-03-20").text


def test_no_path_leads_out_of_the_shared_files(desk: Desks, monkeypatch: pytest.MonkeyPatch) -> None:
    (desk.data / "decoy.css").write_text("out of the folder")
    nurse = desk.browser("nurse")
    away = [
        "/a/../../decoy.css", "/a/..%2f..%2fdecoy.css", "/a/%2e%2e/%2e%2e/decoy.css", "/a//../../decoy.css",
        "/static/../../../decoy.css", "/static/..%2f..%2f..%2fdecoy.css", f"/a/{desk.data}/decoy.css",
        "/seen/1/..%2f..%2f..%2fdecoy.css", "/seen/1/sw.js", "/seen/1/.new", "/days/..%2f..",
    ]  # fmt: skip
    for path in away:
        answer = nurse.get(path, buffered=True)
        assert answer.status_code in (302, 308, 404), path
        assert "out of the folder" not in answer.text
    monkeypatch.setattr(seen, "safe_join", os.path.join)
    monkeypatch.setattr(seen, "_is_hidden", lambda _: False)
    assert nurse.get("/a/..%2f..%2fdecoy.css").text == "out of the folder"


def test_what_is_typed_is_shown_as_letters(desk: Desks) -> None:
    nurse = desk.browser("nurse")
    names = (
        "ref", "date", "time", "protocol", "language", "second", "speaks", "travel", "pick_up", "sedation", "raised",
        "seen", "outcome", "decided", "cleared", "medicine:iron", "begun-date:x", "name", "then", "kept:x", "told",
    )  # fmt: skip
    pages = [path for _, method, path in rules(desk) if method == "POST" and "sign-out" not in path]

    def answers() -> list[str]:
        everything = {name: SCRIPT for name in names}
        told = [sent(nurse, path, **everything).text for path in pages]
        told += [nurse.get("/find", query_string={"q": SCRIPT}).text, nurse.get(f"/days/{SCRIPT}").text]
        told += [nurse.get("/sign-in", query_string={"then": SCRIPT}).text, nurse.get(f"/{SCRIPT}").text]
        told.append(desk.browser().post("/sign-in", data={"name": SCRIPT}).text)
        limiter(desk.app).reset()
        return told

    assert not any("<script>alert" in page for page in answers())
    saved = desk.app.jinja_env.autoescape
    desk.app.jinja_env.autoescape = False
    desk.app.jinja_env.cache.clear()  # type: ignore[union-attr]
    try:
        assert any("<script>alert" in page for page in answers())
    finally:
        desk.app.jinja_env.autoescape = saved
        desk.app.jinja_env.cache.clear()  # type: ignore[union-attr]


def test_a_form_that_is_too_long_is_not_read(desk: Desks, monkeypatch: pytest.MonkeyPatch) -> None:
    nurse = desk.browser("nurse")
    for fields in ({"ref": "9" * 100_000}, {f"field-{number}": "" for number in range(6000)}):
        assert sent(nurse, "/bookings/new", **fields).status_code == 413
    for name in ("MAX_CONTENT_LENGTH", "MAX_FORM_MEMORY_SIZE", "MAX_FORM_PARTS"):
        monkeypatch.setitem(desk.app.config, name, None)
    assert sent(nurse, "/bookings/new", ref="9" * 100_000).status_code == 200


def test_logs_and_errors_hold_no_token_reference_or_name(
    desk: Desks, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    caplog.set_level(logging.DEBUG)
    record, nurse = published(desk, "LOGGED-4711"), desk.browser("nurse")
    secrets = ("LOGGED-4711", record.identity.token, record.identity.call_number, "Quill")
    nurse.get("/find?q=LOGGED-4711%20Quill")
    sent(nurse, f"/bookings/{record.id}/move/now", seen="x", date="Quill", time=record.identity.token)
    sent(nurse, "/sign-in", name="Quill", password="LOGGED-4711")

    def broken(*_: Any, **__: Any) -> None:
        raise RuntimeError(f"LOGGED-4711 {record.identity.token}")

    monkeypatch.setattr(type(desk.office), "desk", broken)
    monkeypatch.setitem(desk.app.config, "PROPAGATE_EXCEPTIONS", False)
    answer = nurse.get(f"/bookings/{record.id}")
    assert answer.status_code == 500
    told = "\n".join(
        logging.Formatter().format(one) for one in caplog.records if one.name not in ("asyncio", "werkzeug")
    )
    assert "RuntimeError" in told
    for secret in secrets:
        assert secret not in told
        assert secret not in answer.text
    caplog.clear()
    monkeypatch.setattr(type(desk.app), "log_exception", Flask.log_exception)
    nurse.get(f"/bookings/{record.id}")
    assert "LOGGED-4711" in "\n".join(logging.Formatter().format(one) for one in caplog.records)


def test_passwords_cannot_be_tried_without_end(desk: Desks) -> None:
    """Only failed tries count, by account: five a minute."""

    def try_it(name: str, password: str) -> int:
        return sent(desk.browser(), "/sign-in", name=name, password=password).status_code

    assert [try_it("nurse", "wrong-password-1") for _ in range(6)] == [401] * 5 + [429]
    assert try_it("nurse", PASSWORD) == 429
    assert try_it("clerk", PASSWORD) == 302
    limiter(desk.app).enabled = False
    try:
        assert try_it("nurse", "wrong-password-1") == 401
    finally:
        limiter(desk.app).enabled = True


def test_a_host_that_is_not_ours_is_not_answered(desk: Desks, monkeypatch: pytest.MonkeyPatch) -> None:
    """A foreign name that was made to point to this computer (DNS rebinding)."""
    foreign: Any = {"base_url": "http://elsewhere.example/"}
    assert desk.browser().get("/sign-in", **foreign).status_code == 400
    monkeypatch.setitem(desk.app.config, "TRUSTED_HOSTS", None)
    assert desk.browser().get("/sign-in", **foreign).status_code == 200


def test_after_signing_in_nobody_is_sent_elsewhere(desk: Desks) -> None:
    for then in (
        "https://elsewhere.example/",
        "//elsewhere.example/",
        "/\\elsewhere.example",
        "/\t/elsewhere.example",
    ):
        answer = sent(desk.browser(), "/sign-in", name="nurse", password=PASSWORD, then=then)
        assert answer.headers["Location"] == "/"
    assert (
        sent(desk.browser(), "/sign-in", name="nurse", password=PASSWORD, then="/calls").headers["Location"]
        == "/calls"
    )


def test_every_answer_says_that_it_is_not_kept_nor_framed_nor_scripted_from_elsewhere(desk: Desks) -> None:
    nurse = desk.browser("nurse")
    for _, method, path in rules(desk):
        if method == "GET" and not path.startswith("/seen/"):
            headers = nurse.get(path, buffered=True).headers
            assert headers["Cache-Control"] == "no-store" or path.startswith("/static/"), path
            assert "unsafe-inline" not in headers["Content-Security-Policy"]
            assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
    policy = nurse.get("/seen/1/index.html").headers["Content-Security-Policy"]
    assert policy.startswith("sandbox allow-scripts; default-src 'none';")
    style = nurse.get("/seen/1/index.html").text.split("<style>")[1].split("</style>")[0]
    digest = b64encode(sha256(style.encode()).digest()).decode()
    assert f"'sha256-{digest}'" in policy  # else what the patient sees would be shown without its looks
    cookie = desk.browser().get("/sign-in").headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie


def test_a_sitting_ends_by_itself_and_loses_nothing_typed(desk: Desks) -> None:
    """practice.md §3, the clerk: “session ends while typing”."""
    clerk = desk.browser("clerk")
    key = key_of(clerk.get("/").text)
    desk.clock.forward(19)
    assert clerk.get("/calls").status_code == 200
    desk.clock.forward(21)
    form = {"csrf_token": key, "ref": "KEPT-1", **FRIDAY, "raised": ["iron", "constipation"]}
    answer = clerk.post("/bookings/new/keep", data=form)
    assert answer.status_code == 401
    assert "What you typed is kept" in answer.text
    carried = [
        ("kept:ref", "KEPT-1"),
        ("kept:date", "2026-03-20"),
        ("kept:raised", "iron"),
        ("kept:raised", "constipation"),
    ]
    for name, value in carried:
        assert f'name="{name}" value="{value}"' in answer.text
    data: dict[str, Any] = {f"kept:{name}": value for name, value in form.items() if name != "csrf_token"}
    again = sent(clerk, "/sign-in", name="clerk", password=PASSWORD, then="/bookings/new/keep", **data)
    assert 'action="/bookings/new/keep"' in again.text
    assert 'name="raised" value="constipation"' in again.text
    assert desk.office.records.find("KEPT-1") is None  # nothing is sent unseen
    sent(clerk, "/bookings/new/keep", ref="KEPT-1", **FRIDAY, raised=["iron", "constipation"])
    inputs = known(desk, "KEPT-1").inputs
    assert inputs is not None
    assert (inputs.booking.factors, inputs.booking.medicines) == (("constipation",), ("iron",))


def test_an_account_that_is_removed_changed_or_given_another_role_is_that_at_once(desk: Desks) -> None:
    records, now = desk.office.records, desk.clock.now
    accounts.set_account(records, "temp", "nurse", PASSWORD, now)
    client = desk.browser("temp")
    assert client.get("/days/2026-03-20").status_code == 200
    accounts.set_role(records, "temp", "translator")
    assert client.get("/days/2026-03-20").status_code == 403
    accounts.set_role(records, "temp", "nurse")
    desk.clock.forward(1)
    accounts.set_account(records, "temp", "nurse", PASSWORD, desk.clock.now)
    assert client.get("/days/2026-03-20").status_code == 302
    again = desk.browser("temp")
    accounts.remove_account(records, "temp")
    assert again.get("/days/2026-03-20").status_code == 302


def test_the_secret_and_the_records_are_for_their_owner_alone(desk: Desks) -> None:
    for name in ("secret", "records.sqlite"):
        assert stat.S_IMODE((desk.data / name).stat().st_mode) == 0o600
    with desk.office.records.change() as connection:
        kept = connection.exec_driver_sql("SELECT password FROM accounts").scalars().all()
    assert all(one.startswith("scrypt:") and PASSWORD not in one for one in kept)


def test_whoever_acts_on_an_outdated_page_is_told_and_loses_nothing_typed(desk: Desks) -> None:
    record = published(desk, "STALE-1")
    first, second, before = desk.browser("clerk"), desk.browser("nurse"), record.seen
    move = {
        "date": "2026-03-23",
        "time": "10:00",
        "protocol": "peg-ascorbate-split",
        "travel": "",
        "pick_up": "",
    }
    assert sent(first, f"/bookings/{record.id}/move/now", seen=before, **move).status_code == 302
    late = {**move, "date": "2026-03-24", "time": "11:15", "travel": "55"}
    answer = sent(second, f"/bookings/{record.id}/move/now", seen=before, **late)
    assert answer.status_code == 409
    assert "changed this plan meanwhile" in answer.text
    for value in ("2026-03-24", "11:15", "55"):
        assert f'value="{value}"' in answer.text
    inputs = known(desk, "STALE-1").inputs
    assert inputs is not None
    assert inputs.booking.start.isoformat() == "2026-03-23T10:00:00+00:00"
    # Without what the page knew, the second would have written over the first.
    assert (
        sent(second, f"/bookings/{record.id}/move/now", seen=seen_of(desk, "STALE-1"), **late).status_code
        == 302
    )
