"""Every state of the list in tests/browser/states.py, for every pair of eyes, and by keyboard alone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.axe import barriers
from tests.browser.served import PlansServer, free_port
from tests.browser.states import NAMED, STATES, Pages, State, made, opened_all, shown
from tests.sampling import one_in

pytestmark = pytest.mark.browser
NAMES = [state.name for state in STATES]
TAGS = ("ar", "ar-XB", "en", "en-XA")
CONTROLS = "a:visible:not(.skip), button:visible, summary:visible, input:visible"

# Contrast is axe's; these are the eyes it does not have.
EYES: dict[str, dict[str, Any]] = {
    "dark": {"color_scheme": "dark"},
    "forced colours": {"forced_colors": "active"},
    "more contrast": {"contrast": "more"},
    "reduced motion": {"reduced_motion": "reduce"},
}

# What moves by itself, longer than a blink.
MOVING = (
    """() => document.getAnimations().filter(one => one.effect.getComputedTiming().duration > 10).length"""
)

# Drawn lines and filled shapes that are lost on the ground in forced colours, where the ground is `Canvas`.
LOST = """() => {
  const probe = document.createElement('p');
  probe.style.backgroundColor = 'Canvas';
  document.body.appendChild(probe);
  const ground = getComputedStyle(probe).backgroundColor;
  probe.remove();
  return Array.from(document.querySelectorAll('main svg:not(.out-of-sight) *')).filter(one => {
    if (!one.getClientRects().length || one.closest('defs')) return false;
    const style = getComputedStyle(one), none = ['none', 'rgba(0, 0, 0, 0)', ground];
    return 'd' in one.style && none.includes(style.stroke) && none.includes(style.fill);
  }).length;
}"""


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Pages]:
    """Every booking in two languages and two made-up ones, served."""
    port, place = free_port(), tmp_path_factory.mktemp("states")
    with pytest.MonkeyPatch.context() as patch:
        made_pages = made(place, f"http://localhost:{port}/", TAGS, patch)
    with PlansServer(made_pages.data, port):
        yield made_pages


# Controls that are less high than 48 CSS px (house rule, for shaking hands), with their height.
SMALL = """part => Array.from(document.querySelector(part).querySelectorAll('a:not(.skip), button, summary, input'))
  .map(one => [one.textContent.trim().slice(0, 40), one.getBoundingClientRect().height])
  .filter(([, height]) => height > 0 && height < 47.9)"""


def sideways(page: Page) -> dict[str, int]:
    """How far the page is wider than its window: at 320 px, and at 360 px with letters of twice the size."""
    found = {}
    for width, letters in ((320, ""), (360, "250%")):  # the page's own letters are 125 % of the browser's
        page.set_viewport_size({"width": width, "height": 640})
        page.evaluate("size => { document.documentElement.style.fontSize = size }", letters)
        found[f"{width} {letters}"] = page.evaluate("document.documentElement.scrollWidth") - width
    page.evaluate("document.documentElement.style.fontSize = ''")
    return {name: over for name, over in found.items() if over > 0}


@pytest.mark.parametrize("name", one_in(6, NAMES))
def test_no_barrier_in_english(browser: Browser, pages: Pages, name: str) -> None:
    """In the part of the page that this state changes."""
    state = NAMED[name]
    with shown(browser, pages, state, "en") as page:
        assert barriers(page, state.part) == []
        assert page.evaluate(SMALL, state.part) == []
        assert sideways(page) == {}


@pytest.mark.parametrize("name", one_in(28, NAMES))
def test_no_barrier_on_the_whole_page(browser: Browser, pages: Pages, name: str) -> None:
    with shown(browser, pages, NAMED[name], "en") as page:
        opened_all(page)
        assert barriers(page) == []
        assert page.evaluate(SMALL, "body") == []


@pytest.mark.parametrize("name", one_in(11, NAMES))
def test_no_barrier_in_arabic_at_night(browser: Browser, pages: Pages, name: str) -> None:
    with shown(browser, pages, NAMED[name], "ar", color_scheme="dark") as page:
        assert page.evaluate("document.documentElement.dir") == "rtl"
        assert barriers(page, NAMED[name].part) == []
        assert sideways(page) == {}


@pytest.mark.parametrize("name", one_in(28, NAMES))
@pytest.mark.parametrize("tag", ["ar-XB", "en-XA"])
def test_nothing_is_wider_than_the_window_in_made_up_languages(
    browser: Browser, pages: Pages, tag: str, name: str
) -> None:
    """Words a third longer, and words that run from the right."""
    with shown(browser, pages, NAMED[name], tag) as page:
        opened_all(page)
        assert sideways(page) == {}


@pytest.mark.parametrize("name", one_in(28, NAMES))
@pytest.mark.parametrize("eyes", EYES)
def test_other_eyes(browser: Browser, pages: Pages, eyes: str, name: str) -> None:
    with shown(browser, pages, NAMED[name], "en", **EYES[eyes]) as page:
        if eyes == "forced colours":
            assert page.evaluate("matchMedia('(forced-colors: active)').matches")
            assert page.evaluate(LOST) == 0
        else:
            assert barriers(page, NAMED[name].part) == []
        if eyes == "reduced motion":
            assert page.evaluate(MOVING) == 0


@pytest.mark.parametrize("name", one_in(28, NAMES))
@pytest.mark.parametrize("tag", ["en", "ar"])
def test_each_control_is_reached_by_key_and_shows_it(
    browser: Browser, pages: Pages, tag: str, name: str
) -> None:
    """From the top by Tab alone to the number at the bottom; each focus has an outline."""
    with shown(browser, pages, NAMED[name], tag) as page:
        page.evaluate("window.scrollTo(0, 0); document.activeElement.blur()")
        page.evaluate(
            "document.body.tabIndex = -1; document.body.focus(); document.body.removeAttribute('tabindex')"
        )
        count, met = page.locator(CONTROLS).count(), 0
        for _ in range(count + 2):
            page.keyboard.press("Tab")
            outline, last = page.evaluate(
                "[getComputedStyle(document.activeElement).outlineStyle, document.activeElement.id]"
            )
            assert outline == "solid", page.evaluate("document.activeElement.outerHTML.slice(0, 100)")
            met += 1
            if last == "bar-phone":
                break
        assert last == "bar-phone"
        assert met >= count


def test_the_list_has_every_kind_of_page() -> None:
    """At least those that the page can be in: kinds of now, saved states, change, notices, parts (common practice)."""
    assert len(STATES) == len(NAMED)
    kinds = {name.split("-")[0] for name in NAMED}
    assert kinds >= {
        "first",
        "before",
        "now",
        "clock",
        "pace",
        "jug",
        "look",
        "saved",
        "cannot",
        "gone",
        "copy",
    }
    assert kinds >= {
        "no",
        "change",
        "moved",
        "wipe",
        "held",
        "cancelled",
        "ended",
        "farewell",
        "part",
        "food",
    }
    assert {state.booking for state in STATES} >= {"split", "pico", "moved", "held", "cancelled", "ended"}
    assert all(isinstance(state, State) for state in STATES)
