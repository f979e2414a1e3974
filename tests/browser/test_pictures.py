"""The drawings as they are shown: told apart in one ink, without colour, by colour-blind eyes, by day and by night."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator
from itertools import combinations

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from tests.browser.reading import answered
from tests.browser.served import PlansServer
from tests.colours import SEEN_BY, Rgb, delta_e, lab_seen_by
from tests.plans import Built

pytestmark = pytest.mark.browser
PAIRS = (("seen", "hidden"), ("flecks", "bits"), ("pale", "brown"))
NAMES = [name for pair in PAIRS for name in pair]
INK = 60  # grey value, of 255: below it is ink. The darkest tint is 117 by day and 82 by night, the ink 34 and 24.
CELL = 10  # a drawing of 320 by 200 units is compared in cells of a 32nd of its width


@pytest.fixture
def served(given: tuple[Built, int]) -> Iterator[Built]:
    plans, port = given
    with PlansServer(plans.data, port):
        yield plans


def drawn(browser: Browser, link: str, scheme: str, width: int) -> dict[str, Image.Image]:
    """Each drawing as the page shows it, at a width in CSS pixels; one of those makes one pixel."""
    with browser.new_context(color_scheme=scheme, viewport={"width": 800, "height": 740}) as context:  # type: ignore[arg-type]
        page = context.new_page()
        page.goto(link)
        answered(page)
        # What is said above the drawings while the plan is being kept does not move them.
        page.evaluate(
            "Object.assign(document.querySelector('#now').style, { height: '900px', overflow: 'hidden' })"
        )
        page.evaluate(
            "width => document.querySelectorAll('#bowl img').forEach(one => { one.style.width = width + 'px'; })",
            width,
        )
        return {name: shot(page, name) for name in NAMES}


def shot(page: Page, name: str) -> Image.Image:
    drawing = page.locator(f'#bowl img[src$="/bowl-{name}.svg"]')
    drawing.scroll_into_view_if_needed()
    drawing.evaluate("image => image.decode()")
    page.evaluate("document.querySelector('.callbar').style.display = 'none'")
    # On whole pixels: between two of them a long edge is an area of a colour of its own.
    drawing.evaluate(
        "one => { const { x, y } = one.getBoundingClientRect();"
        " one.style.transform = `translate(${Math.round(x) - x}px, ${Math.round(y) - y}px)`; }"
    )
    return Image.open(io.BytesIO(drawing.screenshot())).convert("RGB")


def ink_in_cells(image: Image.Image) -> list[float]:
    """Share of ink in each cell, colour removed: 0 to 1."""
    inked = image.convert("L").point(lambda value: 255 if value < INK else 0)
    small = inked.resize((320 // CELL, 200 // CELL), Image.Resampling.BOX)
    return [value / 255 for value in small.tobytes()]


def unlike(one: Image.Image, other: Image.Image) -> tuple[float, int]:
    """How unlike in ink: the mean over cells that hold ink in either, and in how many it is 0.15 or more."""
    cells = list(zip(ink_in_cells(one), ink_in_cells(other), strict=True))
    held = [abs(a - b) for a, b in cells if max(a, b) > 0.02]
    return sum(held) / len(held), sum(difference >= 0.15 for difference in held)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [140, 320])
def test_each_pair_is_told_apart_in_one_ink(browser: Browser, served: Built, scheme: str, width: int) -> None:
    """Common practice, no source: a sixth of a cell more or less ink is seen; a pair differs so in 10 cells of 640,
    and any two drawings of different questions in 4, which is more than the lines of one drawing ever shift."""
    shown = drawn(browser, served.links["DEMO-101"], scheme, width)
    for one, other in combinations(NAMES, 2):
        mean, cells = unlike(shown[one], shown[other])
        assert cells >= (10 if (one, other) in PAIRS else 4), (one, other, mean, cells)
    assert unlike(shown["seen"], shown["seen"]) == (0, 0)


def is_level(one: Rgb, other: Rgb) -> bool:
    """Whether two are one colour but for rounding."""
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) <= 2


def flat_colours(image: Image.Image) -> list[Rgb]:
    """The colours that fill areas, at least one pixel in a hundred: ink, tint and card, not the edges between them.

    Dimming rounds up in one place and down in another: what is a level or two apart is one colour.
    """
    counted: Counter[Rgb] = Counter()
    for colour, count in Counter[Rgb](image.get_flattened_data()).most_common():  # type: ignore[arg-type]
        near = (known for known in counted if is_level(known, colour))
        counted[next(near, colour)] += count
    return [colour for colour, count in counted.items() if count > image.width * image.height / 100]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_neighbours_stay_apart_for_every_eye(browser: Browser, served: Built, scheme: str) -> None:
    """At least 8 by CIEDE2000, for everyone and for protan, deutan and tritan eyes (Machado et al. 2009)."""
    shown = drawn(browser, served.links["DEMO-101"], scheme, 320)
    colours = {name: flat_colours(image) for name, image in shown.items()}
    assert {name: len(found) for name, found in colours.items()} == {
        "seen": 2, "hidden": 2, "flecks": 2, "bits": 2, "pale": 3, "brown": 3,
    }  # fmt: skip
    tints = [
        [colour for colour in colours[name] if not any(is_level(colour, other) for other in colours["seen"])]
        for name in ("pale", "brown")
    ]
    near = [pair for found in colours.values() for pair in combinations(found, 2)]
    near.append((tints[0].pop(), tints[1].pop()))
    for eyes in SEEN_BY:
        least = min(delta_e(lab_seen_by(one, eyes), lab_seen_by(other, eyes)) for one, other in near)
        assert least >= 8, (scheme, eyes)


def test_no_drawing_is_mirrored_from_right_to_left(browser: Browser, served: Built) -> None:
    english = drawn(browser, served.links["DEMO-101"], "light", 320)["bits"]
    arabic = drawn(browser, served.links["DEMO-103"], "light", 320)["bits"]
    assert unlike(english, arabic)[1] < 4
    assert unlike(english, arabic.transpose(Image.Transpose.FLIP_LEFT_RIGHT))[1] > 10


# Of the trade's list of drawings: what runs in reading direction as a whole, and what is never mirrored. Those with a
# clock face or frames in them turn too, but not these parts: tests/test_drawings.py.
TURNED = ("bag-",)
UPRIGHT = ("read-through.", "jug-glass.", "way.", "table.", "clean.")


def plan_drawings(browser: Browser, link: str, scheme: str = "light") -> dict[str, Image.Image]:
    """The drawings of a plan but those of the bowl, 320 px wide, by the beginning of their file names."""
    with browser.new_context(color_scheme=scheme, viewport={"width": 800, "height": 740}) as context:  # type: ignore[arg-type]
        page = context.new_page()
        page.goto(link)
        page.evaluate("document.querySelector('.callbar').style.display = 'none'")
        shown = {}
        for name in (*TURNED, *UPRIGHT):
            drawing = page.locator(f'img.drawing[src*="/pictures/{name}"]')
            drawing.scroll_into_view_if_needed()
            drawing.evaluate("image => image.decode()")
            shown[name] = Image.open(io.BytesIO(drawing.screenshot())).convert("RGB").resize((320, 200))
        return shown


def test_only_what_runs_in_reading_direction_is_mirrored(browser: Browser, served: Built) -> None:
    english = plan_drawings(browser, served.links["DEMO-101"])
    arabic = plan_drawings(browser, served.links["DEMO-103"])
    for name in (*TURNED, *UPRIGHT):
        turned = arabic[name].transpose(Image.Transpose.FLIP_LEFT_RIGHT)
        same, other = (turned, arabic[name]) if name in TURNED else (arabic[name], turned)
        assert unlike(english[name], same)[1] < 4, name
        assert unlike(english[name], other)[1] > 10, name


def test_at_night_their_card_is_dimmed_and_their_ink_is_seen(browser: Browser, served: Built) -> None:
    """White at 0.7 is 178 or 179 of 255; ink of 34 on it is seen by more than 7:1, as all else on the page."""
    for name, image in plan_drawings(browser, served.links["DEMO-101"], "dark").items():
        shades = Counter(image.convert("L").tobytes())
        assert shades.most_common(1)[0][0] in (178, 179), name
        assert min(shade for shade, count in shades.items() if count > 30) < 40, name
