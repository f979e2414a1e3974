"""A plan in one file, opened in Chromium as a patient opens an attachment: from the disk, with nothing beside it."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.reading import answered, put_away
from tests.browser.test_plan_page import in_arabic
from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT, run_json

pytestmark = pytest.mark.browser
EVENING = "2026-03-17T18:20:00+00:00"


@pytest.fixture(scope="module")
def copies(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Reference and language -> the copy, alone in a folder."""
    data, alone = tmp_path_factory.mktemp("plans"), tmp_path_factory.mktemp("stick")
    words = ("--unit", DEMO_UNIT, "--out", data, "--now", DEMO_NOW, "--single-file")
    found = {}
    for row in run_json("build", DEMO_LIST, *words)["files"][0]["rows"]:
        for copy in map(Path, row["copies"]):
            tag = copy.stem.rsplit("-", 1)[1]
            found[f"{row['ref']} {tag}"] = Path(shutil.copy(copy, alone))
    return found


def opened(
    pocket: BrowserContext, copy: Path, clock: str = EVENING, *, answering: bool = True
) -> tuple[Page, list[str], list[str]]:
    """The copy at a moment, what it asked for, and what the browser complained of."""
    page = pocket.new_page()
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.clock.install(time=dt.datetime.fromisoformat(clock))
    page.goto(copy.as_uri())
    return answered(page) if answering else page, asked, complaints


def test_it_shows_what_to_do_now_and_asks_for_nothing(
    pocket: BrowserContext, copies: dict[str, Path]
) -> None:
    page, asked, complaints = opened(pocket, copies["DEMO-101 en"])
    expect(page.locator("#card-title")).to_have_text("Drink the bowel medicine")
    expect(page.locator("#card-next strong")).to_have_text("Take clear drinks as well")
    expect(page.locator("#card-call .phone")).to_have_text("01632 960 182")
    for name in ("focus", "online", "pageshow"):
        page.evaluate("name => window.dispatchEvent(new Event(name))", name)
    page.clock.fast_forward("30:00")  # an open plan looks for changes; a copy has nowhere to look
    expect(page.locator("#card-next strong")).to_have_text("Take clear drinks as well")
    assert page.evaluate("document.querySelector('img.qr').naturalWidth") > 0
    assert (
        page.evaluate("getComputedStyle(document.body).maxWidth") == "720px"
    )  # 36 rem of 20 px: the style holds
    pictures = [url for url in asked if url.startswith("data:")]
    assert [url for url in asked if url not in pictures] == [copies["DEMO-101 en"].as_uri()]
    assert complaints == []


def test_its_policy_lets_nothing_else_in(pocket: BrowserContext, copies: dict[str, Path]) -> None:
    page, _, complaints = opened(pocket, copies["DEMO-101 en"])
    page.evaluate("""() => {
      const script = document.createElement('script');
      script.textContent = 'window.intruder = true';
      document.body.appendChild(script);
      const picture = document.createElement('img');
      picture.src = 'http://127.0.0.1:9/x.png';
      document.body.appendChild(picture);
    }""")
    page.wait_for_timeout(200)
    assert page.evaluate("window.intruder") is None
    assert len(complaints) == 2
    assert all("Content Security Policy" in text for text in complaints)


def test_ticks_and_glasses_are_kept(pocket: BrowserContext, copies: dict[str, Path]) -> None:
    page, _, _ = opened(pocket, copies["DEMO-101 en"])
    page.get_by_role("button", name="I drank one glass").click()
    page.get_by_role("button", name="Done: Mix the bowel medicine").first.click()
    put_away(page)
    page, _, _ = opened(pocket, copies["DEMO-101 en"])
    expect(page.locator("#card-count")).to_have_text("1 glass drunk, of 4")
    expect(page.get_by_role("button", name="Done: Mix the bowel medicine").first).to_have_attribute(
        "aria-pressed", "true"
    )


def test_of_two_copies_neither_passes_for_the_later(
    pocket: BrowserContext, copies: dict[str, Path], tmp_path: Path
) -> None:
    """The older of two files may be opened last: it must not say that the plan has changed."""
    page, _, _ = opened(pocket, copies["DEMO-101 en"])
    put_away(page)
    page, _, _ = opened(pocket, copies["DEMO-101 en"], answering=False)
    expect(page.locator("#first")).to_be_hidden()
    put_away(page)
    code = copies["DEMO-101 en"].name.split("-")[1]
    other = tmp_path / "other.html"
    other.write_text(copies["DEMO-101 en"].read_text().replace(f'"code":"{code}"', '"code":"999"'))
    page, _, complaints = opened(pocket, other, answering=False)
    expect(page.locator("#first")).to_be_visible()
    assert page.locator("#change").count() == 0
    assert complaints == []


def test_it_says_that_it_is_a_copy_and_never_that_it_is_saved(
    pocket: BrowserContext, copies: dict[str, Path]
) -> None:
    page, _, _ = opened(pocket, copies["DEMO-101 en"])
    head = page.locator(".masthead")
    expect(head).to_contain_text("This copy cannot change when your appointment changes.")
    expect(head).to_contain_text("Until someone answers, keep to this copy, unless you heard of a change.")
    link = head.get_by_role("link", name="Open the plan itself").get_attribute("href") or ""
    assert link.startswith("http://localhost:8641/p/")
    assert link.endswith("/")
    for word in (
        "Saved on this phone",
        "Saving",
        "could not be saved",
        "Add the steps to your calendar",
        "Delete this plan",
    ):
        expect(page.locator("body")).not_to_contain_text(word)


def test_it_is_whole_in_arabic(pocket: BrowserContext, copies: dict[str, Path]) -> None:
    page, _, complaints = opened(pocket, copies["DEMO-103 ar"], "2026-03-18T18:20:00+00:00")
    assert page.locator("html").get_attribute("dir") == "rtl"
    expect(page.locator("#card-title")).to_have_text(in_arabic("A.step.drink"))
    expect(page.locator(".masthead")).to_contain_text(in_arabic("A.copy.fixed"))
    assert page.evaluate("document.documentElement.scrollWidth") == 360
    assert complaints == []


def test_it_reads_whole_without_script(browser: Browser, copies: dict[str, Path]) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.goto(copies["DEMO-101 en"].as_uri())
    expect(page.locator("#step-morning-dose .hour")).to_contain_text("05:30")
    expect(page.locator("#alarms li").first).to_contain_text("Mix the bowel medicine")
    expect(page.locator(".scriptless")).to_be_visible()
    expect(page.locator("#card")).to_be_hidden()
    expect(page.locator(".masthead")).to_contain_text("This copy cannot change")
    context.close()
