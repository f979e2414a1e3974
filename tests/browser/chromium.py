"""Chromium as a phone, by Playwright."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import Browser, Error, Page

from tests.browser.phones import WAIT, Phone, PhoneError, Window


class Chromium(Phone):
    """A page of a profile with nothing in it."""

    def __init__(self, page: Page) -> None:
        self._page = page

    def open(self, url: str) -> None:
        for last in (False, True):
            try:
                self._page.goto(url, wait_until="domcontentloaded")
                return
            except Error as error:
                # The page now shown may just be loading itself anew, and then overtakes. And on a busy machine a page
                # asked for in the moment a new worker takes over sometimes never comes: neither worker is asked for it.
                if last or not any(cause in error.message for cause in ("ERR_ABORTED", "Timeout")):
                    raise PhoneError(error.message) from None

    def told(self, expression: str) -> Any:
        return self.awaited(f"[{expression}]")[0]

    def awaited(self, expression: str) -> Any:
        try:
            return self._page.evaluate(f"() => {expression}")
        except Error as error:
            raise PhoneError(error.message) from None


@contextmanager
def chromium(browser: Browser, window: Window) -> Iterator[Phone]:
    """A window of Chromium; its profiles forget everything, so each is a private one."""
    context = browser.new_context(timezone_id=window.zone, java_script_enabled=window.scripts)
    context.set_default_timeout(WAIT * 1000)
    if not window.workers:
        context.add_init_script("delete Navigator.prototype.serviceWorker")
    try:
        yield Chromium(context.new_page())
    finally:
        context.close()
