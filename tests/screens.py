"""Makes the README's pictures from the demonstration: `python -m tests.screens [FOLDER]`."""

from __future__ import annotations

import datetime as dt
import os
import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.conftest import FLAGS
from tests.browser.served import PlansServer, free_port
from tests.command import ROOT
from tests.plans import built

# name, booking, moment, what is scrolled to the top, colours
SCREENS = (
    ("now-en", "DEMO-101", "2026-03-17T18:20:00+00:00", None, "light"),
    ("now-ar", "DEMO-103", "2026-03-18T18:20:00+00:00", None, "light"),
    ("steps-en", "DEMO-101", "2026-03-17T18:20:00+00:00", "#step-morning-dose", "light"),
    ("steps-ar", "DEMO-103", "2026-03-18T18:20:00+00:00", "#step-morning-dose", "light"),
    ("night-en", "DEMO-101", "2026-03-18T05:40:00+00:00", None, "dark"),
)


def main() -> None:
    """Writes one picture for each screen, 360 CSS pixels wide."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "demo" / "screens"
    folder.mkdir(parents=True, exist_ok=True)
    port = free_port()
    with tempfile.TemporaryDirectory() as data, sync_playwright() as playwright:
        plans = built(Path(data), base_url=f"http://localhost:{port}/")
        program = os.environ.get("DAYBEFORE_CHROMIUM") or shutil.which("chromium")
        browser = playwright.chromium.launch(executable_path=program, args=FLAGS)
        with PlansServer(plans.data, port):
            for name, ref, clock, place, colours in SCREENS:
                page = browser.new_page(
                    viewport={"width": 360, "height": 740},
                    timezone_id="Europe/London",
                    color_scheme="dark" if colours == "dark" else "light",
                )
                page.clock.install(time=dt.datetime.fromisoformat(clock))
                page.goto(plans.links[ref])
                page.wait_for_selector('#saved[data-state="saved"]')
                if place:
                    page.locator(place).evaluate("element => element.scrollIntoView()")
                page.screenshot(path=folder / f"{name}.png")
                page.close()
        browser.close()


if __name__ == "__main__":
    main()
