"""The patient's page in a real browser: what is now, ticks, no script, offline, no barrier."""

from __future__ import annotations

import datetime as dt
import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image, ImageStat
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from generator.materials.shipped import locales_folder
from tests.browser.reading import answered, laid_out, put_away
from tests.browser.served import PlansServer, free_port
from tests.plans import Built, built, copy_of_demo_unit

pytestmark = pytest.mark.browser


# The left edges of the first and the fourth digit of an element's text.
LEFT_EDGES = r"""selector => {
  const node = document.createTreeWalker(document.querySelector(selector), NodeFilter.SHOW_TEXT).nextNode();
  const places = Array.from(node.data, (letter, place) => /\d/.test(letter) ? place : -1).filter(p => p >= 0);
  return [places[0], places[3]].map(place => {
    const range = document.createRange();
    range.setStart(node, place);
    range.setEnd(node, place + 1);
    return range.getBoundingClientRect().left;
  });
}"""


# The left edge of a word in an element.
EDGE_OF = """([selector, word]) => {
  const walker = document.createTreeWalker(document.querySelector(selector), NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const place = node.data.indexOf(word);
    if (place === -1) continue;
    const range = document.createRange();
    range.setStart(node, place);
    range.setEnd(node, place + 1);
    return range.getBoundingClientRect().left;
  }
}"""


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Built, PlansServer, int]]:
    """The demonstration's plans on a server that a test may kill."""
    port = free_port()
    plans = built(tmp_path_factory.mktemp("plans"), base_url=f"http://localhost:{port}/")
    with PlansServer(plans.data, port) as server:
        yield plans, server, port


def opened(pocket: BrowserContext, link: str, clock: str) -> Page:
    """The page as it is at a moment."""
    page = pocket.new_page()
    page.clock.install(time=dt.datetime.fromisoformat(clock))
    page.goto(link)
    return answered(page)


def in_arabic(message_id: str) -> str:
    """The Arabic of a message, looked up in the translator's file by hand."""
    text = (locales_folder() / "ar.po").read_text("utf-8")
    found = re.search(rf'msgctxt "{re.escape(message_id)}"\nmsgid ".*"\nmsgstr "(.*)"', text)
    assert found is not None
    return found[1]


# Procedure on Wednesday 18 March 2026 at 09:30. The protocol's rows: low-fibre food from 07:00 on Tuesday; first dose
# between 18:00 and 19:30 on Tuesday; last dose 4 to 5 h before, that is 04:30 to 05:30, kindest 05:30; mixed 15 minutes
# before; nothing more from 07:30.
ENGLISH = [
    (
        "2026-03-16T10:00+00:00",
        "Have your bowel medicine at home",
        "Eat low-fibre food only",
        "on Tuesday, 07:00",
    ),
    ("2026-03-17T18:20+00:00", "Drink the bowel medicine", "Take clear drinks as well", "on Tuesday, 19:00"),
    (
        "2026-03-18T02:00+00:00",
        "Take clear drinks only",
        "Mix the bowel medicine",
        "in the night from Tuesday to Wednesday, 05:15",
    ),
    (
        "2026-03-18T05:45+00:00",
        "Drink the bowel medicine",
        "Take clear drinks as well",
        "on Wednesday, 06:30",
    ),
    ("2026-03-18T14:00+00:00", "Watch for warning signs", None, None),
]


@pytest.mark.parametrize(("clock", "now", "following", "when"), ENGLISH)
def test_now_names_the_right_step(
    pocket: BrowserContext,
    served: tuple[Built, PlansServer, int],
    clock: str,
    now: str,
    following: str | None,
    when: str | None,
) -> None:
    page = opened(pocket, served[0].links["DEMO-101"], clock)
    expect(page.locator("#card-title")).to_have_text(now)
    if following is None:
        expect(page.locator("#card-next")).to_be_hidden()
    else:
        expect(page.locator("#card-next strong")).to_have_text(following)
        shown = without_marks(page.locator("#card-next bdi").first.inner_text())
        assert shown == when
    expect(page.locator("li[aria-current=step] h4")).to_have_text(now)
    # One number to call: the nurses by day, the ward at other hours.
    line = "01632 960 145" if clock.startswith(("2026-03-16T10", "2026-03-18T14")) else "01632 960 182"
    expect(page.locator("#card-call .phone")).to_have_text(line)
    expect(page.locator("#bar-phone")).to_have_text(line)


# Procedure on Thursday 19 March 2026 at 10:15: last dose 05:15 to 06:15, kindest 06:00.
ARABIC = [
    ("2026-03-17T10:00+00:00", "B.step.collect"),
    ("2026-03-18T18:20+00:00", "A.step.drink"),
    ("2026-03-19T02:00+00:00", "A.step.clear-drinks"),
    ("2026-03-19T06:20+00:00", "A.step.drink"),
    ("2026-03-19T14:00+00:00", "A.step.watch"),
]


@pytest.mark.parametrize(("clock", "message_id"), ARABIC)
def test_now_names_the_right_step_in_arabic(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int], clock: str, message_id: str
) -> None:
    page = opened(pocket, served[0].links["DEMO-103"], clock)
    assert page.locator("html").get_attribute("dir") == "rtl"
    expect(page.locator("#card-title")).to_have_text(in_arabic(message_id))


def test_the_time_left_is_in_whole_minutes(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int]
) -> None:
    page = opened(pocket, served[0].links["DEMO-101"], "2026-03-17T18:20:30+00:00")
    expect(page.locator("#card-next")).to_contain_text("in 40 min")
    page.clock.fast_forward("05:00")
    expect(page.locator("#card-next")).to_contain_text("in 35 min")


@pytest.mark.parametrize(
    "waking",
    [
        "document.dispatchEvent(new Event('visibilitychange'))",
        "window.dispatchEvent(new Event('focus'))",
        "window.dispatchEvent(new Event('pageshow'))",
    ],
)
def test_a_page_that_slept_shows_the_present_step_when_it_wakes(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int], waking: str
) -> None:
    """No timer runs while a phone sleeps."""
    page = opened(pocket, served[0].links["DEMO-101"], "2026-03-17T18:20:30+00:00")
    expect(page.locator("#card-title")).to_have_text("Drink the bowel medicine")
    page.clock.set_system_time(dt.datetime.fromisoformat("2026-03-18T02:00:00+00:00"))
    page.evaluate(waking)
    assert page.locator("#card-title").inner_text() == "Take clear drinks only"


def test_drawing_anew_takes_nothing_from_under_a_finger_or_a_reading_voice(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int]
) -> None:
    """The page is drawn each quarter of a minute: the number in use and the lines being read stay the same nodes."""
    page = opened(pocket, served[0].links["DEMO-101"], "2026-03-17T18:20:00+00:00")
    expect(page.locator('#saved[data-state="saved"]')).to_be_visible()
    page.locator("#card-call .phone").focus()
    page.evaluate("window.line = document.querySelector('#card-lines p')")
    page.clock.fast_forward("05:00")
    expect(page.locator("#card-next")).to_contain_text("in 35 min")
    assert page.evaluate("document.activeElement.className") == "phone"
    assert page.evaluate("window.line.isConnected")
    page.get_by_role("button", name="The jug is empty").click()
    expect(page.locator("#card-lines")).to_have_text("You have done this.")


def test_glasses_and_ticks_survive_closing_the_browser_window(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int]
) -> None:
    link, clock = served[0].links["DEMO-101"], "2026-03-17T18:20:00+00:00"
    page = opened(pocket, link, clock)
    page.get_by_role("button", name="I drank one glass").click()
    page.get_by_role("button", name="I drank one glass").click()
    expect(page.locator("#card-count")).to_have_text("2 glasses drunk, of 4")
    page.get_by_role("button", name="Take one back").click()
    expect(page.locator("#card-count")).to_have_text("1 glass drunk, of 4")
    page.get_by_role("button", name="Done: Mix the bowel medicine").first.click()
    put_away(page)
    page = opened(pocket, link, clock)
    expect(page.locator("#card-count")).to_have_text("1 glass drunk, of 4")
    expect(page.get_by_role("button", name="Done: Mix the bowel medicine").first).to_have_attribute(
        "aria-pressed", "true"
    )
    for _ in range(3):
        page.get_by_role("button", name="I drank one glass").click()
    expect(page.locator("#card-count")).to_have_text("4 glasses drunk, of 4")
    expect(page.get_by_role("button", name="I drank one glass")).to_be_hidden()


def test_two_plans_on_one_phone_keep_their_own_ticks(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int]
) -> None:
    page = opened(pocket, served[0].links["DEMO-101"], "2026-03-17T18:20:00+00:00")
    page.get_by_role("button", name="Done: Mix the bowel medicine").first.click()
    other = opened(pocket, served[0].links["DEMO-104"], "2026-03-17T18:20:00+00:00")
    expect(other.get_by_role("button", name="Done: Mix the bowel medicine").first).to_have_attribute(
        "aria-pressed", "false"
    )


@pytest.mark.parametrize(
    ("zone", "clock"),
    [("Asia/Tokyo", "2026-03-17T18:20:00+00:00"), ("Europe/London", "2026-03-10T18:20:00+00:00")],
)
def test_a_doubtful_clock_or_zone_has_no_now(
    browser: Browser, served: tuple[Built, PlansServer, int], zone: str, clock: str
) -> None:
    context = browser.new_context(timezone_id=zone)
    page = opened(context, served[0].links["DEMO-101"], clock)
    expect(page.locator("#doubt")).to_be_visible()
    expect(page.locator("#card")).to_be_hidden()
    assert page.locator("li[aria-current]").count() == 0
    expect(page.locator("#step-morning-dose .hour")).to_contain_text("05:30")
    context.close()


def test_the_same_plan_open_twice_loses_no_glass(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int]
) -> None:
    """In a tab and under its icon: what is counted in one is there when the other writes."""
    link, clock = served[0].links["DEMO-101"], "2026-03-17T18:20:00+00:00"
    one, two = opened(pocket, link, clock), opened(pocket, link, clock)
    for _ in range(3):
        two.get_by_role("button", name="I drank one glass").click()
    one.get_by_role("button", name="Done: Mix the bowel medicine").first.click()
    expect(one.locator("#card-count")).to_have_text("3 glasses drunk, of 4")
    one.close()
    two.close()
    expect(opened(pocket, link, clock).locator("#card-count")).to_have_text("3 glasses drunk, of 4")


def test_when_no_line_answers_no_number_of_the_unit_is_offered(
    pocket: BrowserContext, tmp_path: Path
) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "unit.toml"
    path.write_text(path.read_text().replace('"mon-sun 00:00-24:00"', '"mon-sun 08:00-22:00"'))
    port = free_port()
    plans = built(tmp_path / "out", unit=unit, base_url=f"http://localhost:{port}/")
    with PlansServer(plans.data, port):
        page = opened(pocket, plans.links["DEMO-101"], "2026-03-18T03:00:00+00:00")
        for place in ("#card-call", ".callbar"):
            told = without_marks(page.locator(place).inner_text())
            assert "No line answers now. If you feel ill, ring 01632 960 999." in told
        expect(page.locator("#bar-phone")).to_be_hidden()
        assert page.locator("#card-call a").count() == 0


def test_without_style_sheet_nothing_is_said_that_is_not_so(
    browser: Browser, served: tuple[Built, PlansServer, int]
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    link = served[0].links["DEMO-101"]

    def unstyled(route: Route) -> None:
        answer = route.fetch()
        text = re.sub("<style>.*?</style>", "", answer.text(), flags=re.DOTALL)
        route.fulfill(response=answer, body=text)

    page.route(link, unstyled)
    page.goto(link)
    assert page.evaluate("document.styleSheets.length") == 1  # that of paper
    expect(page.locator("#steps h2")).to_be_visible()
    expect(page.locator(".gone")).to_be_hidden()
    for state in ("saving", "saved", "failed", "impossible"):
        expect(page.locator(f"[data-when={state}]")).to_be_hidden()
    context.close()


def test_no_other_style_sheet_applies_in_a_document_than_its_own(
    browser: Browser, served: tuple[Built, PlansServer, int]
) -> None:
    """The header lets one stand there, the document's own policy says which (W3C, CSP Level 3, 8.1)."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    link = served[0].links["DEMO-101"]

    def with_another(route: Route) -> None:
        answer = route.fetch()
        text = answer.text().replace(
            "</head>", "<style>.unit { color: rgb(255, 0, 0) !important; }</style></head>"
        )
        route.fulfill(response=answer, body=text)

    page.route(link, with_another)
    page.goto(link)
    assert page.locator("style").count() == 2
    assert (
        page.locator(".unit").evaluate("one => getComputedStyle(one).color") == "rgb(28, 36, 34)"
    )  # its own ink
    context.close()


def test_without_script_every_step_and_time_can_be_read(
    browser: Browser, served: tuple[Built, PlansServer, int]
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(served[0].links["DEMO-101"])
    hours = [without_marks(text) for text in laid_out(page).locator(".hour").all_inner_texts()]
    assert [hour[:5] for hour in hours] == [
        "18:00",
        "07:00",
        "12:30",
        "13:30",
        "17:00",
        "17:45",
        "18:00",
        "19:00",
        "21:00",
        "04:30",
        "05:15",
        "05:30",
        "06:30",
        "07:00",
        "07:30",
        "08:40",
        "09:00",
        "09:30",
        "10:00",
    ]
    assert page.locator(".steps h4").count() == 19
    for text in page.locator(".steps h4").all():
        assert text.is_visible()
    assert "Be at the unit on Wednesday 18 March at 09:00" in without_marks(page.locator("#now").inner_text())
    expect(page.locator("#now .scriptless")).to_be_visible()
    assert page.locator("button:visible").count() == 0
    for section in ("start", "steps", "food", "clarity", "call", "day", "questions", "afterwards"):
        expect(page.locator(f"#{section} h2")).to_be_visible()
    context.close()


def test_saved_then_the_server_ends_and_both_languages_are_there(
    pocket: BrowserContext, tmp_path: Path
) -> None:
    port = free_port()
    plans = built(tmp_path, base_url=f"http://localhost:{port}/")
    with PlansServer(plans.data, port) as server:
        page = pocket.new_page()
        page.goto(plans.links["DEMO-102"])
        expect(page.locator('#saved[data-state="saved"]')).to_be_visible()
        page.close()
        server.stop()
        page = pocket.new_page()
        page.goto(f"{plans.links['DEMO-102']}?from=message#steps")
        expect(page.locator("html")).to_have_attribute("lang", "es")
        expect(page.locator('#saved[data-state="saved"]')).to_be_visible()
        page.get_by_role("link", name="English").first.click()
        expect(page.locator("html")).to_have_attribute("lang", "en")
        expect(page.locator("#steps h2")).to_have_text("The steps")
        expect(page.locator('#saved[data-state="saved"]')).to_be_visible()


def test_the_companions_card_opens_in_another_language(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int]
) -> None:
    page = pocket.new_page()
    page.goto(served[0].links["DEMO-103"])
    card = page.locator("#companion")
    expect(card.locator("h2")).to_have_text("لمن يأخذ المريض إلى البيت")
    card.get_by_role("link", name="English").click()
    expect(page).to_have_url(re.compile(r"/en\.html#companion$"))
    expect(page.locator("#companion h2")).to_have_text("For whoever takes the patient home")
    expect(page.locator("#companion h2")).to_be_in_viewport()


def test_the_heavy_dashes_are_drawn_under_the_pages_own_policy(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int]
) -> None:
    """Five of 10,000, a dash 3 wide and 2 high: at the field's beginning there is ink, beside and below it is none."""
    page = pocket.new_page()
    page.set_viewport_size({"width": 360, "height": 740})
    page.goto(served[0].links["DEMO-101"])
    # That line stands above the field: once it is there, nothing moves any more.
    expect(page.locator('#saved[data-state="saved"]')).to_be_visible()
    page.locator("#figures summary").click()
    field = page.locator("#figures .field").nth(2)
    box = field.bounding_box()
    assert box is not None
    assert (box["width"], box["height"]) == (300, 200)
    picture = Image.open(io.BytesIO(field.screenshot())).convert("L")
    paper, heavy, beside, below = (
        ImageStat.Stat(picture.crop(corners)).mean[0]
        for corners in ((0, 100, 300, 140), (1, 0, 14, 2), (18, 0, 60, 2), (1, 3, 14, 12))
    )
    assert heavy < 150 < 200 < min(paper, beside, below)


def test_nothing_is_asked_of_anybody_but_the_plan_and_the_shared_files(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int]
) -> None:
    plans, _, port = served
    asked: list[str] = []
    page = pocket.new_page()
    pocket.on("request", lambda request: asked.append(request.url))
    page.goto(plans.links["DEMO-101"])
    expect(page.locator('#saved[data-state="saved"]')).to_be_visible()
    own = (plans.links["DEMO-101"], f"http://localhost:{port}/a/")
    assert [url for url in asked if not url.startswith(own)] == []
    assert len(asked) > 5


def test_numbers_keep_their_order_in_arabic(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int]
) -> None:
    """Text rectangles: the phone number's first digit stands left of its last."""
    page = opened(pocket, served[0].links["DEMO-103"], "2026-03-18T18:20:00+00:00")
    for selector in ("#bar-phone bdi", "#step-evening-dose .hour"):
        left, right = page.evaluate(LEFT_EDGES, selector)
        assert left < right, selector


def test_weekday_and_day_keep_their_order_in_arabic(
    pocket: BrowserContext, served: tuple[Built, PlansServer, int]
) -> None:
    """“حتى الخميس، 19 مارس” is read from the right: the weekday stands right of the day's number."""
    page = opened(pocket, served[0].links["DEMO-103"], "2026-03-18T18:20:00+00:00")
    page.set_viewport_size({"width": 1200, "height": 740})
    for place in ("#step-clear-drinks .until", ".still .arrive"):
        weekday, day = (page.evaluate(EDGE_OF, [place, word]) for word in ("الخميس", "19"))
        assert weekday > day


def without_marks(text: str) -> str:
    return text.translate(dict.fromkeys((0x2066, 0x2067, 0x2068, 0x2069)))
