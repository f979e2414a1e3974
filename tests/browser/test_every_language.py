"""Every language there is, and three made-up ones, on a phone: nothing cut off, no number turned round."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from generator.page.phone_places import PLACES
from tests.browser.reading import answered
from tests.browser.served import PlansServer, free_port
from tests.browser.sources import sources
from tests.languages import EVERY, built_in_every_language
from tests.plans import Built
from tests.sampling import one_in

pytestmark = pytest.mark.browser

# Text that stands outside the window, inside a box that hides it, or on top of other text.
UNREADABLE = r"""() => {
  const width = document.documentElement.clientWidth, found = [], lines = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const box = node.parentElement;
    const aside = box.closest('script, .skip, .out-of-sight, .callbar');
    if (!node.data.trim() || aside || !box.getClientRects().length) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const rect of range.getClientRects()) {
      if (rect.width < 1) continue;
      if (rect.left < -1 || rect.right > width + 1) found.push('outside: ' + node.data.trim().slice(0, 40));
      for (let up = box; up !== document.body; up = up.parentElement) {
        const style = getComputedStyle(up), around = up.getBoundingClientRect();
        if (style.overflow !== 'visible' && (rect.right > around.right + 1 || rect.bottom > around.bottom + 1)) {
          found.push('cut off: ' + node.data.trim().slice(0, 40));
        }
      }
      // The middle half of a line's height: letters' own boxes may touch where lines stand close.
      const [top, bottom] = [rect.top + rect.height / 4, rect.bottom - rect.height / 4];
      lines.push({ top, bottom, left: rect.left, right: rect.right, text: node.data.trim() });
    }
  }
  lines.sort((one, other) => one.top - other.top);
  lines.forEach((one, index) => {
    for (let next = index + 1; next < lines.length && lines[next].top < one.bottom - 1; next += 1) {
      const other = lines[next];
      if (other.left < one.right - 1 && one.left < other.right - 1) {
        found.push('on top of each other: ' + one.text.slice(0, 30) + ' / ' + other.text.slice(0, 30));
      }
    }
  });
  return found;
}"""

# For each number or phone number that is isolated: its digits in the order in which the eye meets them.
NUMBERS = r"""() => Array.from(document.querySelectorAll('bdi[dir=ltr], bdi:not([dir])'), box => {
  const walker = document.createTreeWalker(box, NodeFilter.SHOW_TEXT), met = [];
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    Array.from(node.data).forEach((letter, place) => {
      if (!/\d/.test(letter)) return;
      const range = document.createRange();
      range.setStart(node, place);
      range.setEnd(node, place + 1);
      const rect = range.getBoundingClientRect();
      if (rect.width) met.push({ letter, left: rect.left, line: Math.round(rect.top) });
    });
  }
  const written = met.map(one => one.letter).join('');
  met.sort((one, other) => one.line - other.line || one.left - other.left);
  return [written, met.map(one => one.letter).join('')];
})"""


@pytest.fixture(scope="module")
def spoken(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Built]:
    """The plan in every language, served."""
    port, place = free_port(), tmp_path_factory.mktemp("spoken")
    with pytest.MonkeyPatch.context() as patch:
        plans = built_in_every_language(place, f"http://localhost:{port}/", patch)
    assert sorted(plans.links) == sorted(EVERY)
    with PlansServer(plans.data, port):
        yield plans


def _opened(
    pocket: BrowserContext, plans: Built, tag: str, moment: str = "2026-03-17T18:20:00+00:00"
) -> Page:
    page = pocket.new_page()
    page.clock.install(time=dt.datetime.fromisoformat(moment))
    page.goto(plans.links[tag])
    expect(page.locator("html")).to_have_attribute("lang", tag)
    answered(page)
    expect(page.locator("#card")).to_be_visible()
    return page


@pytest.mark.parametrize("tag", one_in(4, EVERY))
@pytest.mark.parametrize(("width", "letters"), [(320, ""), (360, "250%")])
def test_nothing_is_cut_off_or_covered(
    pocket: BrowserContext, spoken: Built, tag: str, width: int, letters: str
) -> None:
    """At the narrowest width, and with letters of twice the size (the page's own are 125 % of the browser's)."""
    page = _opened(pocket, spoken, tag)
    page.set_viewport_size({"width": width, "height": 640})
    page.evaluate("size => { document.documentElement.style.fontSize = size }", letters)
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(UNREADABLE) == []


@pytest.mark.parametrize("tag", one_in(3, EVERY))
def test_numbers_stand_in_the_order_in_which_they_are_read(
    pocket: BrowserContext, spoken: Built, tag: str
) -> None:
    """Times, volumes, codes and phone numbers, by the rectangles of their digits."""
    page = _opened(pocket, spoken, tag)
    found = page.evaluate(NUMBERS)
    assert sum(bool(written) for written, _ in found) > 15
    assert [written for written, seen in found if written != seen] == []
    for number in ("01632960145", "0930"):
        assert any(number in written for written, _ in found), number


@pytest.mark.parametrize("tag", one_in(3, EVERY))
def test_the_page_chooses_the_form_that_cldr_has(pocket: BrowserContext, spoken: Built, tag: str) -> None:
    """For 0 to 200, beside the browser's own table of plural rules (ICU, from CLDR)."""
    page = _opened(pocket, spoken, tag)
    formats = {"en-XA": "en", "en-XC": "en", "ar-XB": "ar"}.get(tag, tag)
    page.evaluate(sources("clock", "block"))
    chosen, categories = page.evaluate(
        """([formats, days]) => {
          const plan = daybefore.block.plan;
          const forms = plan.words[days].map((_, index) => String(index));
          const rules = new Intl.PluralRules(formats);
          const numbers = Array.from({ length: 201 }, (_, number) => number);
          return [numbers.map(number => Number(daybefore.clock.form(forms, number, plan.plural))),
                  numbers.map(number => rules.select(number))];
        }""",
        [formats, PLACES.index("leftDays")],
    )
    order = [name for name in ("zero", "one", "two", "few", "many", "other") if name in categories]
    assert [order[form] for form in chosen] == categories
    page.close()


def test_the_made_up_languages_are_what_they_are_for(pocket: BrowserContext, spoken: Built) -> None:
    """Longer words; from right to left; the ids."""
    length = {tag: len(_opened(pocket, spoken, tag).locator("main").inner_text()) for tag in ("en", "en-XA")}
    assert length["en-XA"] > 1.4 * length["en"]
    assert _opened(pocket, spoken, "ar-XB").locator("html").get_attribute("dir") == "rtl"
    assert re.search(
        r"\bA\.call\.emergency\.chest\b", _opened(pocket, spoken, "en-XC").locator("#call").inner_text()
    )
