"""Every text against what lies behind it, by day and by night; and how bright the page is at night.

Contrast (WCAG 2.2): 7:1 (its level AAA) for whatever has to be read, 4.5:1 (AA) at least for the rest. At night there
is an upper bound too: 13:1 for text, below what the page has by day. Light letters on a dark ground spread in eyes with
astigmatism or clouded lenses, which most old eyes are, and wide pupils spread them more; pure white on black is 21:1.
No area is lighter than two thirds of white. Common practice, no source for these bounds.
"""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterator
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from tests.browser.reading import answered
from tests.browser.served import PlansServer
from tests.colours import Rgb, contrast, luminance
from tests.plans import Built

pytestmark = pytest.mark.browser
# [colour, background, words] of every piece of text that is seen, each pair of colours with its first words.
TEXTS = r"""() => {
  const found = {};
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const place = node.parentElement;
    if (!node.data.trim() || !place.getClientRects().length || place.closest('script, style')) continue;
    let behind = place;
    while (behind && /rgba\(0, 0, 0, 0\)|transparent/.test(getComputedStyle(behind).backgroundColor)) {
      behind = behind.parentElement;
    }
    const colours = [place, behind || document.documentElement].map((one, number) =>
      getComputedStyle(one)[number ? 'backgroundColor' : 'color']);
    found[colours.join()] = found[colours.join()] || [...colours, node.data.trim().slice(0, 40)];
  }
  return Object.values(found);
}"""
# At the check with answers given, in the night with a dose next, and with the plan taken down.
MOMENTS = ("2026-03-18T07:05:00+00:00", "2026-03-17T18:20:00+00:00")


@pytest.fixture
def served(given: tuple[Built, int]) -> Iterator[Built]:
    plans, port = given
    with PlansServer(plans.data, port):
        yield plans


def rgb(text: str) -> Rgb:
    red, green, blue = (int(part) for part in text[text.index("(") + 1 : -1].split(",")[:3])
    assert "rgba" not in text, "a colour that lets others through is not reckoned here"
    return red, green, blue


def opened(browser: Browser, link: str, clock: str, **more: Any) -> Page:
    context = browser.new_context(viewport={"width": 360, "height": 740}, timezone_id="Europe/London", **more)
    page = context.new_page()
    page.clock.install(time=dt.datetime.fromisoformat(clock))
    page.goto(link)
    answered(page)
    for answer in ("bottom no", "bits no"):
        page.locator(f'[data-answer="{answer}"] button').click()
    page.locator(".tick").first.click()
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    page.evaluate("document.querySelectorAll('.fold').forEach((one) => one.click())")
    return page


def texts(page: Page) -> list[tuple[float, Rgb, Rgb, str]]:
    """Ratio, colour, background and words of each pair of colours on the page."""
    pairs = [(rgb(colour), rgb(behind), words) for colour, behind, words in page.evaluate(TEXTS)]
    return [(contrast(colour, behind), colour, behind, words) for colour, behind, words in pairs]


@pytest.mark.parametrize("contrasts", ["no-preference", "more"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("clock", MOMENTS)
def test_every_text_can_be_read(
    browser: Browser, served: Built, scheme: str, clock: str, contrasts: str
) -> None:
    page = opened(browser, served.links["DEMO-101"], clock, color_scheme=scheme, contrast=contrasts)
    found = texts(page)
    assert len(found) >= 5
    assert {str(words) for ratio, _, _, words in found if ratio < 7} == set()
    ink = rgb(page.evaluate("getComputedStyle(document.body).color"))
    paper = rgb(page.evaluate("getComputedStyle(document.documentElement).backgroundColor"))
    assert contrast(ink, paper) >= 12
    page.context.close()


@pytest.mark.parametrize("clock", MOMENTS)
def test_at_night_nothing_glares(browser: Browser, served: Built, clock: str) -> None:
    page = opened(browser, served.links["DEMO-101"], clock, color_scheme="dark")
    for ratio, colour, behind, words in texts(page):
        assert ratio <= 13, words
        assert max(luminance(colour), luminance(behind)) <= 0.65, words
    page.wait_for_function("Array.from(document.images).every(image => image.complete && image.naturalWidth)")
    shown = Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("RGB")
    colours = shown.getcolors(maxcolors=1 << 24)
    assert colours is not None
    brightest = max(luminance(colour) for _, colour in colours)  # type: ignore[arg-type]
    assert brightest <= 0.66
    lights = [count * luminance(colour) for count, colour in colours]  # type: ignore[arg-type]
    assert sum(lights) / (shown.width * shown.height) <= 0.1
    assert page.evaluate("getComputedStyle(document.documentElement).colorScheme") == "dark"
    page.context.close()


def test_lines_of_buttons_and_fields_are_seen(browser: Browser, served: Built) -> None:
    """WCAG 2.2, 1.4.11: 3:1 for what shows where a control is."""
    for scheme in ("light", "dark"):
        page = opened(browser, served.links["DEMO-101"], MOMENTS[1], color_scheme=scheme)
        paper = rgb(page.evaluate("getComputedStyle(document.documentElement).backgroundColor"))
        edges = page.evaluate(
            """() => Array.from(document.querySelectorAll('button:not(.fold), input'))
              .filter((one) => one.getClientRects().length).map((one) => getComputedStyle(one).borderTopColor)"""
        )
        assert len(edges) > 10
        assert min(contrast(rgb(edge), paper) for edge in edges) >= 3
        page.context.close()


def test_the_code_to_scan_keeps_its_contrast_at_night(browser: Browser, served: Built) -> None:
    """ISO/IEC 15415 grades symbol contrast by the difference of reflectance; here the light squares stay at 0.4 or more
    of white beside black."""
    page = opened(browser, served.links["DEMO-101"], MOMENTS[1], color_scheme="dark")
    page.evaluate("document.querySelector('.callbar').style.display = 'none'")
    page.locator("#keep .qr").evaluate("image => image.decode()")
    code = Image.open(io.BytesIO(page.locator("#keep .qr").screenshot())).convert("RGB")
    found = sorted(code.getcolors(maxcolors=1 << 24) or [], key=lambda one: one[0], reverse=True)[:2]
    one, other = (luminance(colour) for _, colour in found)  # type: ignore[arg-type]
    assert abs(one - other) >= 0.4
    page.context.close()
