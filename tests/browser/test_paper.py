"""A plan on paper, as Chromium prints it: read back from the PDF, measured in millimetres."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import pypdfium2  # type: ignore[import-untyped]
import pytest
import zxingcpp
from playwright.sync_api import Browser, Page

from tests.browser.served import PlansServer
from tests.plans import Built

pytestmark = pytest.mark.browser
DPI = 200
MM = 25.4 / DPI
SHEETS = ["A4", pytest.param("Letter", marks=pytest.mark.long)]
ENGLISH, ARABIC = "DEMO-101", "DEMO-103"
# The width of the sheet less both margins, in CSS pixels: A4 is 210 mm wide, Letter 8.5 inches.
WIDTHS = {"A4": (210 - 26) / 25.4 * 96, "Letter": (215.9 - 26) / 25.4 * 96}


@dataclass(frozen=True)
class Print:
    """What came out of the printer: the text of each page as it stands, and the first page as a picture."""

    pages: tuple[str, ...]
    first: Any


@pytest.fixture(scope="module")
def server(given: tuple[Built, int]) -> Iterator[Built]:
    """The demonstration's plans, served."""
    plans, port = given
    with PlansServer(plans.data, port):
        yield plans


@pytest.fixture(scope="module")
def opened(browser: Browser, server: Built) -> Iterator[dict[str, Page]]:
    """Both plans, opened while a dose is due: what is on the screen alone must not be printed."""
    context = browser.new_context(timezone_id="Europe/London")
    pages = {}
    for ref, day in ((ENGLISH, 17), (ARABIC, 18)):
        pages[ref] = context.new_page()
        pages[ref].clock.install(time=dt.datetime(2026, 3, day, 18, 20, tzinfo=dt.UTC))
        pages[ref].goto(server.links[ref])
    yield pages
    context.close()


def printed(page: Page, sheet: str) -> Print:
    document = pypdfium2.PdfDocument(page.pdf(format=sheet))
    texts = tuple(one_line(sheet.get_textpage().get_text_range()) for sheet in document)
    return Print(texts, document[0].render(scale=DPI / 72).to_pil())


@contextmanager
def on_paper(page: Page) -> Iterator[None]:
    """The page as laid out for paper; afterwards it is a screen's again and prints as ever."""
    page.emulate_media(media="print")
    yield
    page.emulate_media(media="null")


def one_line(text: str) -> str:
    return " ".join(re.sub("[\u2066-\u2069\ufffe]", "", text).split())


def texts_of(page: Page, selector: str) -> list[str]:
    """What each element holds but for buttons, without spaces: those between lines are not in the text of a PDF."""
    texts = page.locator(selector).evaluate_all(
        """all => all.map(one => {
          const copy = one.cloneNode(true);
          for (const button of copy.querySelectorAll('button, .see')) button.remove();
          return copy.textContent;
        })"""
    )
    return [bare(text) for text in texts]


def bare(text: str) -> str:
    return re.sub(r"\s", "", one_line(text))


@pytest.mark.parametrize("sheet", ["A4", "Letter"])
@pytest.mark.parametrize("ref", [ENGLISH, ARABIC])
def test_the_code_on_the_first_sheet_is_large_and_opens_the_plan(
    opened: dict[str, Page], server: Built, ref: str, sheet: str
) -> None:
    """0.8 mm for a module, 33 modules: ISO/IEC 18004 and the field's figures; measured on the sheet itself."""
    out = printed(opened[ref], sheet)
    [code] = zxingcpp.read_barcodes(out.first)
    assert code.text == server.links[ref]
    corners = code.position
    assert (corners.top_right.x - corners.top_left.x) * MM >= 33
    assert (corners.bottom_left.y - corners.top_left.y) * MM >= 33


@pytest.mark.parametrize("ref", [ENGLISH, ARABIC])
def test_the_first_sheet_has_in_order_what_is_needed_first(opened: dict[str, Page], ref: str) -> None:
    page = opened[ref]
    places = [".stop", ".ring", ".scan .qr", ".scan .link", "#paper .lines", "#steps h2", "#food h2"]
    with on_paper(page):
        tops = [page.locator(place).first.bounding_box() for place in places]
    assert all(tops)
    heights = [top["y"] for top in tops if top]
    assert heights == sorted(heights)


@pytest.mark.parametrize("sheet", SHEETS)
def test_number_code_and_day_of_making_are_on_the_first_sheet(
    opened: dict[str, Page], server: Built, sheet: str
) -> None:
    """Made on Monday 16 March 2026, tests/command.py; the ward answers day and night, demo/unit/unit.toml."""
    page = opened[ENGLISH]
    first = printed(page, sheet).pages[0]
    code = page.locator(".masthead .code").inner_text()
    said = ["Before you start", "Call the unit 01632 960 182", code, "Made on Monday 16 March."]
    for line in (*said, "Be at the unit on Wednesday 18 March at 09:00", "Day and night"):
        assert line in first
    assert first.index(said[0]) < first.index(said[1]) < first.index(said[3])
    token = server.token(ENGLISH)
    assert " ".join(token[at : at + 4] for at in range(0, 26, 4)) in first
    arabic = printed(opened[ARABIC], sheet).pages[0]
    for number in (
        re.sub(r"\D", "", opened[ARABIC].locator(".masthead .code").inner_text()),
        "01632 960 182",
    ):
        assert number in arabic


@pytest.mark.parametrize("sheet", SHEETS)
def test_nothing_is_cut_across_pages(opened: dict[str, Page], sheet: str) -> None:
    """Each step, each sign, each food and each answer stands whole on one page."""
    page = opened[ENGLISH]
    pages = [bare(text) for text in printed(page, sheet).pages]
    for selector in (".steps li", "#call .signs li", ".foods > div", "#questions details"):
        texts = texts_of(page, selector)
        assert len(texts) > 15
        for text in texts:
            assert any(text in one for one in pages), text


@pytest.mark.parametrize("sheet", ["A4", "Letter"])
@pytest.mark.parametrize("ref", [ENGLISH, ARABIC])
def test_nothing_is_wider_than_the_sheet(opened: dict[str, Page], ref: str, sheet: str) -> None:
    page = opened[ref]
    page.set_viewport_size({"width": int(WIDTHS[sheet]), "height": 1000})
    with on_paper(page):
        assert page.evaluate("document.documentElement.scrollWidth") <= WIDTHS[sheet]


def test_a_plan_is_a_leaflet_and_no_book(opened: dict[str, Page]) -> None:
    """Common practice, no source: six leaves, printed on both sides; it was sixteen pages."""
    assert len(printed(opened[ENGLISH], "A4").pages) <= 12
    assert len(printed(opened[ARABIC], "A4").pages) <= 14


def test_what_only_a_screen_can_do_is_not_printed(opened: dict[str, Page]) -> None:
    page = opened[ENGLISH]
    whole = " ".join(printed(page, "A4").pages)
    for words in (
        "I drank one glass",
        "Is this your appointment?",
        "Show the numbers",
        "A+",
        "Copy the link",
    ):
        assert words not in whole
    for question in page.locator("#questions summary").all_text_contents():
        assert bare(question) in bare(whole)


def test_a_page_in_the_place_of_a_plan_is_printed_too(browser: Browser, site: Any) -> None:
    site.hold("DEMO-101")
    with site.serving():
        page = browser.new_page()
        page.goto(site.links["DEMO-101"])
        [*pages] = printed(page, "A4").pages
        page.close()
    assert "Do not follow the old times. Call the unit." in pages[0]
    assert len(pages) <= 2
