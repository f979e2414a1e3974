"""One Chromium for all browser tests, and a fresh profile for each test."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

WAIT = 10_000  # milliseconds; longest wait for anything, so that a hung page names the line it hung at
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium: the one named in DAYBEFORE_CHROMIUM, else the one on the path."""
    program = os.environ.get("DAYBEFORE_CHROMIUM") or shutil.which("chromium")
    if program is None:
        missing = "No chromium on the path; install it, or name one in DAYBEFORE_CHROMIUM."
        if os.environ.get("CI"):
            pytest.fail(missing)
        pytest.skip(missing)
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=program, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A profile with nothing in it."""
    fresh = browser.new_context()
    fresh.set_default_timeout(WAIT)
    yield fresh
    fresh.close()


@pytest.fixture
def page(context: BrowserContext) -> Page:
    """A window of the fresh profile."""
    return context.new_page()
