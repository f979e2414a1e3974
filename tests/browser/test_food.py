"""Looking up food on the phone: typing, picking, nothing found, keys alone, right to left, on paper, in each engine."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.phones import Phone
from tests.browser.served import PlansServer
from tests.browser.site import Site
from tests.plans import Built

pytestmark = pytest.mark.browser
NOON = "2026-03-17T12:00:00+00:00"
ISOLATES = dict.fromkeys(range(0x2066, 0x206A))
NONE = "Not in your unit’s list: choose something else, or call the unit."


@pytest.fixture
def served(given: tuple[Built, int]) -> Iterator[Built]:
    plans, port = given
    with PlansServer(plans.data, port):
        yield plans


def opened(pocket: BrowserContext, link: str) -> Page:
    page = pocket.new_page()
    page.clock.install(time=dt.datetime.fromisoformat(NOON))
    page.goto(link)
    expect(page.locator('#saved[data-state="saved"]')).to_be_visible()
    return page


def hits(page: Page) -> list[str]:
    """The names that are offered."""
    return page.locator("#find-hits button").all_inner_texts()


def test_several_are_shown_and_the_picked_one_tells_its_own_verdict(
    pocket: BrowserContext, served: Built
) -> None:
    page = opened(pocket, served.links["DEMO-101"])
    page.get_by_label("Look up a food or drink").fill("Milk")
    names = hits(page)
    assert names[0] == "Milk"
    assert {"Tea with milk", "Oat, soy or almond drink"} <= set(names)
    assert len(names) <= 8
    expect(page.locator("#find-many")).to_be_visible()
    expect(page.locator("#find-hits p:visible")).to_have_count(0)
    page.get_by_role("button", name="Tea with milk").click()
    told = page.locator("#find-hits p:visible")
    assert told.inner_text().translate(ISOLATES) == (
        "Until Tuesday 17 March, 13:30: yes. After that: no. Milk makes it cloudy: you cannot see through it."
    )
    page.locator("#find-hits").get_by_role("button", name="Kefir or sour milk", exact=True).click()
    expect(told).to_have_count(1)
    expect(told).to_contain_text("No, from")


def test_each_hit_says_what_the_list_says_of_it(pocket: BrowserContext, served: Built) -> None:
    """For every food of the page: looked up by its name, its hit holds the verdict that stands beside it."""
    page = opened(pocket, served.links["DEMO-101"])
    wrong = page.evaluate(
        """() => Array.from(document.querySelectorAll('[data-find]')).filter(food => {
          const name = food.querySelector('dt').textContent;
          const field = document.getElementById('find-word');
          field.value = name.split(',')[0];
          field.dispatchEvent(new Event('input'));
          const hit = Array.from(document.querySelectorAll('#find-hits li')).find(
            one => one.querySelector('button').textContent === name);
          return !hit || hit.querySelector('p').textContent !== food.querySelector('dd').textContent;
        }).map(food => food.querySelector('dt').textContent)"""
    )
    assert wrong == []
    assert page.locator("[data-find]").count() > 103


def test_one_that_is_found_alone_is_open_at_once(pocket: BrowserContext, served: Built) -> None:
    page = opened(pocket, served.links["DEMO-101"])
    page.locator("#find-word").fill("avocadoe")
    assert hits(page) == ["Avocado"]
    expect(page.locator("#find-one")).to_be_visible()
    assert (
        page.locator("#find-hits p:visible")
        .inner_text()
        .translate(ISOLATES)
        .startswith("No, from Tuesday 17 March")
    )


def test_what_is_not_in_the_list_is_not_guessed(pocket: BrowserContext, served: Built) -> None:
    page = opened(pocket, served.links["DEMO-101"])
    field = page.locator("#find-word")
    field.fill("sushi roll")
    expect(page.get_by_role("status").filter(has_text=NONE)).to_be_visible()
    assert hits(page) == []
    field.fill("")
    expect(page.locator("#find-none")).to_be_hidden()
    field.fill("s")
    expect(page.locator("#find-none")).to_be_hidden()


def test_with_keys_alone(pocket: BrowserContext, served: Built) -> None:
    page = opened(pocket, served.links["DEMO-101"])
    page.locator("#find-word").focus()
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    page.keyboard.type("jelly")
    page.keyboard.press("Enter")
    first = hits(page)[0]
    assert page.evaluate("document.activeElement.textContent") == first
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.getAttribute('aria-expanded')") == "true"
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    opened_now = page.locator('#find-hits [aria-expanded="true"]')
    expect(opened_now).to_have_count(1)
    expect(opened_now).to_have_text(hits(page)[1])
    for _ in hits(page)[1:]:
        page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('aria-controls')") == "foods-cold"
    page.keyboard.press("Enter")
    expect(page.locator("#foods-cold")).to_be_visible()


def test_from_right_to_left(pocket: BrowserContext, served: Built) -> None:
    page = opened(pocket, served.links["DEMO-103"])
    page.locator("#find-word").fill("الحليب")
    assert hits(page)[0] == "حليب"
    page.get_by_role("button", name="شاي بالحليب").click()
    told = page.locator("#find-hits p:visible")
    expect(told).to_contain_text("13:30")
    box, field = (
        page.locator(place).bounding_box() for place in ("#find-hits button >> nth=0", "#find-word")
    )
    assert box is not None
    assert field is not None
    edges = page.evaluate(
        """() => { const range = document.createRange();
          range.selectNodeContents(document.querySelector('#find-hits button').firstChild);
          const box = range.getBoundingClientRect(); return [box.left, box.right]; }"""
    )
    assert edges[1] > box["x"] + box["width"] - 4  # the name begins at the right
    page.evaluate("document.documentElement.style.fontSize = '250%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_groups_fold_on_the_screen_and_stand_open_on_paper(pocket: BrowserContext, served: Built) -> None:
    page = opened(pocket, served.links["DEMO-101"])
    expect(page.locator("#food dt:visible")).to_have_count(0)
    page.get_by_role("button", name="Fruit", exact=True).click()
    expect(page.locator("#foods-fruit dt:visible").first).to_be_visible()
    page.get_by_role("button", name="Fruit", exact=True).click()
    expect(page.locator("#foods-fruit")).to_be_hidden()
    page.emulate_media(media="print")
    expect(page.locator("#food dt:visible")).to_have_count(page.locator("#food dt").count())
    expect(page.locator("[aria-controls=foods-fruit]")).to_be_visible()
    expect(page.locator("#find")).to_be_hidden()


def test_what_is_typed_goes_nowhere_and_is_not_kept(pocket: BrowserContext, served: Built) -> None:
    page = opened(pocket, served.links["DEMO-101"])
    expect(page.locator("#checked")).to_be_visible()  # what the page keeps of itself is kept
    kept = "JSON.stringify([{...localStorage}, {...sessionStorage}, document.cookie, location.href])"
    before = page.evaluate(kept)
    # Its icon may still be on its way, and the plan may be looked at for changes: addresses that hold nothing typed.
    asked: list[tuple[str, str, str | None]] = []
    page.on("request", lambda request: asked.append((request.method, request.url, request.post_data)))
    page.locator("#find-word").press_sequentially("chocolate")
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    page.wait_for_timeout(300)
    link = served.links["DEMO-101"]
    shared = link[: link.index("/p/")] + "/a/"
    assert [
        (method, url, body)
        for method, url, body in asked
        if method not in ("GET", "HEAD")
        or body
        or not (url in (link, f"{link}sw.js") or (url.startswith(shared) and url.endswith("/icon-180.png")))
    ] == []
    assert page.evaluate(kept) == before
    page.reload()
    assert page.locator("#find-word").input_value() == ""


def test_food_is_found_in_every_engine(phone: Phone, site: Site, server: PlansServer) -> None:
    phone.open(site.links["DEMO-101"])
    phone.until("document.querySelector('#find') && !document.querySelector('#find').hidden")
    phone.told(
        "void ((field) => { field.value = 'bananna'; field.dispatchEvent(new Event('input')); })"
        "(document.querySelector('#find-word'))"
    )
    assert phone.text("#find-hits button") == "Ripe banana"
    assert phone.text("#find-hits p").startswith("No, from Tuesday 17 March, 07:00.")
    assert not phone.sees("#foods-fruit")
    phone.click("[aria-controls=foods-fruit]")
    assert phone.sees("#foods-fruit")
