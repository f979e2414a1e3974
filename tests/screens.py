"""Makes the README's pictures from the demonstration: `python -m tests.screens [FOLDER]`."""

from __future__ import annotations

import datetime as dt
import os
import shutil
import sys
import tempfile
from pathlib import Path
from threading import Thread

import pypdfium2  # type: ignore[import-untyped]
from PIL import Image
from playwright.sync_api import Browser, sync_playwright
from werkzeug.serving import make_server

from generator.console.preview import PreviewSite, preview_app
from tests.browser.conftest import FLAGS, LAID_OUT_AT_ONCE
from tests.browser.served import PlansServer, free_port
from tests.command import DEMO_NOW, DEMO_UNIT, ROOT, run
from tests.console_screens import console_pictures
from tests.plans import built

# name, booking, moment, what is scrolled to the top, colours
FIRST_OPENING, BEFORE = "first-en", "before-en"
SCREENS = (
    (FIRST_OPENING, "DEMO-101", "2026-03-16T10:00:00+00:00", None, "light"),
    (BEFORE, "DEMO-101", "2026-03-16T10:00:00+00:00", None, "light"),
    ("now-en", "DEMO-101", "2026-03-17T18:20:00+00:00", None, "light"),
    ("now-ar", "DEMO-103", "2026-03-18T18:20:00+00:00", None, "light"),
    ("steps-en", "DEMO-101", "2026-03-17T18:20:00+00:00", "#step-morning-dose", "light"),
    ("steps-ar", "DEMO-103", "2026-03-18T18:20:00+00:00", "#step-morning-dose", "light"),
    ("food-en", "DEMO-101", "2026-03-17T08:20:00+00:00", "#food", "light"),
    ("say-ar", "DEMO-103", "2026-03-18T18:20:00+00:00", "#say", "light"),
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
                page.add_init_script(LAID_OUT_AT_ONCE)
                page.clock.install(time=dt.datetime.fromisoformat(clock))
                page.goto(plans.links[ref])
                page.wait_for_selector('#saved[data-state="saved"]')
                if name != FIRST_OPENING:
                    page.click("#first-yes")
                if name not in (FIRST_OPENING, BEFORE):
                    page.click("#start-none")
                if name == "food-en":
                    page.fill("#find-word", "bannana")
                if place:
                    page.locator(place).evaluate("element => element.scrollIntoView()")
                page.screenshot(path=folder / f"{name}.png")
                page.close()
            for ref, name in (("DEMO-101", "paper-en"), ("DEMO-103", "paper-ar")):
                _paper(browser, plans.links[ref], folder / f"{name}.png")
        _preview(browser, folder)
        console_pictures(browser, folder)
        _handout(browser, plans.data, folder)
        browser.close()
    guide = ("slots", "--unit", DEMO_UNIT, "--protocol", "peg-ascorbate-split", "--now", DEMO_NOW)
    assert run(*guide, "--svg", folder / "slots.svg").exit_code == 0


def _paper(browser: Browser, link: str, path: Path) -> None:
    """The first two sheets of a plan as printed on A4, side by side, 84 pixels to the inch."""
    page = browser.new_page(timezone_id="Europe/London")
    page.goto(link)
    page.wait_for_selector('#saved[data-state="saved"]')
    document = pypdfium2.PdfDocument(page.pdf(format="A4"))
    sheets = [document[number].render(scale=84 / 72).to_pil() for number in range(2)]
    gap = 12
    both = Image.new("RGB", (2 * sheets[0].width + 3 * gap, sheets[0].height + 2 * gap), "#d5d5cd")
    for number, sheet in enumerate(sheets):
        both.paste(sheet, (gap + number * (sheet.width + gap), gap))
    both.quantize(32).save(path, optimize=True)
    page.close()


def _handout(browser: Browser, data: Path, folder: Path) -> None:
    """A printed sheet, a page of A4 at 96 pixels to the inch."""
    sheet = data / "sheet.html"
    words = ("--ref", "DEMO-103", "--unit", DEMO_UNIT, "--out", data, "--now", DEMO_NOW)
    assert run("handout", *words, "--base-url", "https://plans.example.org/", "--to", sheet).exit_code == 0
    page = browser.new_page(viewport={"width": 794, "height": 1123})
    page.goto(f"file://{sheet}")
    page.screenshot(path=folder / "handout-ar.png")
    page.close()


def _preview(browser: Browser, folder: Path) -> None:
    """The same place of a page in words and with ids, for the translators' guide."""
    server = make_server("127.0.0.1", free_port(), preview_app(PreviewSite("pl", DEMO_UNIT)))
    Thread(target=server.serve_forever, daemon=True).start()
    for kind, name in (("p", "preview-words"), ("i", "preview-ids")):
        page = browser.new_page(viewport={"width": 360, "height": 640}, timezone_id="Europe/London")
        page.add_init_script(LAID_OUT_AT_ONCE)
        page.goto(f"http://127.0.0.1:{server.port}/{kind}/plan-peg-ascorbate-split/")
        page.locator("#clarity").evaluate("element => window.scrollTo(0, element.offsetTop - 120)")
        page.screenshot(path=folder / f"{name}.png")
        page.close()
    server.shutdown()


if __name__ == "__main__":
    main()
