"""The questions people ask, in a browser: closed until tapped, offered at their moment, whole on paper."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.reading import answered
from tests.browser.served import PlansServer
from tests.plans import Built

pytestmark = pytest.mark.browser
ASKED = "#card-asked a"


@pytest.fixture(scope="module")
def links(given: tuple[Built, int]) -> Iterator[dict[str, str]]:
    plans, port = given
    with PlansServer(plans.data, port):
        yield plans.links


def opened(context: BrowserContext, link: str, clock: str) -> Page:
    page = context.new_page()
    page.clock.install(time=dt.datetime.fromisoformat(clock))
    page.goto(link)
    return answered(page)


# Procedure on Wednesday 18 March 2026 at 09:30: first dose on Tuesday at 18:00, mixed at 17:45; the end at 07:30.
@pytest.mark.parametrize(
    ("clock", "asked"),
    [
        (
            "2026-03-17T17:50+00:00",
            ["The glass got hot when I mixed it.", "May I mix it with juice or cola?"],
        ),
        ("2026-03-17T18:20+00:00", ["I feel sick.", "I vomited.", "It tastes awful."]),
        ("2026-03-18T07:45+00:00", ["I drank something after the time was over.", "My blood sugar is low."]),
        ("2026-03-18T09:10+00:00", ["I am still waiting, and I am thirsty."]),
        ("2026-03-20T12:00+00:00", ["I bleed. How much is too much?"]),
    ],
)
def test_the_card_offers_what_is_asked_at_that_moment(
    pocket: BrowserContext, links: dict[str, str], clock: str, asked: list[str]
) -> None:
    page = opened(pocket, links["DEMO-101"], clock)
    expect(page.locator(ASKED).first).to_be_visible()
    assert page.locator(ASKED).all_inner_texts()[: len(asked)] == asked
    assert len(page.locator(ASKED).all()) <= 3


def test_a_question_on_the_card_leads_to_its_answer_open(
    pocket: BrowserContext, links: dict[str, str]
) -> None:
    page = opened(pocket, links["DEMO-101"], "2026-03-17T18:20+00:00")
    answer = page.locator("#ask-vomited p").first
    expect(answer).to_be_hidden()
    page.locator("#card-asked").get_by_role("link", name="I vomited.").click()
    expect(answer).to_be_visible()
    expect(page.locator("#ask-vomited")).to_be_in_viewport()
    assert page.locator("#questions details[open]").count() == 1


def test_what_is_offered_stays_while_nothing_changes(pocket: BrowserContext, links: dict[str, str]) -> None:
    page = opened(pocket, links["DEMO-101"], "2026-03-17T18:20+00:00")
    first = page.locator(ASKED).first.element_handle()
    page.clock.run_for(60_000)
    assert first is not None
    assert first.evaluate("link => link.isConnected")


def test_in_doubt_about_the_clock_nothing_is_offered(browser: Browser, links: dict[str, str]) -> None:
    context = browser.new_context(timezone_id="America/New_York")
    page = opened(context, links["DEMO-101"], "2026-03-17T18:20+00:00")
    expect(page.locator("#doubt")).to_be_visible()
    expect(page.locator("#card-asked")).to_be_hidden()
    context.close()


def test_paper_has_every_answer(pocket: BrowserContext, links: dict[str, str]) -> None:
    page = opened(pocket, links["DEMO-101"], "2026-03-17T18:20+00:00")
    page.locator("#ask-taste summary").click()
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    assert page.locator("#questions details").count() == page.locator("#questions details[open]").count() > 60
    for line in page.locator("#questions details > p:first-of-type").all():
        assert line.is_visible()
    page.emulate_media(media="screen")
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    assert page.locator("#questions details[open]").evaluate_all("all => all.map(one => one.id)") == [
        "ask-taste"
    ]


def test_without_script_every_answer_is_there(browser: Browser, links: dict[str, str]) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(links["DEMO-103"])
    for line in page.locator("#questions details > p:first-of-type").all():
        assert line.is_visible()
    expect(page.locator("#card-asked")).to_be_hidden()
    context.close()
