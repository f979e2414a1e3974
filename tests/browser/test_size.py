"""The size of the letters: chosen once, the same in every document of the plan and in what takes its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.served import PlansServer
from tests.browser.site import Site
from tests.browser.test_copies import copies, opened

__all__ = ["copies"]
pytestmark = pytest.mark.browser
# Of a browser's usual 16 px: 106.25, 125 and 160 per cent.
SIZES = {"A− Small letters": 17, "A Usual letters": 20, "A+ Large letters": 25.6}


def letters(page: Page) -> float:
    """The base size, in CSS pixels."""
    return float(page.evaluate("parseFloat(getComputedStyle(document.documentElement).fontSize)"))


def test_each_size_is_said_and_large_enough_to_press(
    pocket: BrowserContext, site: Site, server: PlansServer
) -> None:
    page = pocket.new_page()
    page.goto(site.links["DEMO-101"])
    usual = page.get_by_role("button", name="A Usual letters", exact=True)
    expect(usual).to_have_attribute("aria-pressed", "true")
    for name, pixels in SIZES.items():
        button = page.get_by_role("button", name=name, exact=True)
        button.click()
        expect(button).to_have_attribute("aria-pressed", "true")
        assert letters(page) == pytest.approx(pixels)
        box = button.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 48
    assert page.locator("#size [aria-pressed=true]").count() == 1


def test_it_holds_in_other_languages_offline_and_on_what_takes_the_plans_place(
    pocket: BrowserContext, site: Site
) -> None:
    with site.serving() as server:
        page = pocket.new_page()
        page.goto(site.links["DEMO-102"])
        page.locator("#size [value=large]").click()
        page.locator(".languages a:not([aria-current])").first.click()
        expect(page.locator("html")).to_have_attribute("data-size", "large")
        expect(page.locator('#saved[data-state="saved"]')).to_be_visible()
        server.stop()
        page.reload()
        expect(page.locator("html")).to_have_attribute("data-size", "large")
        assert letters(page) == pytest.approx(25.6)
    site.hold("DEMO-102")
    with site.serving():
        page.goto(site.links["DEMO-102"])
        expect(page.locator("#until")).to_be_visible()
        assert letters(page) == pytest.approx(25.6)
        page.goto(site.links["DEMO-101"])  # another plan, another reader
        expect(page.locator("html")).to_have_attribute("data-size", "usual")


def test_a_copy_remembers_it_too(pocket: BrowserContext, copies: dict[str, Path]) -> None:
    for size in ("usual", "large"):
        page, _, complaints = opened(pocket, copies["DEMO-101 en"])
        expect(page.locator("html")).to_have_attribute("data-size", size)
        page.locator("#size [value=large]").click()
        assert complaints == []
        page.close()


@pytest.mark.parametrize("ref", ["DEMO-101", "DEMO-102"])
def test_large_letters_fit_the_narrowest_phone(
    pocket: BrowserContext, site: Site, server: PlansServer, ref: str
) -> None:
    page = pocket.new_page()
    page.set_viewport_size({"width": 320, "height": 640})
    page.goto(site.links[ref])
    page.locator("#size [value=large]").click()
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


def test_without_script_there_are_no_buttons_for_it(
    browser: Browser, site: Site, server: PlansServer
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(site.links["DEMO-101"])
    expect(page.locator("#steps h2")).to_be_visible()
    expect(page.locator("#size")).to_be_hidden()
    context.close()
