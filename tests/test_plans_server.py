"""The plans' server: types, headers, what it refuses, and that no token reaches a log."""

from __future__ import annotations

import gzip
import logging
import os
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from generator.console import listening as serving
from generator.console.plans import plans_app
from generator.errors import BadRequest

TOKEN = "k7wq3mzt9bfx2hcn6rvd8jpys4"
PLAN = f"/p/{TOKEN}"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
FILES = {
    "robots.txt": b"User-agent: *\nDisallow: /p/\n",
    "index.html": b"",
    "p/index.html": b"",
    f"p/{TOKEN}/index.html": b"<!doctype html><title>Plan</title>",
    f"p/{TOKEN}/es.html": "<!doctype html><title>Día</title>".encode(),
    f"p/{TOKEN}/plan.ics": b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n",
    f"p/{TOKEN}/app.webmanifest": b"{}",
    f"p/{TOKEN}/qr.svg": b"<svg xmlns='http://www.w3.org/2000/svg'/>",
    f"p/{TOKEN}/sw.js": b"const PLAN = {};",
    "a/0123456789ab/page.css": b"body{}",
    "a/0123456789ab/page.js": b"var x;",
    "a/0123456789ab/icon-180.png": b"\x89PNG",
    "a/0123456789ab/pictures/cup.svg": b"<svg/>",
}


@pytest.fixture
def public(tmp_path: Path) -> Path:
    folder = tmp_path / "data" / "public"
    for name, content in FILES.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content)
    (tmp_path / "data" / "secret").write_bytes(b"the secret")
    return folder


@pytest.fixture
def client(public: Path) -> FlaskClient:
    return plans_app(public).test_client()


@pytest.fixture
def taken() -> Iterator[socket.socket]:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        yield taken


def _got(client: FlaskClient, path: str, method: str = "GET", **more: Any) -> TestResponse:
    return client.open(path, method=method, buffered=True, **more)


@pytest.mark.parametrize(
    ("path", "content_type", "cache"),
    [
        ("/", "text/html; charset=utf-8", "no-cache"),
        ("/robots.txt", "text/plain; charset=utf-8", "no-cache"),
        ("/p/", "text/html; charset=utf-8", "no-cache"),
        (f"{PLAN}/", "text/html; charset=utf-8", "no-cache"),
        (f"{PLAN}/es.html", "text/html; charset=utf-8", "no-cache"),
        (f"{PLAN}/plan.ics", "text/calendar; charset=utf-8", "no-cache"),
        (f"{PLAN}/app.webmanifest", "application/manifest+json", "no-cache"),
        (f"{PLAN}/qr.svg", "image/svg+xml", "no-cache"),
        (f"{PLAN}/sw.js", "text/javascript; charset=utf-8", "no-cache"),
        ("/a/0123456789ab/page.css", "text/css; charset=utf-8", "public, max-age=31536000, immutable"),
        ("/a/0123456789ab/page.js", "text/javascript; charset=utf-8", "public, max-age=31536000, immutable"),
        ("/a/0123456789ab/icon-180.png", "image/png", "public, max-age=31536000, immutable"),
        ("/a/0123456789ab/pictures/cup.svg", "image/svg+xml", "public, max-age=31536000, immutable"),
    ],
)
def test_each_file_has_its_type_and_its_time_in_caches(
    client: FlaskClient, path: str, content_type: str, cache: str
) -> None:
    response = _got(client, path)
    assert response.status_code == 200
    assert response.headers["Content-Type"] == content_type
    assert response.headers["Cache-Control"] == cache
    name = path.lstrip("/") + ("index.html" if path.endswith("/") else "")
    assert response.data == FILES[name]


@pytest.mark.parametrize(
    ("path", "method", "status"),
    [
        (f"{PLAN}/", "GET", 200),
        (f"{PLAN}/sw.js", "GET", 200),
        ("/a/0123456789ab/page.css", "GET", 200),
        (PLAN, "GET", 308),
        ("/p/nobody/", "GET", 404),
        (f"{PLAN}/", "POST", 405),
    ],
)
def test_every_answer_carries_the_protecting_headers(
    client: FlaskClient, path: str, method: str, status: int
) -> None:
    response = _got(client, path, method)
    assert response.status_code == status
    assert response.headers["Content-Security-Policy"] == POLICY
    assert response.headers["Referrer-Policy"] == "no-referrer"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["X-Robots-Tag"] == "noindex, nofollow, noarchive"
    assert response.headers["Permissions-Policy"] == "camera=(), microphone=(), geolocation=()"
    assert "Set-Cookie" not in response.headers
    assert "Strict-Transport-Security" not in response.headers


def test_strict_transport_is_asked_for_only_over_tls(client: FlaskClient) -> None:
    response = _got(client, f"{PLAN}/", base_url="https://plans.example")
    assert response.headers["Strict-Transport-Security"] == "max-age=31536000"


@pytest.mark.parametrize(
    ("path", "location"),
    [
        (PLAN, f"./{TOKEN}/"),
        (f"{PLAN}?utm=1&x=%41", f"./{TOKEN}/?utm=1&x=%41"),
        ("/p", "./p/"),
    ],
)
def test_a_link_without_its_slash_is_sent_on_and_keeps_its_query(
    client: FlaskClient, path: str, location: str
) -> None:
    response = _got(client, path)
    assert response.status_code == 308
    assert response.headers["Location"] == location


@pytest.mark.parametrize(
    "path",
    [
        "/p/nobody",
        "/p/nobody/",
        f"{PLAN}/fr.html",
        f"{PLAN}/es.html/",
        "/a",
        "/a/",
        "/a/0123456789ab",
        "/a/0123456789ab/",
        "/a/0123456789ab/pictures/",
        "/a/0123456789ab/missing.css",
        f"/p//{TOKEN}",
        f"{PLAN}//",
        f"{PLAN}/%00",
        f"{PLAN}/{'x' * 5000}",
        f"{PLAN}/%ff",
    ],
)
def test_what_is_no_file_is_not_found_and_says_nothing(client: FlaskClient, path: str) -> None:
    response = _got(client, path)
    assert response.status_code == 404
    assert response.data == b""
    assert response.headers["Content-Type"] == "text/plain; charset=utf-8"
    assert response.headers["Cache-Control"] == "no-cache"
    assert "Location" not in response.headers


@pytest.mark.parametrize(
    "path", ["//", f"//p/{TOKEN}/", f"//p/{TOKEN}", "//elsewhere.example", "//../secret"]
)
def test_a_path_that_begins_with_two_slashes_is_never_sent_on(client: FlaskClient, path: str) -> None:
    # Set in the environment, as a server does: the test client would read the path as a host.
    response = _got(client, "/", environ_overrides={"PATH_INFO": path})
    assert (response.status_code, response.data) == (404, b"")
    assert "Location" not in response.headers


@pytest.mark.parametrize(
    "path",
    [
        "/../secret",
        "/%2e%2e/secret",
        "/..%2fsecret",
        f"{PLAN}/../../../secret",
        f"{PLAN}/..%2f..%2f..%2fsecret",
        "/p/..%5c..%5csecret",
        "/%2fetc/passwd",
        "/./robots.txt",
        "/outside/secret",
        "/p/.new/index.html",
        "/p/.new/",
        "/p/.new",
    ],
)
def test_nothing_outside_or_unfinished_is_served(client: FlaskClient, public: Path, path: str) -> None:
    (public / "outside").symlink_to(public.parent)
    (public / "p" / ".new").mkdir()
    (public / "p" / ".new" / "index.html").write_text("half a plan")
    response = _got(client, path)
    assert (response.status_code, response.data) == (404, b"")


def test_only_reading_is_allowed(client: FlaskClient) -> None:
    for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"):
        for path in (f"{PLAN}/", "/p/nobody/", "/"):
            response = _got(client, path, method)
            assert (method, response.status_code) == (method, 405)
            assert response.data == b""
            assert response.headers["Allow"] == "GET, HEAD"


def test_head_has_the_headers_of_get_and_no_body(client: FlaskClient) -> None:
    response = _got(client, f"{PLAN}/plan.ics", "HEAD")
    assert response.status_code == 200
    assert response.data == b""
    assert response.headers["Content-Length"] == "32"
    assert response.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert response.headers["Cache-Control"] == "no-cache"
    assert _got(client, "/p/nobody/", "HEAD").status_code == 404


@pytest.mark.parametrize(
    ("path", "cache"),
    [(f"{PLAN}/", "no-cache"), ("/a/0123456789ab/page.css", "public, max-age=31536000, immutable")],
)
def test_an_unchanged_file_is_not_sent_again(client: FlaskClient, path: str, cache: str) -> None:
    first = _got(client, path)
    again = _got(client, path, headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 304
    assert again.data == b""
    assert again.headers["Cache-Control"] == cache
    assert again.headers["Content-Security-Policy"] == POLICY


@pytest.mark.parametrize("path", [f"{PLAN}/plan.ics", "/a/0123456789ab/page.css", f"{PLAN}/qr.svg"])
def test_text_is_sent_packed_to_who_takes_it(client: FlaskClient, public: Path, path: str) -> None:
    """RFC 9110, 12.5.3 and 8.4.1.3: `q=0` is a no, and so is a list without it; silence is taken as one."""
    content = 40 * FILES[path.lstrip("/")]
    (public / path.lstrip("/")).write_bytes(content)
    for takes in ("gzip", "br;q=1.0, gzip;q=0.8", "*"):
        response = _got(client, path, headers={"Accept-Encoding": takes})
        assert response.headers["Content-Encoding"] == "gzip"
        assert response.headers["Vary"] == "Accept-Encoding"
        assert response.headers["Content-Length"] == str(len(response.data))
        assert len(response.data) * 3 < len(content)
        assert gzip.decompress(response.data) == content
    for takes in ("", "br", "gzip;q=0", "identity"):
        response = _got(client, path, headers={"Accept-Encoding": takes})
        assert "Content-Encoding" not in response.headers
        assert response.headers["Vary"] == "Accept-Encoding"
        assert response.data == content


def test_a_packed_answer_is_not_sent_again_and_its_parts_are_not_packed(client: FlaskClient) -> None:
    takes = {"Accept-Encoding": "gzip"}
    first = _got(client, f"{PLAN}/", headers=takes)
    assert first.headers["ETag"].startswith('W/"')
    assert "Accept-Ranges" not in first.headers
    again = _got(client, f"{PLAN}/", headers={**takes, "If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data, again.headers["Vary"]) == (304, b"", "Accept-Encoding")
    part = _got(client, f"{PLAN}/", headers={**takes, "Range": "bytes=0-8"})
    assert (part.status_code, part.data) == (206, b"<!doctype")
    assert "Content-Encoding" not in part.headers
    head = _got(client, f"{PLAN}/", "HEAD", headers=takes)
    assert (head.headers["Content-Length"], head.data) == (first.headers["Content-Length"], b"")
    picture = _got(client, "/a/0123456789ab/icon-180.png", headers=takes)
    assert "Content-Encoding" not in picture.headers
    assert "Vary" not in picture.headers


def test_another_plan_of_the_same_size_and_file_time_is_sent(client: FlaskClient, public: Path) -> None:
    file = public / "p" / TOKEN / "index.html"
    before = file.stat()
    first = _got(client, f"{PLAN}/")
    aside = file.with_name("aside")
    aside.write_bytes(b"<!doctype html><title>MOVE</title>")
    os.utime(aside, ns=(before.st_atime_ns, before.st_mtime_ns))
    aside.rename(file)
    assert (file.stat().st_size, file.stat().st_mtime_ns) == (before.st_size, before.st_mtime_ns)
    headers = {"If-None-Match": first.headers["ETag"], "If-Modified-Since": first.headers["Last-Modified"]}
    again = _got(client, f"{PLAN}/", headers=headers)
    assert (again.status_code, again.data) == (200, b"<!doctype html><title>MOVE</title>")


def test_a_plan_put_there_while_serving_is_found_and_one_taken_away_is_not(
    client: FlaskClient, public: Path
) -> None:
    assert _got(client, "/p/later/").status_code == 404
    (public / "p" / "later").mkdir()
    (public / "p" / "later" / "index.html").write_bytes(b"later")
    assert _got(client, "/p/later/").data == b"later"
    (public / "p" / "later" / "index.html").unlink()
    assert _got(client, "/p/later/").status_code == 404


def test_no_token_reaches_a_log(
    public: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    caplog.set_level(logging.DEBUG)
    app: Flask = plans_app(public)
    client = app.test_client()
    for path in (PLAN, f"{PLAN}/", f"{PLAN}/missing"):
        _got(client, path)
    assert TOKEN not in caplog.text

    def broken(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied", f"/data/public/p/{TOKEN}/index.html")

    monkeypatch.setattr("generator.console.plans.send_file", broken)
    response = _got(client, f"{PLAN}/")
    assert (response.status_code, response.data) == (500, b"")
    assert response.headers["Content-Security-Policy"] == POLICY
    assert "A file of the plans could not be served: PermissionError." in caplog.text
    assert TOKEN not in caplog.text


class _Server:
    """Stands in for waitress: stops at once, after logging as waitress does when a file breaks off."""

    def run(self) -> None:
        logger = logging.getLogger("waitress")
        logger.info(f"Client disconnected while serving {PLAN}/")
        try:
            raise OSError(5, "Input/output error", f"{PLAN}/index.html")
        except OSError:
            logger.exception(f"Exception while serving {PLAN}/")
        logger.warning("total open connections reached the connection limit")

    def close(self) -> None:
        pass


def test_the_servers_own_messages_lose_the_path(
    public: Path, taken: socket.socket, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    caplog.set_level(logging.DEBUG)
    monkeypatch.setattr(serving, "create_server", lambda *_, **__: _Server())
    free_port = taken.getsockname()[1]
    taken.close()
    serving.serve_plans(public.parent, "127.0.0.1", free_port)
    assert [record.getMessage() for record in caplog.records if record.name == "waitress"] == [
        "An answer was not finished (info).",
        "An answer was not finished (OSError).",
        "total open connections reached the connection limit",
    ]
    assert TOKEN not in caplog.text


def test_a_folder_without_plans_is_refused_with_the_next_step(tmp_path: Path) -> None:
    with pytest.raises(BadRequest) as told:
        serving.serve_plans(tmp_path, "127.0.0.1", 8641)
    assert told.value.problem.endswith("holds no published plans: it has no folder public.")
    assert told.value.remedy.startswith("Build the plans into it first")


def test_a_free_port_is_refused_with_the_next_step(public: Path, taken: socket.socket) -> None:
    port = taken.getsockname()[1]
    with pytest.raises(BadRequest) as told:
        serving.serve_plans(public.parent, "127.0.0.1", port)
    assert told.value.problem == f"Port {port} is taken."
    assert told.value.remedy == "Stop what uses it, or choose another with --port."


def test_an_address_of_another_machine_is_refused(public: Path) -> None:
    with pytest.raises(BadRequest) as told:
        serving.serve_plans(public.parent, "192.0.2.1", 8641)  # RFC 5737: nobody's address
    assert told.value.problem == "Nothing can listen on 192.0.2.1."
