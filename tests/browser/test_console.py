"""The console in a browser: from sign-in to a link at a person's pace, and what the patient's phone then shows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, Page

from generator.console.plans import plans_app
from tests.desks import PASSWORD, Desks, desks, served

pytestmark = pytest.mark.browser
MOST_INTERACTIONS, MOST_SECONDS = 9, 40  # what the desk is promised
_LEFT: Any = {"x": 12, "y": 15}  # where a date begins
# Seconds at a person's pace: as the promise states them.
CLICK, LETTER, READING = 1.2, 0.25, 8.0


@dataclass
class Place:
    """A console and the plans it publishes, at two addresses of this machine."""

    desks: Desks
    console: str
    plans: str


@dataclass
class Person:
    """Somebody at the desk: every press, every field filled and every choice is an interaction and takes its time.

    Day and time are typed as this browser asks for them, in the American order.
    """

    page: Page
    interactions: int = 0
    seconds: float = 0.0
    did: list[str] = field(default_factory=list)

    def press(self, button: str) -> None:
        self._act(f"press {button}", CLICK)
        self.page.get_by_role("button", name=button, exact=True).click()

    def type(self, label: str, text: str) -> None:
        self._act(f"type {label}", CLICK + LETTER * len(text))
        box = self.page.locator("main").get_by_label(label, exact=True)
        box.click(position=_LEFT)
        box.press_sequentially(text)

    def choose(self, label: str, value: str) -> None:
        self._act(f"choose {label}", 2 * CLICK)  # opened, and picked
        self.page.locator("main").get_by_label(label, exact=True).select_option(value)

    def read(self) -> None:
        self.seconds += READING

    def _act(self, what: str, seconds: float) -> None:
        self.interactions += 1
        self.seconds += seconds
        self.did.append(what)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    data = tmp_path_factory.mktemp("console")
    (data / "public").mkdir()
    with served(plans_app(data / "public")) as plans, desks(data, base_url=plans) as found:
        with served(found.app) as console:
            yield Place(found, console, plans)


@pytest.fixture
def desk(browser: Browser) -> Iterator[Page]:
    """A window at the desk."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    yield context.new_page()
    context.close()


def at_work(page: Page, place: Place, name: str) -> Person:
    """Somebody who has just signed in; the signing in counts."""
    person = Person(page)
    page.goto(place.console)
    person.type("Name", name)
    person.type("Password", PASSWORD)
    person.press("Sign in")
    return person


def test_a_nurse_gets_from_sign_in_to_a_link_in_nine_interactions_and_forty_seconds(
    place: Place, desk: Page, browser: Browser, tmp_path: Path
) -> None:
    nurse = at_work(desk, place, "nurse")
    nurse.type("Reference", "MB-2041")
    nurse.type("Day", "03202026")
    nurse.type("Time", "0930A")
    nurse.choose("Reads", "es")
    nurse.press("Timetable")
    nurse.read()
    nurse.press("Clear and publish")
    link = desk.locator("#link").inner_text()
    assert nurse.interactions <= MOST_INTERACTIONS, nurse.did
    assert nurse.seconds <= MOST_SECONDS, nurse.seconds
    desk.locator(".qr").screenshot(path=tmp_path / "code.png")
    [code] = zxingcpp.read_barcodes(Image.open(tmp_path / "code.png"))
    assert code.text == link
    assert link.startswith(f"{place.plans}p/")

    phone = browser.new_context(
        viewport={"width": 360, "height": 740}, timezone_id="Europe/London"
    ).new_page()
    phone.clock.install(time=place.desks.clock.now)
    phone.goto(link)
    assert phone.locator("html").get_attribute("lang") == "es"
    english = link + "en.html"
    phone.goto(english)
    assert "Be at the unit on Friday 20 March at 09:00" in shown(phone)

    _move(desk, "03242026", "1000A")
    phone.goto(english)
    assert "Your appointment has moved." in shown(phone)
    assert "Be at the unit on Tuesday 24 March at 09:30" in shown(phone)

    desk.get_by_role("link", name="Cancel", exact=True).click()
    desk.get_by_role("button", name="Cancel the booking").click()
    phone.goto(english)
    assert "Take no more of the bowel medicine" in shown(phone)
    assert "Eat and drink normally again" in shown(phone)
    phone.context.close()


def shown(phone: Page) -> str:
    """The words on a phone, without the signs that keep hours and names from being reordered."""
    return re.sub("[\u2066-\u2069]", "", phone.locator("body").inner_text())


def _move(desk: Page, day: str, time: str) -> None:
    desk.get_by_role("link", name="Move", exact=True).click()
    for label, text in (("Day", day), ("Examination at", time)):
        box = desk.locator("main").get_by_label(label, exact=True)
        box.click(position=_LEFT)
        box.press_sequentially(text)
    desk.get_by_role("button", name="Old against new").click()
    desk.get_by_role("button", name="Move it", exact=True).click()


def test_a_clerk_prepares_and_a_nurse_clears(place: Place, browser: Browser) -> None:
    """Only then is there a link."""
    clerk_page, nurse_page = (browser.new_context().new_page() for _ in range(2))
    clerk = at_work(clerk_page, place, "clerk")
    clerk.type("Reference", "MB-2042")
    clerk.type("Day", "03232026")
    clerk.type("Time", "1015A")
    clerk.press("Timetable")
    assert not clerk_page.get_by_role("button", name="Clear and publish").is_visible()
    clerk.press("Put it on the desk to be cleared")
    assert clerk_page.locator("#link").count() == 0
    at_work(nurse_page, place, "nurse")
    nurse_page.get_by_role("link", name="MB-2042").click()
    nurse_page.get_by_role("button", name="Clear and publish").click()
    assert nurse_page.locator("#link").inner_text().startswith(place.plans)
    clerk_page.reload()
    assert clerk_page.locator("#link").count() == 1
    for page in (clerk_page, nurse_page):
        page.context.close()
