"""Firefox as a phone, by Marionette: WebDriver's commands as lines of JSON on a socket of the browser itself."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.browser.phones import LOOK_EVERY, DrivenPhone, Phone, PhoneError, Window, program
from tests.browser.served import STARTED_WITHIN, free_port, group_of

SETTINGS: dict[str, object] = {
    # Only what the worker keeps may open a page: the browser's own cache would hand out shared files as well.
    "browser.cache.disk.enable": False,
    "browser.cache.memory.enable": False,
    # Nothing is asked of anybody, and no window of its own comes first.
    "app.update.disabledForTesting": True,
    "browser.aboutwelcome.enabled": False,
    "browser.newtabpage.enabled": False,
    "browser.shell.checkDefaultBrowser": False,
    "browser.startup.homepage_override.mstone": "ignore",
    "browser.startup.page": 0,
    "datareporting.policy.dataSubmissionEnabled": False,
    "extensions.update.enabled": False,
    "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False,
    "services.settings.server": "data:,",
}


class Firefox(DrivenPhone):
    """A session of a running Firefox."""

    def __init__(self, connection: socket.socket) -> None:
        """Opens the session.

        Args:
            connection: to the browser's Marionette port.
        """
        self._stream = connection.makefile("rwb")
        self._received()  # its greeting
        self._sent = 0
        wishes = {"alwaysMatch": {"pageLoadStrategy": "eager", "timeouts": self.LIMITS}}
        self.command("NewSession", capabilities=wishes)

    def command(self, name: str, **values: object) -> Any:
        self._sent += 1
        message = json.dumps([0, self._sent, f"WebDriver:{name}", values]).encode()
        self._stream.write(b"%d:%b" % (len(message), message))
        self._stream.flush()
        _, _, refusal, answer = self._received()
        if refusal:
            raise PhoneError(f"{refusal['error']}: {refusal['message']}")
        return answer["value"] if "value" in answer else answer

    def close(self) -> None:
        """Leaves the browser alone."""
        self._stream.close()

    def _received(self) -> Any:
        """The next message; each has its length in front, as in `5:[0,1]`."""
        length = b""
        while not length.endswith(b":"):
            digit = self._stream.read(1)
            if not digit:
                raise PhoneError("Firefox has ended.")
            length += digit
        return json.loads(self._stream.read(int(length[:-1])))


@contextmanager
def firefox(window: Window) -> Iterator[Phone]:
    """A browser of its own with a fresh profile."""
    port = free_port()
    settings = SETTINGS | {
        "marionette.port": port,
        "javascript.enabled": window.scripts,
        "dom.serviceWorkers.enabled": window.workers,
        "browser.privatebrowsing.autostart": window.private,
    }
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        lines = (f"user_pref({json.dumps(name)}, {json.dumps(value)});\n" for name, value in settings.items())
        Path(profile, "user.js").write_text("".join(lines), "utf-8")
        command = [program("DAYBEFORE_FIREFOX", "firefox-esr", "firefox"), "--headless", "--marionette"]
        environment = os.environ | {"TZ": window.zone, "HOME": profile}
        with group_of([*command, "--no-remote", "--profile", profile], env=environment) as browser:
            with _connected(port, browser) as connection:
                phone = Firefox(connection)
                yield phone
                phone.close()


def _connected(port: int, browser: subprocess.Popen[bytes]) -> socket.socket:
    deadline = time.monotonic() + STARTED_WITHIN
    while time.monotonic() < deadline and browser.poll() is None:
        try:
            return socket.create_connection(("127.0.0.1", port), STARTED_WITHIN)
        except OSError:
            time.sleep(LOOK_EVERY)
    raise RuntimeError("Firefox did not start")
