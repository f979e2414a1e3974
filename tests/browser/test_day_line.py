"""The mark for now on the line of a day, moved by the phone: places worked out by hand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.reading import answered
from tests.browser.served import PlansServer, free_port
from tests.command import DEMO_UNIT, run_json
from tests.languages import HEADING

pytestmark = pytest.mark.browser
LIST = (
    "SPRING,18/03/2026,09:30,09:00,COLON,PEGASC2,en,20,\n"
    "SPRING-AR,18/03/2026,09:30,09:00,COLON,PEGASC2,ar,20,\n"
    "AUTUMN,26/10/2026,09:30,09:00,COLON,PEGASC2,en,20,\n"
)


@pytest.fixture(scope="module")
def links(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    """Three plans, served; in one the clocks go back on the day before."""
    place, port = tmp_path_factory.mktemp("lines"), free_port()
    (place / "list.csv").write_text(HEADING + LIST, "utf-8")
    words = ("--unit", DEMO_UNIT, "--out", place / "out", "--now", "2026-03-10T08:00")
    said = run_json("build", place / "list.csv", *words, "--base-url", f"http://localhost:{port}/")
    with PlansServer(Path(place / "out"), port):
        yield {row["ref"]: row["link"] for row in said["files"][0]["rows"]}


def opened(pocket: BrowserContext, link: str, clock: str) -> Page:
    page = pocket.new_page()
    page.clock.install(time=dt.datetime.fromisoformat(clock))
    page.goto(link)
    return answered(page)


@pytest.mark.parametrize(
    ("ref", "clock", "mark"),
    [
        ("SPRING", "2026-03-17T18:20:00+00:00", "M244 0V9"),  # 320 * 1100 / 1440 = 244.4
        ("SPRING-AR", "2026-03-17T18:20:00+00:00", "M76 0V9"),  # 320 - 244.4
        ("AUTUMN", "2026-10-25T18:20:00+00:00", "M247 0V9"),  # 19 h 20 min of 25 h: 320 * 1160 / 1500
    ],
)
def test_now_stands_on_the_card_and_on_its_day_alone(
    pocket: BrowserContext, links: dict[str, str], ref: str, clock: str, mark: str
) -> None:
    page = opened(pocket, links[ref], clock)
    expect(page.locator("#card-line")).to_be_visible()
    expect(page.locator("#card-line .hand")).to_have_attribute("d", mark)
    marks = page.locator("#steps .hand").evaluate_all("all => all.map(one => one.getAttribute('d'))")
    assert [one for one in marks if one] == [mark]
    assert len(marks) == 3
    page.clock.fast_forward("30:00")  # 6.7 units, in autumn 6.4
    moved = {"M244 0V9": "M251 0V9", "M76 0V9": "M69 0V9", "M247 0V9": "M254 0V9"}[mark]
    expect(page.locator("#card-line .hand")).to_have_attribute("d", moved)


def test_words_beside_it_say_what_the_marks_are(pocket: BrowserContext, links: dict[str, str]) -> None:
    page = opened(pocket, links["SPRING"], "2026-03-17T18:20:00+00:00")
    told = "Long marks: your steps. Stripes: night. Heavy mark: now."
    expect(page.locator("#card-line p")).to_have_text(told)
    expect(page.locator("#steps .day p")).to_have_count(1)


@pytest.mark.parametrize("clock", ["2026-03-15T10:00:00+00:00", "2026-03-08T10:00:00+00:00"])
def test_a_day_without_steps_or_a_doubted_clock_has_no_now(
    pocket: BrowserContext, links: dict[str, str], clock: str
) -> None:
    """The plan was made on 10 March; its steps begin on the 16th."""
    page = opened(pocket, links["SPRING"], clock)
    expect(page.locator("#steps .day-line").first).to_be_visible()
    expect(page.locator("#card-line")).to_be_hidden()
    marks = page.locator("#steps .hand").evaluate_all("all => all.map(one => one.getAttribute('d') || '')")
    assert set(marks) == {""}
