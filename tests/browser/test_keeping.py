"""What the page says of itself: when it was checked, whether the clock can be trusted; and clearing it away."""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Callable, Iterator
from email.utils import format_datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.reading import answered, put_away
from tests.browser.served import PlansServer, RawServer, file_answer
from tests.plans import Built

pytestmark = pytest.mark.browser
MORNING = "2026-03-16T09:05+00:00"  # a Monday
STORED = "Object.keys(localStorage).concat(Object.keys(sessionStorage))"


@pytest.fixture
def served(given: tuple[Built, int]) -> Iterator[tuple[Built, PlansServer]]:
    plans, port = given
    with PlansServer(plans.data, port) as server:
        yield plans, server


def opened(pocket: BrowserContext, link: str, clock: str = MORNING) -> Page:
    page = pocket.new_page()
    page.clock.install(time=dt.datetime.fromisoformat(clock))
    page.goto(link)
    return page


def is_saved(page: Page) -> None:
    expect(page.locator('#saved[data-state="saved"]')).to_be_visible()


def checked(page: Page) -> str:
    line = page.locator("#checked")
    expect(line).to_be_visible()
    return line.inner_text().translate(dict.fromkeys((0x2066, 0x2067, 0x2069)))


def test_checked_today_and_not_since(pocket: BrowserContext, served: tuple[Built, PlansServer]) -> None:
    plans, server = served
    page = opened(pocket, plans.links["DEMO-101"])
    is_saved(page)
    assert checked(page) == "Checked with the unit today, 09:05."
    server.stop()
    put_away(page)
    page = opened(pocket, plans.links["DEMO-101"], "2026-03-16T23:50+00:00")
    assert checked(page) == "Checked with the unit today, 09:05."
    page.clock.fast_forward("15:00")
    assert checked(page) == "Not checked with the unit since Monday 16 March, 09:05."


def test_looking_without_network_says_so_and_changes_nothing(
    pocket: BrowserContext, served: tuple[Built, PlansServer]
) -> None:
    plans, server = served
    page = opened(pocket, plans.links["DEMO-101"])
    is_saved(page)
    checked(page)
    server.stop()
    page.clock.fast_forward("02:00:00")
    page.get_by_role("button", name="Look for changes").click()
    expect(page.locator("#silent")).to_be_visible()
    assert checked(page) == "Checked with the unit today, 09:05."


def test_looking_with_network_checks_again(pocket: BrowserContext, served: tuple[Built, PlansServer]) -> None:
    page = opened(pocket, served[0].links["DEMO-101"])
    is_saved(page)
    page.clock.fast_forward("03:00")
    page.get_by_role("button", name="Look for changes").click()
    expect(page.locator("#checked")).to_contain_text("09:08")
    expect(page.locator("#silent")).to_be_hidden()


def dated(public: Path, seconds: float, more: str = "") -> Callable[[str], bytes]:
    """Answers as a server whose clock is ahead of the page's by so many seconds; both start in the morning."""
    ahead = dt.datetime.fromisoformat(MORNING) + dt.timedelta(seconds=seconds)
    began: list[dt.datetime] = []

    def answer(path: str) -> bytes:
        began.append(dt.datetime.now(dt.UTC))
        moment = ahead + (began[-1] - began[0])
        stamp = f"Date: {format_datetime(moment, usegmt=True)}\r\n{more}"
        return file_answer(public, path).replace(b"\r\n", b"\r\n" + stamp.encode(), 1)

    return answer


# RFC 9110 6.6.1: Date is when the answer was made; RFC 9111 5.1: Age says that it came out of a store.
@pytest.mark.parametrize(
    ("seconds", "more", "doubted"),
    [
        (0, "", False),
        (100, "", False),
        (-100, "", False),
        (140, "", True),
        (-140, "", True),
        (3600, "", True),
        (-3600, "Age: 3600\r\n", False),
    ],
)
def test_a_clock_that_differs_from_the_units_by_two_minutes_has_no_now(
    pocket: BrowserContext, given: tuple[Built, int], seconds: int, more: str, doubted: bool
) -> None:
    plans, port = given
    with RawServer(port, dated(plans.data / "public", seconds, more)):
        page = opened(pocket, plans.links["DEMO-101"])
        is_saved(page)
        if doubted:
            expect(page.locator("#doubt")).to_be_visible()
            expect(page.locator("#card")).to_be_hidden()
            expect(page.locator("#checked")).to_be_hidden()
        else:
            assert checked(page) == "Checked with the unit today, 09:05."
            answered(page)
            expect(page.locator("#card")).to_be_visible()


def test_a_clock_once_found_wrong_is_doubted_offline_too_until_it_is_found_right(
    pocket: BrowserContext, given: tuple[Built, int]
) -> None:
    plans, port = given
    with RawServer(port, dated(plans.data / "public", 3600)):
        page = opened(pocket, plans.links["DEMO-101"])
        expect(page.locator("#doubt")).to_be_visible()
        is_saved(page)
        page.close()
    page = opened(pocket, plans.links["DEMO-101"])
    expect(page.locator("#doubt")).to_be_visible()
    with RawServer(port, dated(plans.data / "public", 0)):
        page.reload()
        answered(page)
        expect(page.locator("#card")).to_be_visible()


def test_a_clock_set_back_while_the_page_is_open_has_no_now(
    pocket: BrowserContext, served: tuple[Built, PlansServer]
) -> None:
    plans, server = served
    page = opened(pocket, plans.links["DEMO-101"])
    is_saved(page)
    checked(page)
    server.stop()
    page.clock.set_system_time(dt.datetime.fromisoformat("2026-03-16T08:05+00:00"))
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    expect(page.locator("#doubt")).to_be_visible()
    expect(page.locator("#card")).to_be_hidden()


def test_a_zone_that_changes_overnight_is_noticed(
    browser: Browser, served: tuple[Built, PlansServer]
) -> None:
    pocket = browser.new_context()
    page = pocket.new_page()
    session = pocket.new_cdp_session(page)
    session.send("Emulation.setTimezoneOverride", {"timezoneId": "Europe/London"})
    page.clock.install(time=dt.datetime.fromisoformat(MORNING))
    page.goto(served[0].links["DEMO-101"])
    answered(page)
    expect(page.locator("#card")).to_be_visible()
    for zone in ("", "Europe/Paris"):
        session.send("Emulation.setTimezoneOverride", {"timezoneId": zone})
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    expect(page.locator("#doubt")).to_be_visible()
    expect(page.locator("#card")).to_be_hidden()
    pocket.close()


def test_clearing_asks_first_and_leaves_the_neighbour_alone(
    pocket: BrowserContext, served: tuple[Built, PlansServer]
) -> None:
    plans, _ = served
    neighbour = opened(pocket, plans.links["DEMO-104"])
    is_saved(neighbour)
    neighbour.get_by_role("button", name="Yes, it is mine").click()
    page = opened(pocket, plans.links["DEMO-101"])
    is_saved(page)
    page.get_by_role("button", name="Yes, it is mine").click()
    page.get_by_role("button", name="Done: Mix the bowel medicine").first.click()
    kept = set(page.evaluate(STORED))
    page.get_by_role("button", name="Delete this plan from this phone").click()
    assert page.evaluate("document.activeElement.id") == "wipe-no"
    page.get_by_role("button", name="No, keep it").click()
    assert set(page.evaluate(STORED)) == kept
    page.get_by_role("button", name="Delete this plan from this phone").click()
    page.get_by_role("button", name="Yes, clear it from this phone").click()
    expect(page.locator("#cleared")).to_be_visible()
    expect(page.locator("#saved")).to_be_hidden()
    left = page.evaluate(STORED)
    theirs = {name for name in kept if name not in set(left)}
    assert theirs
    assert len(left) >= 2  # the neighbour's: seen, checked
    marks = {name.split(":")[1] for name in left}
    assert marks == {neighbour.locator("html").get_attribute("data-mark")}
    names = page.evaluate("caches.keys()")
    assert [name.split("-")[1] for name in names] == list(marks)
    page.get_by_role("button", name="Done: Mix the bowel medicine").first.click()
    assert set(page.evaluate(STORED)) == set(left)  # what is ticked now is kept nowhere


def test_a_phone_with_one_plan_is_empty_after_clearing(
    pocket: BrowserContext, served: tuple[Built, PlansServer]
) -> None:
    page = opened(pocket, served[0].links["DEMO-101"])
    is_saved(page)
    page.get_by_role("button", name="Yes, it is mine").click()
    page.get_by_role("button", name="Delete this plan from this phone").click()
    page.get_by_role("button", name="Yes, clear it from this phone").click()
    expect(page.locator("#cleared")).to_be_visible()
    page.wait_for_timeout(500)
    assert page.evaluate(STORED) == []
    assert page.evaluate("caches.keys()") == []
    assert page.evaluate("navigator.serviceWorker.getRegistrations().then(found => found.length)") == 0


def test_a_whole_session_asks_for_nothing_but_the_plan_and_the_shared_files(
    pocket: BrowserContext, given: tuple[Built, int]
) -> None:
    """Every request that reaches the server, and every one the browser makes for the page, from opening to clearing."""
    plans, port = given
    link, folder = plans.links["DEMO-102"], f"/p/{plans.token('DEMO-102')}/"
    asked: list[str] = []
    pocket.on("request", lambda request: asked.append(request.url))
    with RawServer(port, lambda path: file_answer(plans.data / "public", path)) as server:
        page = opened(pocket, link)
        is_saved(page)
        page.locator("#first-yes").click()
        page.locator(".tick").first.click()
        page.clock.fast_forward("06:00")
        page.locator("#look").click()
        expect(page.locator("#look")).to_be_enabled()
        page.reload()
        page.locator("a[hreflang=en]").click()
        is_saved(page)
        page.evaluate("fetch(document.querySelector('a[href$=\".ics\"]').href).then(answer => answer.text())")
        page.get_by_role("button", name="Delete this plan from this phone").click()
        page.get_by_role("button", name="Yes, clear it from this phone").click()
        expect(page.locator("#cleared")).to_be_visible()
    assert [path for path in server.paths if not path.startswith((folder, "/a/"))] == []
    own = (f"http://localhost:{port}{folder}", f"http://localhost:{port}/a/")
    assert [url for url in asked if not url.startswith(own)] == []
    assert len(server.paths) > 15
    assert any(path.endswith(".ics") for path in server.paths)


def test_a_window_that_cannot_save_offers_the_link(
    pocket: BrowserContext, served: tuple[Built, PlansServer]
) -> None:
    pocket.grant_permissions(["clipboard-read", "clipboard-write"])
    pocket.add_init_script("delete Navigator.prototype.serviceWorker")
    link = served[0].links["DEMO-101"]
    page = pocket.new_page()
    page.goto(f"{link}?from=message#steps")
    expect(page.locator('#saved [data-when="impossible"]')).to_be_visible()
    page.locator("#now").get_by_role("button", name="Copy the link").click()
    expect(page.locator("#copied")).to_be_visible()
    assert page.evaluate("navigator.clipboard.readText()") == link


def test_where_nothing_can_be_kept_the_page_works_as_long_as_it_is_open(
    pocket: BrowserContext, given: tuple[Built, int], tmp_path: Path
) -> None:
    """Storage that throws, as in some private windows."""
    plans, port = given
    data = Path(shutil.copytree(plans.data, tmp_path / "data"))
    broken = "Object.defineProperty(window, 'localStorage', {get() { throw new Error('denied'); }})"
    pocket.add_init_script(broken)
    with PlansServer(data, port):
        page = opened(pocket, plans.links["DEMO-101"], "2026-03-17T18:20:00+00:00")
        answered(page)
        expect(page.locator("#first")).to_be_hidden()
        page.get_by_role("button", name="I drank one glass").click()
        expect(page.locator("#card-count")).to_have_text("1 glass drunk, of 4")
