"""The console for everybody: axe on every page, everything by keyboard, at 1280 px, on a phone and at 200 % text."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.axe import barriers
from tests.desks import FRIDAY, PASSWORD, Desks, desks, known, prepared, published, seen_of, sent, served

pytestmark = pytest.mark.browser
MOVE = {"date": "2026-03-24", "time": "10:00", "protocol": "peg-ascorbate-split", "travel": "", "pick_up": ""}
PAGES = (
    "", "days/2026-03-20", "find?q=A-", "find?q=nobody", "bookings/new", "bookings/1", "bookings/1/move",
    "bookings/1/patient", "bookings/1/hold", "bookings/1/cancel", "bookings/1/seen", "bookings/2", "bookings/2/details",
    "bookings/3", "bookings/3/release", "calls", "card", "no-such-page",
)  # fmt: skip


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Desks, str]]:
    """A console with one plan that is up, one booking that waits and one plan that is held, at an address."""
    with desks(tmp_path_factory.mktemp("desk")) as found, served(found.app) as url:
        published(found, "A-1", language="ar")
        prepared(found, "A-2", raised=["constipation", "iron"], speaks="ar")
        record = published(found, "A-3", date="2026-03-23", time="11:00")
        nurse = found.browser("nurse")
        form = {**MOVE, "protocol": "picosulfate-split"}
        sent(found.browser("clerk"), f"/bookings/{record.id}/move/now", seen=seen_of(found, "A-3"), **form)
        assert known(found, "A-3").life == "held"
        assert nurse.get("/calls").status_code == 200
        yield found, url


@pytest.fixture(scope="module")
def nurse(browser: Browser, place: tuple[Desks, str]) -> Iterator[BrowserContext]:
    """A browser in which a nurse is signed in."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, bypass_csp=True)
    page = context.new_page()
    page.goto(place[1])
    page.fill("#name", "nurse")
    page.fill("#password", PASSWORD)
    page.press("#password", "Enter")
    page.wait_for_selector("#list-heading")
    page.close()
    yield context
    context.close()


def test_axe_finds_no_barrier_on_any_page(nurse: BrowserContext, place: tuple[Desks, str]) -> None:
    page = nurse.new_page()
    for path in PAGES:
        page.goto(place[1] + path)
        assert barriers(page) == [], path
    looked(page, place[1])
    assert barriers(page) == []
    page.goto(place[1] + "bookings/1/move")
    page.fill("#date", "2026-03-24")
    page.get_by_role("button", name="Old against new").click()
    assert barriers(page) == []
    page.close()


def test_axe_finds_no_barrier_where_one_signs_in(browser: Browser, place: tuple[Desks, str]) -> None:
    context = browser.new_context(bypass_csp=True)
    page = context.new_page()
    page.goto(place[1])
    assert barriers(page) == []
    page.fill("#name", "nurse")
    page.fill("#password", "not-the-password")
    page.press("#password", "Enter")
    page.get_by_role("alert").wait_for()
    assert barriers(page) == []
    context.close()


def looked(page: Page, url: str) -> None:
    """At the timetable of a new booking."""
    page.goto(url)
    page.fill("#ref", "A-9")
    page.fill("#date", FRIDAY["date"])
    page.fill("#time", FRIDAY["time"])
    page.get_by_role("button", name="Timetable", exact=True).click()
    page.wait_for_selector("#plan")


def test_a_booking_is_made_and_cleared_by_keyboard_alone(
    nurse: BrowserContext, place: tuple[Desks, str]
) -> None:
    page = nurse.new_page()
    page.goto(place[1])
    reach(page, "#ref")
    page.keyboard.type("A-10")
    page.keyboard.press("Tab")
    page.keyboard.type("03202026")  # the American order, as this browser asks for it
    reach(page, "#time")
    page.keyboard.type("0930A")
    page.keyboard.press("Enter")
    page.wait_for_selector("#plan")
    reach(page, "button:text('Clear and publish')")
    page.keyboard.press("Enter")
    page.wait_for_selector("#link")
    reach(page, "a:text-is('Cancel')")
    page.keyboard.press("Enter")
    reach(page, "button:text('Cancel the booking')")
    page.keyboard.press("Enter")
    page.get_by_role("status").wait_for()
    assert known(place[0], "A-10").life == "cancelled"
    page.close()


def reach(page: Page, what: str) -> None:
    """Tabs until it has the focus, which must be seen."""
    for _ in range(120):
        page.keyboard.press("Tab")
        if page.locator(what).first.evaluate("element => element === document.activeElement"):
            outline = page.locator(what).first.evaluate("element => getComputedStyle(element).outlineStyle")
            assert outline != "none", what
            return
    raise AssertionError(f"{what} is not reached by keyboard")


@pytest.mark.parametrize(
    ("width", "size"),
    [
        (360, 200),
        pytest.param(360, 100, marks=pytest.mark.long),
        pytest.param(1280, 200, marks=pytest.mark.long),
    ],
)
def test_nothing_is_cut_off_on_a_phone_or_in_large_letters(
    nurse: BrowserContext, place: tuple[Desks, str], width: int, size: int
) -> None:
    page = nurse.new_page()
    page.set_viewport_size({"width": width, "height": 740})
    for path in ("", "bookings/new", "bookings/1", "bookings/2", "bookings/3/release", "calls", "card"):
        page.goto(place[1] + path)
        page.evaluate(f"document.documentElement.style.fontSize = '{size}%'")
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0, (path, wide)
    page.close()


def test_without_scripts_a_booking_is_made_as_well(browser: Browser, place: tuple[Desks, str]) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(place[1])
    page.fill("#name", "nurse")
    page.fill("#password", PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.fill("#ref", "A-11")
    page.fill("#date", FRIDAY["date"])
    page.fill("#time", FRIDAY["time"])
    page.get_by_role("button", name="Timetable", exact=True).click()
    page.get_by_role("button", name="Clear and publish").click()
    assert page.locator("#link").inner_text().startswith("http://localhost:8641/p/")
    context.close()


def test_what_the_patient_sees_is_shown_at_the_chosen_moment(
    nurse: BrowserContext, place: tuple[Desks, str]
) -> None:
    """At 18:20 on the evening before there is the first dose to drink; the frames know nothing of the console."""
    page = nurse.new_page()
    page.goto(place[1] + "bookings/1/seen?day=2026-03-19&time=18:20")
    english = page.frame_locator("iframe").last
    english.locator("#card-title").wait_for()
    assert english.locator("#card-title").inner_text() == "Drink the bowel medicine"
    assert (
        english.locator("body").evaluate(
            "() => { try { return localStorage.length; } catch (_) { return 'none'; } }"
        )
        == "none"
    )
    assert page.frame_locator("iframe").first.locator("html").get_attribute("dir") == "rtl"
    page.close()


def test_the_card_for_the_switchboard_is_one_page(nurse: BrowserContext, place: tuple[Desks, str]) -> None:
    page = nurse.new_page()
    page.goto(place[1] + "card")
    for paper in ("A4", "Letter"):
        assert len(re.findall(rb"/Type /Page\b", page.pdf(format=paper))) == 1, paper
    for hidden in ("nav", "form.who", "form.find"):
        page.emulate_media(media="print")
        assert not page.locator(hidden).first.is_visible()
    page.close()
