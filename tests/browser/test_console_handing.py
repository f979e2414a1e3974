"""Handing over at the desk, in a browser: a text copied in one press, and every page of it judged by axe."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from generator.desk import cancel
from tests.browser.axe import barriers
from tests.desks import PASSWORD, Desks, desks, served
from tests.lives import ROWS, build

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Desks, str]]:
    with desks(tmp_path_factory.mktemp("desk")) as found:
        assert all(made.was_changed for made in build(found.office.desk(), ROWS))
        cancel(found.office.desk(), "DEMO-101", "clerk")
        found.clock.forward(5)
        with served(found.app) as console:
            yield found, console


@pytest.fixture
def clerk(browser: Browser, place: tuple[Desks, str]) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.grant_permissions(["clipboard-read", "clipboard-write"], origin=place[1].rstrip("/"))
    page = context.new_page()
    page.goto(place[1])
    page.fill("[name=name]", "clerk")
    page.fill("[name=password]", PASSWORD)
    page.click("main button")
    yield page
    context.close()


def test_one_press_copies_the_text_and_says_so(clerk: Page, place: tuple[Desks, str]) -> None:
    clerk.goto(f"{place[1]}messages")
    assert clerk.locator("h1").inner_text() == "Messages due (3)"
    message = clerk.locator("article", has_text="DEMO-102")
    text = message.locator("textarea").input_value()
    message.get_by_role("button", name="Copy the text").click()
    clerk.wait_for_url("**/messages?told=given")
    assert clerk.evaluate("navigator.clipboard.readText()") == text
    assert clerk.locator("h1").inner_text() == "Messages due (2)"
    assert "DEMO-102" not in clerk.locator("main").inner_text()


@pytest.mark.parametrize(
    "path",
    ["messages", "bookings/1", "bookings/3/messages", "days/2026-03-18/handouts", "bookings/3/handout"],
)
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    clerk: Page, place: tuple[Desks, str], path: str
) -> None:
    """Rules of WCAG 2.0 to 2.2, A and AA, judged by axe-core. A sheet is for paper, and as wide as that."""
    clerk.goto(f"{place[1]}{path}")
    assert barriers(clerk) == []
    if not path.endswith("/handout"):
        clerk.set_viewport_size({"width": 360, "height": 740})
        assert clerk.evaluate("document.documentElement.scrollWidth") <= 360


def test_without_script_the_text_is_there_and_can_be_said_to_be_copied(
    browser: Browser, clerk: Page, place: tuple[Desks, str]
) -> None:
    context = browser.new_context(java_script_enabled=False, storage_state=clerk.context.storage_state())
    page = context.new_page()
    page.goto(f"{place[1]}bookings/3/messages")
    assert page.locator("textarea").first.input_value().endswith("/")
    page.get_by_role("button", name="I have copied it").first.click()
    assert "given over already" in page.locator("main").inner_text()
    context.close()


def test_sheets_open_from_the_day(clerk: Page, place: tuple[Desks, str]) -> None:
    clerk.goto(f"{place[1]}days/2026-03-18/handouts")
    assert "DEMO-101: This booking has no plan that holds" in clerk.locator("main").inner_text()
    with clerk.context.expect_page() as opened:
        clerk.get_by_role("link", name="Open the sheets").click()
    sheet = opened.value
    sheet.wait_for_load_state()
    # The page's own style sheet is let in by its hash: the label's box has its border.
    assert sheet.locator(".label").first.evaluate("one => getComputedStyle(one).borderTopStyle") == "solid"
    assert sheet.locator(".ref").all_inner_texts() == ["DEMO-102"]
