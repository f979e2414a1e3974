"""The recipe for nginx, run by Debian's nginx: it answers every request as `serve` does."""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import ssl
import subprocess
import time
from collections.abc import Iterator
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPSConnection
from pathlib import Path

import pytest

from generator.materials.shipped import shipped_folder
from tests.browser.served import STARTED_WITHIN, PlansServer, free_port
from tests.plans import Built, built

RECIPE = shipped_folder("templates") / "server" / "nginx.conf"
MAIN = """
daemon off;
master_process off;
pid {place}/nginx.pid;
error_log {place}/error.log;
events {{ worker_connections 64; }}
http {{
    client_body_temp_path {place}/body;
    proxy_temp_path {place}/proxy;
    fastcgi_temp_path {place}/fastcgi;
    uwsgi_temp_path {place}/uwsgi;
    scgi_temp_path {place}/scgi;
    access_log {place}/access.log;
    include {place}/plans.conf;
}}
"""
# What a browser goes by. Not Date, Server and Connection; not ETag and Last-Modified, by which `serve` sends an
# unchanged file only once: nginx cannot tell two plans of one size and second apart, so it sends every file.
COMPARED = (
    "Content-Type", "Content-Length", "Cache-Control", "Location", "Allow", "Content-Security-Policy",
    "Referrer-Policy", "X-Content-Type-Options", "X-Robots-Tag", "Permissions-Policy", "Set-Cookie",
    "Content-Encoding", "Vary", "Access-Control-Allow-Origin",
)  # fmt: skip
METHODS = ("POST", "PUT", "DELETE", "PATCH", "OPTIONS", "PROPFIND")


@dataclass(frozen=True)
class Answer:
    """What a server said."""

    status: int
    headers: dict[str, str]
    body: bytes


@dataclass(frozen=True)
class Both:
    """The same plans behind both servers."""

    plans: Built
    serve: int
    tls: int
    plain: int
    log: Path

    def by_serve(self, path: str, method: str = "GET", **headers: str) -> Answer:
        """What `serve` answers."""
        return answer(HTTPConnection("127.0.0.1", self.serve, timeout=10), path, method, headers)

    def by_nginx(self, path: str, method: str = "GET", **headers: str) -> Answer:
        """What nginx answers."""
        unchecked = ssl.create_default_context()
        unchecked.check_hostname, unchecked.verify_mode = False, ssl.CERT_NONE
        connection = HTTPSConnection("127.0.0.1", self.tls, timeout=10, context=unchecked)
        return answer(connection, path, method, headers)


def answer(connection: HTTPConnection, path: str, method: str, headers: dict[str, str]) -> Answer:
    """What came back; the path goes out as it stands."""
    with contextlib.closing(connection):
        connection.request(method, path, headers=headers)
        response = connection.getresponse()
        return Answer(response.status, dict(response.getheaders()), response.read())


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Both]:
    """Both servers at work over the demonstration's plans and a few traps."""
    nginx, openssl = shutil.which("nginx", path=f"{os.environ['PATH']}:/usr/sbin"), shutil.which("openssl")
    if nginx is None or openssl is None:
        missing = "nginx or openssl is missing: apt-get install nginx-light openssl."
        if os.environ.get("CI"):
            pytest.fail(missing)
        pytest.skip(missing)
    place = tmp_path_factory.mktemp("nginx")
    plans = built(place / "data")
    set_traps(plans)
    tls, plain, serve = free_port(), free_port(), free_port()
    configure(place, plans, tls, plain)
    keys_of(place, openssl)
    process = subprocess.Popen([nginx, "-p", place, "-c", place / "nginx.conf"], stderr=subprocess.PIPE)
    try:
        wait_for(process, tls)
        with PlansServer(plans.data, serve):
            yield Both(plans, serve, tls, plain, place)
    finally:
        process.kill()
        process.communicate()


def set_traps(plans: Built) -> None:
    """What must not be given out: a folder in the making, a way out of the folder, a file of the records."""
    public = plans.data / "public"
    (public / "p" / ".new").mkdir()
    (public / "p" / ".new" / "index.html").write_text("half a plan")
    (public / "out").symlink_to(plans.data)
    (public / "p" / "strange.bin").write_bytes(b"\x00")


def configure(place: Path, plans: Built, tls: int, plain: int) -> None:
    """The recipe with other ports, folder and certificate, and the least of a main file around it."""
    recipe = RECIPE.read_text()
    changes = {
        "listen 80;": f"listen 127.0.0.1:{plain};",
        "listen [::]:80;": "",
        "listen 443 ssl;": f"listen 127.0.0.1:{tls} ssl;",
        "listen [::]:443 ssl;": "",
        "/etc/ssl/certs/plans.example.org.pem": f"{place}/cert.pem",
        "/etc/ssl/private/plans.example.org.key": f"{place}/key.pem",
        "/srv/daybefore/public": f"{plans.data}/public",
    }
    for old, new in changes.items():
        assert recipe.count(old) == 1, old
        recipe = recipe.replace(old, new)
    (place / "plans.conf").write_text(recipe)
    (place / "nginx.conf").write_text(MAIN.format(place=place))


def keys_of(place: Path, openssl: str) -> None:
    """A certificate that nobody trusts."""
    request = f"req -x509 -newkey rsa:2048 -nodes -days 2 -subj /CN=plans.example.org -keyout {place}/key.pem"
    subprocess.run([openssl, *request.split(), "-out", f"{place}/cert.pem"], check=True, capture_output=True)


def wait_for(process: subprocess.Popen[bytes], port: int) -> None:
    """Until nginx listens."""
    deadline = time.monotonic() + STARTED_WITHIN
    while time.monotonic() < deadline and process.poll() is None:
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
            return
        time.sleep(0.02)
    process.kill()
    raise RuntimeError(f"nginx did not start: {process.communicate()[1].decode()}")


def paths_of(plans: Built) -> list[str]:
    """Every file that is up, as it is asked for, and what people and scanners ask for besides."""
    public = plans.data / "public"
    files = [path.relative_to(public).as_posix() for path in sorted(public.rglob("*")) if path.is_file()]
    plan = f"/p/{plans.token('DEMO-102')}"
    return [
        *(f"/{name.removesuffix('index.html')}" for name in files if not name.startswith(("out/", "p/."))),
        f"{plan}/index.html", f"{plan}/?utm_source=x", f"{plan}/en.html?a=%41", plan, f"{plan}?utm=1&x=%41", "/p",
        "/a", "/a/", f"/{next((public / 'a').iterdir()).relative_to(public)}/", "/a/missing.css", "/a/0/paper.css",
        "/p/nobody", "/p/nobody/", f"{plan}/fr.html", f"{plan}/en.html/", f"{plan}//", f"/p//{plan[3:]}/",
        f"//p/{plan[3:]}/", "//", "//elsewhere.example", "//elsewhere.example/..", "/../secret", "/%2e%2e/secret",
        "/..%2fsecret", f"{plan}/../../../secret", "/p/..%5c..%5csecret", "/./robots.txt", "/%2e/robots.txt",
        "/out/secret", "/out", "/p/.new", "/p/.new/", "/p/.new/index.html",
        f"{plan}/%00", f"{plan}/%ff", f"{plan}/{'x' * 3000}", "/records.sqlite", "/favicon.ico", "/p/strange.bin",
    ]  # fmt: skip


def compared(answer: Answer) -> tuple[int, dict[str, str], bytes]:
    """What must be alike. An empty body needs no length and does not vary; none is seen of an answer that sends on."""
    body = b"" if answer.status == 308 else answer.body
    headers = {name: answer.headers[name] for name in COMPARED if name in answer.headers}
    for name in () if body else ("Content-Length", "Vary"):
        headers.pop(name, None)
    return answer.status, headers, body


def test_both_answer_alike(both: Both) -> None:
    paths = paths_of(both.plans)
    assert len(paths) > 80
    wrong = []
    for path in paths:
        ours, theirs = compared(both.by_serve(path)), compared(both.by_nginx(path))
        if ours != theirs:
            wrong.append((path, *((one[0], one[1], one[2][:40]) for one in (ours, theirs))))
    assert wrong == []


def test_both_refuse_what_is_not_reading(both: Both) -> None:
    plan = f"/p/{both.plans.token('DEMO-101')}/"
    for method in METHODS:
        for path in (plan, "/p/nobody/", "/"):
            ours, theirs = both.by_serve(path, method), both.by_nginx(path, method)
            assert compared(ours) == compared(theirs), (method, path)
            assert (theirs.status, theirs.body, theirs.headers["Allow"]) == (405, b"", "GET, HEAD")
    for path in (plan, f"{plan}plan.ics", "/p/nobody/", plan.rstrip("/")):
        assert compared(both.by_serve(path, "HEAD")) == compared(both.by_nginx(path, "HEAD"))


def test_nginx_adds_tls_and_sends_a_moved_plan_though_size_and_second_are_the_same(both: Both) -> None:
    plan = f"/p/{both.plans.token('DEMO-101')}/"
    first = both.by_nginx(plan)
    assert first.headers["Strict-Transport-Security"] == "max-age=31536000"
    assert "ETag" not in first.headers
    assert "Last-Modified" not in first.headers
    again = both.by_nginx(plan, **{"If-Modified-Since": first.headers["Date"], "If-None-Match": "*"})
    assert (again.status, again.body) == (200, first.body)
    small = both.by_nginx(plan, **{"Accept-Encoding": "gzip"})
    assert small.headers["Content-Encoding"] == "gzip"
    assert len(small.body) * 2 < len(first.body)


def test_a_link_without_https_is_sent_on_to_it(both: Both) -> None:
    connection = HTTPConnection("127.0.0.1", both.plain, timeout=10)
    found = answer(connection, "/p/x/?a=1", "GET", {"Host": "plans.example.org"})
    assert (found.status, found.headers["Location"]) == (308, "https://plans.example.org/p/x/?a=1")


def test_nginx_writes_no_token_into_a_log(both: Both) -> None:
    token = both.plans.token("DEMO-103")
    for path in (f"/p/{token}/", f"/p/{token}/no", f"/p/{token}/%00", f"/p/{token}"):
        both.by_nginx(path)
        answer(HTTPConnection("127.0.0.1", both.plain, timeout=10), path, "GET", {})
    logs = [both.log / "access.log", both.log / "error.log"]
    assert token not in "".join(log.read_text() for log in logs if log.exists())
