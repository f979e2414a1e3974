"""A plan that is held, cancelled, ended or expired, on the phone that kept the plan."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, expect

from generator.page.booklet import booklet_for
from generator.page.life import Life
from tests.browser.reading import answered
from tests.browser.served import PlansServer, free_port
from tests.browser.test_plan_page import in_arabic
from tests.notices import CHANGED, Office, office

pytestmark = pytest.mark.browser
ARABIC = "DEMO-103"
LOOKS_AGAIN = 31_000  # milliseconds, a little more than offline.js waits between two looks


@dataclass(frozen=True)
class Site:
    """The office, its server, and the links."""

    office: Office
    server: PlansServer

    def link(self, ref: str = "DEMO-101") -> str:
        return self.office.plans[ref].link

    def put_plan(self, ref: str = "DEMO-101") -> None:
        plan = self.office.plans[ref]
        self.office.desk.shelf.put(plan.identity.token, booklet_for(plan, self.office.desk.parts))

    def put(self, what: Life, ref: str = "DEMO-101", *, begun: bool = True) -> None:
        self.office.put(self.office.notice(what, ref, begun=begun))


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    port = free_port()
    with office(tmp_path, f"http://localhost:{port}/") as open_office, PlansServer(tmp_path, port) as server:
        site = Site(open_office, server)
        for ref in site.office.plans:
            site.put_plan(ref)
        yield site


def opened(pocket: BrowserContext, link: str, clock: dt.datetime | None = CHANGED) -> Page:
    page = pocket.new_page()
    if clock:
        page.clock.install(time=clock)
    page.goto(link)
    return page


def is_saved(page: Page) -> None:
    expect(page.locator('#saved[data-state="saved"]')).to_be_visible()


def offline(site: Site, page: Page) -> None:
    """Leaves only what the worker keeps."""
    page.context.new_cdp_session(page).send("Network.clearBrowserCache")
    site.server.stop()


HEADINGS = {
    Life.HELD: "Your appointment has changed",
    Life.CANCELLED: "Your appointment is cancelled",
    Life.ENDED: "The time of your appointment has passed",
    Life.FAREWELL: "This page has come to its end",
}


@pytest.mark.parametrize("what", [Life.HELD, Life.CANCELLED, Life.ENDED])
def test_once_the_new_page_was_reached_the_old_plan_is_never_shown_again(
    pocket: BrowserContext, site: Site, what: Life
) -> None:
    page = answered(opened(pocket, site.link()))
    expect(page.locator("#card-title")).to_be_visible()
    is_saved(page)
    site.put(what)
    page.reload()
    expect(page.locator("h1")).to_have_text(HEADINGS[what])
    is_saved(page)
    offline(site, page)
    page.reload()
    expect(page.locator("h1")).to_have_text(HEADINGS[what])
    is_saved(page)
    assert page.locator("#steps").count() == 0
    again = opened(pocket, site.link() + "index.html?a=b")
    expect(again.locator("h1")).to_have_text(HEADINGS[what])


def test_every_language_is_replaced_at_once(pocket: BrowserContext, site: Site) -> None:
    """The reader opens one language online; the other, never opened again, is the new one offline as well."""
    page = opened(pocket, site.link(ARABIC))
    is_saved(page)
    site.put(Life.HELD, ARABIC)
    page.reload()
    expect(page.locator("h1")).to_have_text(in_arabic("A.held.heading"))
    is_saved(page)
    offline(site, page)
    page.goto(site.link(ARABIC) + "en.html")
    expect(page.locator("h1")).to_have_text(HEADINGS[Life.HELD])


def test_a_plan_that_lies_open_becomes_the_new_page_by_itself(pocket: BrowserContext, site: Site) -> None:
    page = opened(pocket, site.link())
    is_saved(page)
    site.put(Life.HELD)
    page.clock.fast_forward("06:00")  # it looks every five minutes, without being woken
    expect(page.locator("h1")).to_have_text(HEADINGS[Life.HELD])
    is_saved(page)


@pytest.mark.parametrize("trouble", ["full", "no worker"])
def test_an_open_plan_changes_also_where_nothing_can_be_kept(
    pocket: BrowserContext, site: Site, trouble: str
) -> None:
    if trouble == "no worker":
        pocket.add_init_script("delete Navigator.prototype.serviceWorker")
    page = opened(pocket, site.link())
    if trouble == "full":
        is_saved(page)
        full = {"origin": site.office.desk.base_url, "quotaSize": 1}
        pocket.new_cdp_session(page).send("Storage.overrideQuotaForOrigin", full)
    else:
        expect(page.locator('#saved[data-state="impossible"]')).to_be_visible()
    site.put(Life.HELD)
    page.clock.fast_forward(LOOKS_AGAIN)
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    expect(page.locator("h1")).to_have_text(HEADINGS[Life.HELD])
    state = "failed" if trouble == "full" else "impossible"
    expect(page.locator(f'#saved[data-state="{state}"]')).to_be_visible()


def test_a_page_that_is_not_the_kept_one_is_not_called_saved(pocket: BrowserContext, site: Site) -> None:
    """A held page has no plan in it; what is kept is still the plan."""
    page = opened(pocket, site.link())
    is_saved(page)
    full = {"origin": site.office.desk.base_url, "quotaSize": 1}
    pocket.new_cdp_session(page).send("Storage.overrideQuotaForOrigin", full)
    site.put(Life.HELD)
    page.reload()
    expect(page.locator("h1")).to_have_text(HEADINGS[Life.HELD])
    expect(page.locator('#saved[data-state="failed"]')).to_be_visible()


def test_the_line_that_answers_now_is_in_the_bar(pocket: BrowserContext, site: Site) -> None:
    """The nurses answer on Tuesday until 17:00, the ward at every hour (unit.toml)."""
    site.put(Life.HELD)
    for clock, number in (("20:31", "01632 960 182"), ("23:59", "01632 960 182")):
        page = opened(pocket, site.link(), dt.datetime.fromisoformat(f"2026-03-17T{clock}+00:00"))
        expect(page.locator("#bar-phone")).to_have_text(number)
        expect(page.locator("#card-call .phone")).to_have_text(number)
    page = opened(pocket, site.link(), dt.datetime.fromisoformat("2026-03-18T09:00+00:00"))
    expect(page.locator("#bar-phone")).to_have_text("01632 960 145")
    late = opened(pocket, site.link(), dt.datetime.fromisoformat("2027-01-01T09:00+00:00"))
    expect(late.locator("#card-call")).to_be_hidden()  # nothing was worked out for that day
    expect(late.locator("#bar-phone")).to_have_text("01632 960 182")  # the one that always answers


DIARY = "mark => localStorage.getItem('daybefore:' + mark + ':diary')"
KEPT = "Promise.all([caches.keys(), navigator.serviceWorker.getRegistrations()]).then(a => [a[0].length, a[1].length])"


def test_the_farewell_clears_the_phone_when_told_and_not_before(pocket: BrowserContext, site: Site) -> None:
    page = opened(pocket, site.link())
    is_saved(page)
    page.get_by_role("button", name="Done: Mix the bowel medicine").first.click()
    site.put(Life.FAREWELL)
    page.clock.fast_forward("06:00")
    expect(page.locator("h1")).to_have_text(HEADINGS[Life.FAREWELL])
    mark = site.office.plans["DEMO-101"].identity.mark
    assert '"done"' in page.evaluate(DIARY, mark)
    button = page.get_by_role("button", name="Yes, clear it from this phone")
    button.focus()
    page.keyboard.press("Enter")
    expect(page.locator("#cleared")).to_be_visible()
    expect(button).to_be_hidden()
    assert page.evaluate(DIARY, mark) is None
    assert page.evaluate(KEPT) == [0, 0]
    page.reload()  # opened again, it keeps nothing on a phone that has nothing
    expect(page.get_by_role("button", name="Yes, clear it from this phone")).to_be_visible()
    page.wait_for_timeout(500)
    assert page.evaluate(KEPT) == [0, 0]
    assert page.evaluate("Object.keys(localStorage).concat(Object.keys(sessionStorage))") == []


def test_the_farewell_takes_the_place_of_a_kept_plan_before_anybody_clears(
    pocket: BrowserContext, site: Site
) -> None:
    page = opened(pocket, site.link())
    is_saved(page)
    site.put(Life.FAREWELL)
    page.clock.fast_forward("06:00")
    expect(page.locator("h1")).to_have_text(HEADINGS[Life.FAREWELL])
    page.wait_for_function("caches.keys().then(names => names.length === 1)")
    offline(site, page)
    try:
        page.reload()
    except Error:  # on a busy machine a page asked for while a new worker takes over sometimes never comes
        page.reload()
    expect(page.locator("h1")).to_have_text(HEADINGS[Life.FAREWELL])


@pytest.mark.parametrize("what", list(Life))
def test_without_script_everything_is_there(browser: Browser, site: Site, what: Life) -> None:
    site.put(what)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(site.link())
    expect(page.locator("h1")).to_have_text(HEADINGS[what])
    expect(page.locator("#bar-phone")).to_be_visible()
    expect(page.locator("button:visible")).to_have_count(0)
    if what is Life.FAREWELL:
        expect(page.get_by_text("To clear it, delete this site’s data")).to_be_visible()
    context.close()
