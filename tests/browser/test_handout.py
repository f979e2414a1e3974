"""Sheets as they come out of a printer: how many pages, what stands where, and what a camera reads off the paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]  # the package has no types
import pytest
import zxingcpp
from playwright.sync_api import Page

from tests.browser.test_every_language import NUMBERS, UNREADABLE
from tests.command import DEMO_NOW, run
from tests.languages import EVERY, built_in_every_language
from tests.plans import Built

pytestmark = pytest.mark.browser
WORDS = [pytest.param(tag, marks=pytest.mark.words_of(tag)) for tag in ("en", "es", "ar", "bn", "ur")]
DOTS = 300 / 25.4  # of the picture, to the millimetre
BASE = "https://plans.example.org/"


class Print:
    """Sheets of plans in every language, as HTML and as a printer gets them."""

    def __init__(self, plans: Built, folder: Path) -> None:
        self.plans, self.folder = plans, folder

    def html(self, *refs: str) -> Path:
        path = self.folder / f"{'+'.join(refs)}.html"
        chosen = [word for ref in refs for word in ("--ref", ref)]
        words = (
            "--unit",
            self.folder / "unit",
            "--out",
            self.plans.data,
            "--now",
            DEMO_NOW,
            "--base-url",
            BASE,
        )
        outcome = run("handout", *chosen, "--to", path, *words)
        assert outcome.exit_code == 0, outcome.output
        return path

    def pdf(self, page: Page, *refs: str) -> pypdfium2.PdfDocument:
        page.goto(f"file://{self.html(*refs)}")
        return pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True))


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Print]:
    folder = tmp_path_factory.mktemp("printed")
    with pytest.MonkeyPatch.context() as patch:
        yield Print(built_in_every_language(folder, BASE, patch), folder)


def text_of(page: pypdfium2.PdfPage) -> str:
    return " ".join(page.get_textpage().get_text_range().split())


@pytest.mark.parametrize("tag", WORDS)
def test_a_sheet_is_one_page_of_a4_and_its_code_is_read_off_the_paper(
    printed: Print, page: Page, tag: str
) -> None:
    """33 mm for the code without its border, and 0.8 mm for a module: the smallest for an old phone held by hand,
    common practice in the trade, no standard."""
    sheets = printed.pdf(page, tag)
    assert len(sheets) == 1
    assert [round(length / 72 * 25.4) for length in sheets[0].get_size()] == [210, 297]
    picture = sheets[0].render(scale=300 / 72).to_pil()
    [code] = zxingcpp.read_barcodes(picture)
    assert code.text == printed.plans.links[tag]
    corners = code.position
    width = (corners.top_right.x - corners.top_left.x) / DOTS
    height = (corners.bottom_left.y - corners.top_left.y) / DOTS
    assert min(width, height) >= 33
    assert (
        12 * DOTS <= corners.top_left.x <= (210 - 12) * DOTS - width * DOTS
    )  # clear of what printers cut off


def test_sheets_come_out_in_the_order_asked_for_a_page_each(printed: Print, page: Page) -> None:
    refs = ("ar", "en", "es")
    sheets = printed.pdf(page, *refs)
    for ref, sheet in zip(refs, sheets, strict=True):
        assert f"Reference {ref}" in text_of(sheet)


def test_should_a_sheet_need_two_pages_both_bear_its_reference(printed: Print, page: Page) -> None:
    """The made-up language is longer than 95 of 100 translations."""
    sheets = printed.pdf(page, "en-XA", "en")
    texts = [text_of(sheet) for sheet in sheets]
    assert len(texts) == 3
    assert all(re.search(r"Reference en-XA · Plan code \d{3}", text) for text in texts[:2])
    assert "Reference en ·" in texts[2]


@pytest.mark.parametrize("tag", EVERY)
def test_nothing_is_cut_off_or_turned_round(printed: Print, page: Page, tag: str) -> None:
    page.set_viewport_size({"width": 794, "height": 1123})  # A4 at 96 pixels to the inch
    page.emulate_media(media="print")
    page.goto(f"file://{printed.html(tag)}")
    assert page.evaluate(UNREADABLE) == []
    for written, seen in page.evaluate(NUMBERS):
        assert seen == written


@pytest.mark.parametrize(("tag", "own_first"), [("es", True), ("ar", False)])
def test_english_stands_beside_the_patients_language(
    printed: Print, page: Page, tag: str, own_first: bool
) -> None:
    page.set_viewport_size({"width": 794, "height": 1123})
    page.goto(f"file://{printed.html(tag)}")
    own = page.locator(".when .own").bounding_box()
    staff = page.locator(".when .staff").bounding_box()
    assert own
    assert staff
    assert (own["x"] < staff["x"]) is own_first
    assert own["y"] == pytest.approx(staff["y"], abs=1)
    assert "Be at the unit on" in page.locator(".when .staff").inner_text()
    assert page.locator(".when .staff").get_attribute("lang") == "en"
