"""The link for a companion: sent by the share sheet where there is one, or copied, else to press by hand."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.reading import answered
from tests.browser.served import PlansServer
from tests.plans import Built

pytestmark = pytest.mark.browser
SHEET = """Object.defineProperty(navigator, 'share', { configurable: true, value: (what) => {
  window.sent = what;
  return Promise.reject(new DOMException('closed', 'AbortError'));
} })"""
NO_SHEET = "Object.defineProperty(navigator, 'share', { value: undefined })"
NOTHING = f"{NO_SHEET}; Object.defineProperty(navigator, 'clipboard', {{ value: undefined }})"


@pytest.fixture
def link(given: tuple[Built, int]) -> Iterator[str]:
    """A plan that is served."""
    plans, port = given
    with PlansServer(plans.data, port):
        yield plans.links["DEMO-101"]


def opened(pocket: BrowserContext, link: str, first: str) -> tuple[Page, list[str]]:
    page = pocket.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.add_init_script(first)
    page.goto(link)
    return answered(page), errors


def test_the_share_sheet_gets_the_link_alone(pocket: BrowserContext, link: str) -> None:
    page, errors = opened(pocket, link, SHEET)
    # Beside it the link can be copied: windows of some apps have a share sheet and refuse it.
    expect(page.locator("#share-copy")).to_be_visible()
    page.get_by_role("button", name="Send the link").click()
    assert page.evaluate("window.sent") == {"url": link}
    assert errors == []  # who closes the sheet has done nothing wrong


def test_without_a_sheet_the_link_is_copied(pocket: BrowserContext, link: str) -> None:
    pocket.grant_permissions(["clipboard-read", "clipboard-write"])
    page, _ = opened(pocket, link, NO_SHEET)
    expect(page.locator("#share")).to_be_hidden()
    page.locator("#keep").get_by_role("button", name="Copy the link").click()
    expect(page.locator("#shared")).to_have_text("The link is copied.")
    assert page.evaluate("navigator.clipboard.readText()") == link


def test_where_nothing_works_the_link_stands_there_to_copy_by_hand(pocket: BrowserContext, link: str) -> None:
    page, errors = opened(pocket, link, NOTHING)
    assert page.locator("#keep .on-screen button:visible").count() == 0
    expect(page.locator("#keep")).to_contain_text("Press and hold the link to send or copy it.")
    shown = page.locator("#link")
    expect(shown).to_have_text(link)
    expect(shown).to_have_attribute("href", link)
    assert errors == []


def test_the_page_says_who_can_see_the_plan_and_leads_there(pocket: BrowserContext, link: str) -> None:
    page, _ = opened(pocket, link, NOTHING)
    page.locator("#contents").get_by_role("link", name="Keep and share").click()
    expect(page.locator("#keep h2")).to_be_in_viewport()
    expect(page.locator("#keep")).to_contain_text("Whoever has this code or link can see your plan.")
    expect(page.get_by_role("img", name="Square code that opens this plan")).to_be_visible()
