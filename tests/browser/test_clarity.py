"""A look into the bowl on a phone: the table of looks through the page itself; keys alone, and without script."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.phones import Phone
from tests.browser.reading import answered, laid_out
from tests.browser.served import PlansServer, free_port
from tests.browser.site import Site
from tests.languages import HEADING
from tests.looks import PLANS, ROWS, texts_of, times_of
from tests.plans import built
from tests.sampling import one_in

pytestmark = pytest.mark.browser
MARKS = {**dict.fromkeys(range(0x2066, 0x206A)), 0xA0: " "}
ON_PAGE = [row for row in ROWS if row["plan"] != "states no hours"]


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    """Name of a plan in the table -> its link."""
    place, port = tmp_path_factory.mktemp("looks"), free_port()
    booked = {f"R{number}": name for number, name in enumerate(PLANS) if "booking" in PLANS[name]}
    rows = [
        "{},{},{},{},COLON,{},en,,\n".format(ref, *PLANS[name]["booking"]) for ref, name in booked.items()
    ]
    (place / "list.csv").write_text(HEADING + "".join(rows), "utf-8")
    plans = built(place / "data", lists=(place / "list.csv",), base_url=f"http://localhost:{port}/")
    with PlansServer(plans.data, port):
        yield {name: plans.links[ref] for ref, name in booked.items()}


def read_at(context: BrowserContext, link: str, clock: str, plan: str) -> Page:
    """The page as it is at a moment; where the table states other moments for a plan, with those.

    The server's own clock is not in what it sends here: it would tell that the moment is made up.
    """
    page = context.new_page()
    text = context.request.get(link).text()
    assert text.count('"look":{') == 1
    if "like" in PLANS[plan]:
        parts = json.dumps(times_of(plan), separators=(",", ":"))
        text = re.sub(r'"look":\{[^}]*\}', f'"look":{parts}', text)
    page.route(link, lambda route: route.fulfill(body=text, content_type="text/html; charset=utf-8"))
    page.clock.install(time=dt.datetime.fromisoformat(clock))
    page.goto(link)
    return answered(page)


def told(page: Page) -> list[str]:
    """The sentences that are said to what was answered."""
    said = page.locator("#bowl-says > p:visible")
    return [text.translate(MARKS) for text in said.all_inner_texts()]


@pytest.mark.parametrize("row", one_in(8, ON_PAGE, [row["name"] for row in ON_PAGE]))
def test_each_row_of_the_table_through_the_page(
    browser: Browser, served: dict[str, str], row: dict[str, Any]
) -> None:
    """Answered at one moment, closed, and opened again at another."""
    link = served[PLANS[row["plan"]].get("like", row["plan"])]
    zone = row.get("zone", "Europe/London")
    with browser.new_context(
        viewport={"width": 360, "height": 740}, timezone_id=zone, service_workers="block"
    ) as context:
        page = read_at(context, link, row["at"], row["plan"])
        for question, answer in row["answers"].items():
            page.locator(f'[data-answer="{question} {answer}"] button').click()
        if row["now"] != row["at"]:
            page.close()
            page = read_at(context, link, row["now"], row["plan"])
        assert told(page) == texts_of(row)
        assert page.locator("#bowl-call .phone").is_visible() == row["call"]
        pressed = page.locator('#bowl [aria-pressed="true"]').locator("..")
        assert {place.get_attribute("data-answer") for place in pressed.all()} == {
            f"{question} {answer}" for question, answer in row["answers"].items()
        }


def test_it_changes_while_the_page_lies_open(pocket: BrowserContext, served: dict[str, str]) -> None:
    """Common practice, no source: what was told at 03:00 is expected then, and to be looked at again at 07:00."""
    page = read_at(pocket, served["split"], "2026-03-18T06:59:30+00:00", "split")
    page.get_by_role("button", name="Brown").click()
    assert told(page) == ["Look again: Wednesday 18 March, 07:00."]
    page.clock.fast_forward("01:00")
    assert told(page) == ["Look again now, and answer again."]
    page.get_by_role("button", name="Brown").click()
    assert told(page)[0] == "Still brown or thick after the last dose? Call the unit now."
    page.get_by_role("button", name="Brown").click()
    assert told(page) == []


def test_at_its_step_it_stands_on_the_card_and_nowhere_else(
    pocket: BrowserContext, served: dict[str, str]
) -> None:
    page = read_at(pocket, served["split"], "2026-03-18T07:05:00+00:00", "split")
    expect(page.locator("#card-title")).to_have_text("Look into the toilet bowl")
    expect(page.locator("#card #bowl")).to_be_visible()
    expect(page.locator("#bowl-away")).to_be_visible()
    page.get_by_role("button", name="Brown").click()
    # One number, beside the reason to ring it.
    expect(page.locator("#card .phone:visible")).to_have_count(1)
    expect(page.locator("#spoken")).to_contain_text("Call the unit now.")
    page.clock.fast_forward("01:00:00")
    expect(page.locator("#card-title")).not_to_have_text("Look into the toilet bowl")
    expect(page.locator("#clarity #bowl")).to_be_visible()
    expect(page.locator("#bowl-away")).to_be_hidden()


def test_with_keys_alone(pocket: BrowserContext, served: dict[str, str]) -> None:
    page = read_at(pocket, served["split"], "2026-03-18T03:00:00+00:00", "split")
    page.locator("#bowl button").first.focus()
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Tab")
    names = []
    for _ in range(7):
        names.append(page.evaluate("document.activeElement.textContent"))
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
        page.keyboard.press("Tab")
    assert names == [
        "Yes", "No", "None, or a few flecks", "Yes", "Yellow, or like water", "Brown", "Nothing has come out yet.",
    ]  # fmt: skip
    page.locator("#bowl button").nth(5).focus()
    page.keyboard.press("Space")
    assert told(page)[0].startswith("Brown before the last dose is expected.")
    assert page.evaluate("document.activeElement.textContent") == "Brown"


def test_a_voice_hears_question_picture_and_answer(pocket: BrowserContext, served: dict[str, str]) -> None:
    page = read_at(pocket, served["split"], "2026-03-18T03:00:00+00:00", "split")
    group = page.get_by_role("group", name="Can you see the bottom of the bowl?")
    expect(group.get_by_role("button")).to_have_count(2)
    expect(group.get_by_role("button").first).to_have_accessible_name(
        "A bowl cut open; the bar at the bottom can be seen Yes"
    )


def test_without_script_the_same_stands_in_words_with_the_times_of_this_plan(
    browser: Browser, served: dict[str, str]
) -> None:
    with browser.new_context(java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(served["split"])
        text = laid_out(page).locator("#clarity").inner_text().translate(MARKS)
        for sentence in (
            "Look again: Wednesday 18 March, 07:00.",
            "From Wednesday 18 March, 07:30 take nothing by mouth, not even water.",
            "Has nothing come by Tuesday 17 March, 21:00? Call the unit about this.",
            "Still brown or thick after the last dose? Call the unit now.",
            "Stoma bag: look as you empty it.",
        ):
            assert sentence in text
        assert text.count("Nothing has come out yet.") == 1
        expect(page.locator("#bowl img:visible")).to_have_count(6)
        expect(page.locator("#clarity button")).to_have_count(0)


def test_how_one_feels_leads_to_the_units_answers(pocket: BrowserContext, served: dict[str, str]) -> None:
    page = read_at(pocket, served["split"], "2026-03-18T03:00:00+00:00", "split")
    for name in ("sick", "vomited", "cold", "cramps"):
        expect(page.locator(f"#ask-{name}")).not_to_have_attribute("open", "")
        page.locator(f'#clarity a[href="#ask-{name}"]').click()
        expect(page.locator(f"#ask-{name}")).to_have_attribute("open", "")


def test_what_was_answered_goes_with_the_plan(pocket: BrowserContext, served: dict[str, str]) -> None:
    page = read_at(pocket, served["split"], "2026-03-18T03:00:00+00:00", "split")
    page.get_by_role("button", name="Brown").click()
    keys = page.evaluate("Object.keys(localStorage)")
    assert [key for key in keys if key.endswith(":looked")] == [
        f"daybefore:{page.locator('html').get_attribute('data-mark')}:looked"
    ]
    page.locator("#wipe").click()
    page.locator("#clear-phone").click()
    expect(page.locator("#wipe-ask")).to_be_hidden()
    assert [key for key in page.evaluate("Object.keys(localStorage)") if key.endswith(":looked")] == []


def test_on_paper_the_drawings_stand_and_the_answers_do_not(
    pocket: BrowserContext, served: dict[str, str]
) -> None:
    page = read_at(pocket, served["split"], "2026-03-18T03:00:00+00:00", "split")
    page.get_by_role("button", name="Brown").click()
    page.emulate_media(media="print")
    expect(page.locator("#bowl img:visible")).to_have_count(6)
    expect(page.locator("#bowl-says")).to_be_hidden()
    expect(page.locator("#bowl-when")).to_be_hidden()


def test_in_every_engine(phone: Phone, site: Site, server: PlansServer) -> None:
    """The clock of these browsers is their own, so only what hangs on no moment is looked at."""
    phone.open(site.links["DEMO-101"])
    phone.until("document.querySelectorAll('#bowl button').length === 7")
    brown = "document.querySelector('[data-answer=\"colour brown\"] button')"
    phone.told(f"void {brown}.click()")
    assert phone.told(f"{brown}.getAttribute('aria-pressed')") == "true"
    drawn = "Array.from(document.querySelectorAll('#bowl img')).filter((one) => one.naturalWidth > 0).length"
    phone.until(f"{drawn} === 6")
