"""The top of a page is laid out first: nothing jumps, and a second later all of it is there."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from tests.browser.conftest import WAIT
from tests.browser.reading import laid_out
from tests.browser.served import PlansServer
from tests.plans import Built

pytestmark = pytest.mark.browser
WAITS = """Array.from(document.querySelectorAll('section'))
  .filter((part) => getComputedStyle(part).contentVisibility === 'auto' && part.getClientRects().length).length"""
AT_FIRST = f"document.addEventListener('DOMContentLoaded', () => {{ window.atFirst = {WAITS}; }});"
SHIFTS = """window.shifts = [];
new PerformanceObserver((found) => { for (const one of found.getEntries()) window.shifts.push(one.value); })
  .observe({ type: 'layout-shift', buffered: true });"""


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """A window as readers have it, without what other tests put into it."""
    context = type(browser).new_context(browser, viewport={"width": 412, "height": 823}, is_mobile=True)
    context.set_default_timeout(WAIT)
    yield context
    context.close()


@pytest.fixture
def link(given: tuple[Built, int]) -> Iterator[str]:
    """A plan that is served."""
    plans, port = given
    with PlansServer(plans.data, port):
        yield plans.links["DEMO-101"]


def test_the_top_comes_first_and_then_all(phone: BrowserContext, link: str) -> None:
    page = phone.new_page()
    page.add_init_script(AT_FIRST)
    page.goto(link)
    laid_out(page)
    assert page.evaluate("window.atFirst") > 5
    assert page.evaluate(WAITS) == 0
    assert page.locator("#call").inner_text() != ""


def test_nothing_jumps_when_the_script_comes_late(phone: BrowserContext, link: str) -> None:
    """A shift of 0.1 is what web.dev's “Cumulative Layout Shift” still calls good; here it is half of that."""
    page = phone.new_page()
    page.add_init_script(SHIFTS)

    def late(route: object) -> None:
        page.wait_for_timeout(700)
        route.continue_()  # type: ignore[attr-defined]

    page.route("**/page.js", late)
    page.goto(link)
    expect(page.locator("#first")).to_be_visible()
    laid_out(page)
    assert page.evaluate("document.documentElement.matches('.scripted')")
    assert page.evaluate("window.shifts.reduce((all, one) => all + one, 0)") < 0.05


def test_where_the_script_never_comes_no_room_is_lost(phone: BrowserContext, link: str) -> None:
    page = phone.new_page()
    page.route("**/page.js", lambda route: route.abort())
    page.goto(link)
    room = "document.querySelector('.still').getBoundingClientRect().top"
    before = page.evaluate(room)
    expect(page.locator("#first .arrive")).to_be_visible()  # the appointment can be read at once
    expect(page.locator("#first-yes")).to_be_hidden()
    expect(page.locator(".scriptless")).to_be_visible(timeout=WAIT)  # four seconds later
    assert page.evaluate(room) < before - 100
    expect(page.locator("#first-yes")).to_be_hidden()
    expect(page.locator("#first .arrive")).to_be_hidden()  # it stands once, below
    page.evaluate("document.documentElement.style.fontSize = '250%'")
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
