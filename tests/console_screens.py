"""Pictures of the console: a desk at work on the demonstration's week, on 16 March 2026."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.conftest import FLAGS
from tests.command import DEMO_UNIT, ROOT, run
from tests.desks import PASSWORD, Desks, desks, known, served

WEEK = ROOT / "demo" / "bookings" / "week" / "week.csv"
WAITING = (
    ("DEMO-301", "2026-03-20T09:30", "es", "--factor", "constipation"),
    ("DEMO-302", "2026-03-20T10:30", "en", "--factor", "iron", "--factor", "diabetes-tablets-or-insulin"),
    ("DEMO-303", "2026-03-23T09:00", "ar", "--speaks", "ar"),
)


def at_work(data: Path) -> None:
    """The week's plans, given a week ago; some bookings wait, one has moved, about one something was learned."""
    now = ("--now", "2026-03-16T08:00", "--unit", DEMO_UNIT, "--out", data)
    run("build", WEEK, "--unit", DEMO_UNIT, "--out", data, "--now", "2026-03-09T08:00")
    for ref, start, language, *more in WAITING:
        words = ("--ref", ref, "--procedure", start, "--language", language, "--role", "clerk", *more)
        assert run("prepare", *words, "--protocol", "peg-ascorbate-split", *now).exit_code == 0
    run("move", "--ref", "DEMO-221", "--procedure", "2026-03-25T10:00", "--role", "clerk", *now)
    run("change", "--ref", "DEMO-223", "--factor", "iron", "--role", "clerk", *now)


def console_pictures(browser: Browser, folder: Path) -> None:
    """The day, a patient to be cleared, the link with its code, what a patient sees."""
    with tempfile.TemporaryDirectory() as data:
        at_work(Path(data))
        with desks(Path(data), now="2026-03-16T08:10") as found, served(found.app) as url:
            page = browser.new_page(viewport={"width": 1280, "height": 960}, locale="en-GB")
            page.goto(url)
            page.fill("#name", "nurse")
            page.fill("#password", PASSWORD)
            page.press("#password", "Enter")
            page.wait_for_selector("#list-heading")
            page.screenshot(path=folder / "console-day.png")
            _booking(page, url, found, "DEMO-302")
            page.screenshot(path=folder / "console-clear.png")
            _booking(page, url, found, "DEMO-303")
            page.get_by_role("button", name="Clear and publish").click()
            page.wait_for_selector("#link")
            page.screenshot(path=folder / "console-link.png")
            number = known(found, "DEMO-303").id
            page.goto(f"{url}bookings/{number}/seen?day=2026-03-22&time=18:20")
            page.frame_locator("iframe").last.locator("#card-title").wait_for()
            page.screenshot(path=folder / "console-seen.png", full_page=True)
            page.close()


def _booking(page: Page, url: str, found: Desks, ref: str) -> None:
    page.goto(f"{url}bookings/{known(found, ref).id}")


def main() -> None:
    """Makes them alone: `python -m tests.console_screens [FOLDER]`."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "demo" / "screens"
    with sync_playwright() as playwright:
        program = os.environ.get("DAYBEFORE_CHROMIUM") or shutil.which("chromium")
        browser = playwright.chromium.launch(executable_path=program, args=FLAGS)
        console_pictures(browser, folder)
        browser.close()


if __name__ == "__main__":
    main()
