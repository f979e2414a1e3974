"""`daybefore serve`: the console on one port, the plans on the next, by a process of its own."""

from __future__ import annotations

import http.client
import sys
import time
from pathlib import Path

from generator.console.serve import hosts_of, is_secure
from tests.browser.served import STARTED_WITHIN, group_of, two_free_ports
from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT, ROOT, run_json


def answer(port: int, path: str, host: str = "localhost") -> tuple[int, str]:
    """Status and text of one request."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    try:
        connection.request("GET", path, headers={"Host": f"{host}:{port}"})
        response = connection.getresponse()
        return response.status, response.read().decode("utf-8", "replace")
    finally:
        connection.close()


def test_console_and_plans_are_served_on_two_ports(tmp_path: Path) -> None:
    said = run_json("build", DEMO_LIST, "--unit", DEMO_UNIT, "--out", tmp_path, "--now", DEMO_NOW)
    path = "/p/" + next(row["link"] for row in said["files"][0]["rows"] if "link" in row).split("/p/")[1]
    port = two_free_ports()
    command = [sys.executable, "-m", "generator", "serve", "--unit", str(DEMO_UNIT), "--data", str(tmp_path)]
    with group_of([*command, "--port", str(port)], cwd=ROOT) as running:
        deadline = time.monotonic() + STARTED_WITHIN
        while time.monotonic() < deadline and running.poll() is None:
            try:
                status, page = answer(port, "/sign-in")
                break
            except OSError:
                time.sleep(0.1)
        else:
            raise AssertionError("the console did not start")
        assert (status, "Sign in" in page) == (200, True)
        assert answer(port + 1, path)[0] == 200
        assert answer(port, path)[0] == 302  # no plan on the console's port, to nobody
        assert answer(port + 1, "/sign-in")[0] == 404  # and no console on the plans'
        assert answer(port, "/sign-in", "elsewhere.example")[0] == 400
        assert answer(port, "/" + "x" * 300_000)[0] in (400, 414, 431)


def test_the_console_answers_to_its_names_alone() -> None:
    assert hosts_of(None, "127.0.0.1") == ("localhost", "127.0.0.1", "[::1]")
    assert "desk.example.org" in hosts_of("https://desk.example.org/", "127.0.0.1")
    assert (
        is_secure("https://desk.example.org/"),
        is_secure("http://desk.example.org/"),
        is_secure(None),
    ) == (True, False, False)
