"""WebKit as a phone: WebKitGTK's small browser on a screen that nobody sees, by its own driver.

It has Safari's engine, but is no iPhone: DEVELOPERS.md says what it cannot show.
"""

from __future__ import annotations

import json
import os
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from typing import Any

from tests.browser.phones import LOOK_EVERY, DrivenPhone, Phone, PhoneError, Window, program
from tests.browser.served import STARTED_WITHIN, free_port, group_of

DRIVER = ("WebKitWebDriver", "/usr/lib/x86_64-linux-gnu/webkit2gtk-4.1/WebKitWebDriver")
BROWSER = tuple(
    f"/usr/lib/{machine}-linux-gnu/{release}/MiniBrowser"
    for machine in ("x86_64", "aarch64")
    for release in ("webkit2gtk-4.1", "webkitgtk-6.0", "webkit2gtk-4.0")
)
PATHS = {"Navigate": "url", "ExecuteScript": "execute/sync", "ExecuteAsyncScript": "execute/async"}


class WebKit(DrivenPhone):
    """A session of the driver; it keeps nothing for the next one."""

    def __init__(self, driver: str, arguments: list[str]) -> None:
        """Opens the browser's window.

        Args:
            driver: address of the driver.
            arguments: of the browser.
        """
        self._driver = driver
        options = {"binary": program("DAYBEFORE_MINIBROWSER", *BROWSER), "args": arguments}
        # Not "eager": this driver loses the first script after a page that is still loading.
        wishes = {"webkitgtk:browserOptions": options, "timeouts": self.LIMITS}
        session = self._asked("POST", "/session", {"capabilities": {"alwaysMatch": wishes}})
        self._session = f"/session/{session['sessionId']}"

    def command(self, name: str, **values: object) -> Any:
        return self._asked("POST", f"{self._session}/{PATHS[name]}", values)

    def close(self) -> None:
        """Closes the window."""
        self._asked("DELETE", self._session, None)

    def _asked(self, method: str, path: str, values: object) -> Any:
        request = urllib.request.Request(self._driver + path, json.dumps(values).encode(), method=method)
        try:
            with urllib.request.urlopen(request, timeout=STARTED_WITHIN) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as refusal:
            with refusal:
                said = json.load(refusal)["value"]
            raise PhoneError(f"{said['error']}: {said['message']}") from None


@contextmanager
def webkit(window: Window) -> Iterator[Phone]:
    """A browser of its own; every session is a private one."""
    arguments = ["--automation"]
    if not window.scripts:
        arguments.append("--enable-javascript-markup=false")  # the page's scripts; the driver's still run
    if not window.workers:
        arguments.append("--features=-ServiceWorkers")
    with ExitStack() as running:
        screen = running.enter_context(_screen())
        settings = {"DISPLAY": screen, "LIBGL_ALWAYS_SOFTWARE": "1", "TZ": window.zone}
        phone = WebKit(running.enter_context(_driver(os.environ | settings)), arguments)
        running.callback(phone.close)
        yield phone


@contextmanager
def _screen() -> Iterator[str]:
    """The name of a display of the size of a phone; the server chooses one that is free."""
    command = [program("DAYBEFORE_XVFB", "Xvfb"), "-displayfd", "1", "-nolisten", "tcp"]
    with group_of([*command, "-screen", "0", "412x900x24"], stdout=subprocess.PIPE) as server:
        assert server.stdout is not None
        with server.stdout as told:
            yield f":{told.readline().decode().strip()}"


@contextmanager
def _driver(settings: dict[str, str]) -> Iterator[str]:
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    with group_of([program("DAYBEFORE_WEBKIT_DRIVER", *DRIVER), f"--port={port}"], env=settings):
        deadline = time.monotonic() + STARTED_WITHIN
        while time.monotonic() < deadline:
            with suppress(OSError), urllib.request.urlopen(f"{address}/status", timeout=1):
                break
            time.sleep(LOOK_EVERY)
        yield address
