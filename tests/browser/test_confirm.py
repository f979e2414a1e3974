"""What the page asks: is the appointment yours, and have you read what is different."""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.reading import answered, put_away
from tests.browser.served import PlansServer
from tests.command import DEMO_UNIT, run
from tests.plans import Built

pytestmark = pytest.mark.browser
BEFORE = "2026-03-16T12:00+00:00"


class Unit:
    """The demonstration's plans, served, and the clerk who moves them."""

    def __init__(self, plans: Built, server: PlansServer, port: int) -> None:
        self.plans, self.server, self.port = plans, server, port

    def move(self, ref: str, *change: str) -> None:
        common = ("--unit", DEMO_UNIT, "--out", self.plans.data, "--now", "2026-03-16T12:10")
        base = ("--base-url", f"http://localhost:{self.port}/", "--role", "clerk")
        assert run("move", "--ref", ref, *change, *common, *base).exit_code == 0


@pytest.fixture
def unit(given: tuple[Built, int], tmp_path: Path) -> Iterator[Unit]:
    plans, port = given
    data = Path(shutil.copytree(plans.data, tmp_path / "data"))
    with PlansServer(data, port) as server:
        yield Unit(Built(data, plans.said), server, port)


def opened(pocket: BrowserContext, link: str, clock: str = BEFORE) -> Page:
    page = pocket.new_page()
    page.clock.install(time=dt.datetime.fromisoformat(clock))
    page.goto(link)
    expect(page.locator('#saved[data-state="saved"]')).to_be_visible()
    return page


def confirmed(pocket: BrowserContext, link: str) -> None:
    page = opened(pocket, link)
    page.get_by_role("button", name="Yes, it is mine").click()
    put_away(page)


def items(page: Page, selector: str) -> list[str]:
    """The entries of a list as read: lines joined by a stroke, isolates left out."""
    texts = page.locator(f"{selector} > li").all_inner_texts()
    return [
        " | ".join(text.translate(dict.fromkeys((0x2066, 0x2067, 0x2069))).split("\n")).replace(
            " |  | ", " | "
        )
        for text in texts
    ]


def test_the_first_opening_asks_once(pocket: BrowserContext, unit: Unit) -> None:
    link = unit.plans.links["DEMO-101"]
    page = opened(pocket, link)
    question = page.get_by_role("group", name="Is this your appointment?")
    expect(question).to_contain_text("18 March")
    expect(question).to_contain_text("09:00")
    expect(page.locator("#card")).to_be_hidden()
    page.get_by_role("button", name="Yes, it is mine").click()
    expect(question).to_be_hidden()
    assert page.evaluate("document.activeElement.id") == "start-now-heading"
    page.get_by_role("button", name="One of them is true").click()
    expect(page.locator("#start-called")).to_contain_text(
        "Take none of the bowel medicine. Call the unit first."
    )
    expect(page.locator("#card")).to_be_hidden()
    page.reload()  # until the reader says that none is true
    expect(page.get_by_role("group", name="Before you start")).to_contain_text(
        "You are pregnant, or might be"
    )
    expect(page.locator("#start li")).to_have_count(0)
    page.get_by_role("button", name="None of these is true").click()
    assert page.evaluate("document.activeElement.id") == "now-heading"
    expect(page.locator("#start li")).to_have_count(19)
    page.reload()
    expect(page.locator("#card")).to_be_visible()
    expect(page.locator("#first")).to_be_hidden()


def test_whose_appointment_it_is_not_gets_nothing_to_do(pocket: BrowserContext, unit: Unit) -> None:
    page = opened(pocket, unit.plans.links["DEMO-101"])
    page.get_by_role("button", name="No", exact=True).click()
    expect(page.locator("#first-other")).to_contain_text("Do not follow this plan. Call the unit.")
    expect(page.locator("#first-other")).to_contain_text(
        "Until someone answers, take no more of the bowel medicine."
    )
    expect(page.locator("#card")).to_be_hidden()
    page.clock.fast_forward("01:00")
    expect(page.locator("#card")).to_be_hidden()
    answered(page)
    expect(page.locator("#card")).to_be_visible()


# DEMO-101: examination 18 March 09:30, 20 minutes from the unit, arrival 30 minutes before. The protocol: last dose
# starts 4 to 5 h before, kindest outside the night (22:30 to 05:30) on a full hour or half; mixed 15 minutes before it;
# nothing more from 2 h before; first dose 18:00 to 19:30 the evening before.
def test_a_move_shows_what_stays_then_old_against_new(pocket: BrowserContext, unit: Unit) -> None:
    link = unit.plans.links["DEMO-101"]
    confirmed(pocket, link)
    unit.move("DEMO-101", "--procedure", "2026-03-18T11:00")
    page = opened(pocket, link)
    expect(page.get_by_role("group", name="Your plan has changed.")).to_be_visible()
    same = items(page, "#change-same")
    assert same[0] == "The bowel medicine and its amounts are the same."
    different = items(page, "#change-list")
    assert different[0] == (
        "Your appointment | Before: Wednesday 18 March, 09:00 | Now: Wednesday 18 March, 10:30"
    )
    assert different[1:3] == [
        "Mix the bowel medicine"
        " | Before: in the night from Tuesday to Wednesday, 05:15 (Wednesday 18 March)"
        " | Now: Wednesday 18 March, 06:45",
        "Drink the bowel medicine"
        " | Before: in the night from Tuesday to Wednesday, 05:30 (Wednesday 18 March)"
        " | Now: Wednesday 18 March, 07:00",
    ]
    assert "Take nothing more, not even water | Before: Wednesday 18 March, 07:30" in different[3]
    assert (
        page.evaluate(
            "document.getElementById('change-same').compareDocumentPosition(document.getElementById('change-list'))"
        )
        & 4
    )  # DOCUMENT_POSITION_FOLLOWING


def test_a_change_stays_until_it_is_confirmed_and_is_told_against_the_plan_last_confirmed(
    pocket: BrowserContext, unit: Unit
) -> None:
    link = unit.plans.links["DEMO-101"]
    confirmed(pocket, link)
    unit.move("DEMO-101", "--procedure", "2026-03-18T11:00")
    opened(pocket, link).close()
    unit.move("DEMO-101", "--procedure", "2026-03-18T12:00")
    page = opened(pocket, link)
    assert items(page, "#change-list")[0] == (
        "Your appointment | Before: Wednesday 18 March, 09:00 | Now: Wednesday 18 March, 11:30"
    )
    page.get_by_role("button", name="I have read what is different").click()
    expect(page.locator("#change")).to_be_hidden()
    assert page.evaluate("document.activeElement.id") == "now-heading"
    answered(page)
    unit.server.stop()
    page.reload()
    expect(page.locator("#card")).to_be_visible()
    expect(page.locator("#change")).to_be_hidden()
    expect(page.locator("#first")).to_be_hidden()


def test_offline_the_change_is_there_to_be_confirmed(pocket: BrowserContext, unit: Unit) -> None:
    link = unit.plans.links["DEMO-101"]
    confirmed(pocket, link)
    unit.move("DEMO-101", "--procedure", "2026-03-18T11:00")
    opened(pocket, link).close()
    unit.server.stop()
    page = opened(pocket, link)
    expect(page.locator("#change")).to_be_visible()
    expect(page.locator("#step-morning-dose .hour")).to_contain_text("07:00")


def test_a_tick_outlives_a_move_where_step_and_amounts_are_the_same(
    pocket: BrowserContext, unit: Unit
) -> None:
    link = unit.plans.links["DEMO-101"]
    page = opened(pocket, link)
    page.get_by_role("button", name="Yes, it is mine").click()
    page.get_by_role("button", name="Done: Have your bowel medicine at home").click()
    put_away(page)
    unit.move("DEMO-101", "--procedure", "2026-03-18T11:00")
    page = opened(pocket, link)
    ticked = page.get_by_role("button", name="Done: Have your bowel medicine at home")
    expect(ticked).to_have_attribute("aria-pressed", "true")


def test_another_language_names_no_step_in_the_old_one(pocket: BrowserContext, unit: Unit) -> None:
    """Confirmed in Arabic, changed, opened in English: nothing Arabic stands among the English."""
    link = unit.plans.links["DEMO-103"]
    confirmed_page = opened(pocket, link)
    confirmed_page.locator("#first-yes").click()
    put_away(confirmed_page)
    unit.move("DEMO-103", "--procedure", "2026-03-19T09:30")
    page = opened(pocket, f"{link}en.html")
    expect(page.locator("#change")).to_be_visible()
    text = page.locator("#change").inner_text()
    assert "Before: Thursday 19 March" in text.replace("\u2066", "").replace("\u2069", "")
    assert not [letter for letter in text if "\u0600" <= letter <= "\u06ff"]


def test_the_change_of_one_plan_is_not_shown_in_another(pocket: BrowserContext, unit: Unit) -> None:
    one, other = unit.plans.links["DEMO-101"], unit.plans.links["DEMO-104"]
    confirmed(pocket, one)
    unit.move("DEMO-101", "--procedure", "2026-03-18T11:00")
    page = opened(pocket, other)
    expect(page.locator("#change")).to_be_hidden()
    expect(page.locator("#first")).to_be_visible()
    expect(opened(pocket, one).locator("#change")).to_be_visible()
