"""The pace of drinking through the page: the table that Node runs too, in Chromium; how the card looks and speaks."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterator
from typing import Any
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from tests.browser.reading import answered
from tests.browser.served import PlansServer
from tests.paces import IDS, OFFSETS, ROWS, minute, plan_of
from tests.plans import Built
from tests.sampling import one_in

pytestmark = pytest.mark.browser
STEPS = {
    "dose": "evening-dose",
    "drinks": "evening-drinks",
}  # which steps of the demonstration's plan take their place
BUTTONS = {
    "drank": "I drank one glass", "undo": "Take one back", "sick": "I feel sick.", "resume": "I am going on now",
    "done": "The jug is empty", "not-yet": "Not yet",
}  # fmt: skip
DATA = re.compile(r'(<script type="application/json" id="plan">)(.*?)(</script>)', re.DOTALL)


@pytest.fixture(scope="module")
def link(given: tuple[Built, int]) -> Iterator[str]:
    """The plan of a patient who reads English, with 2 L of PEG and ascorbate."""
    plans, port = given
    with PlansServer(plans.data, port):
        yield plans.links["DEMO-101"]


def moment(minutes: int) -> dt.datetime:
    return dt.datetime.fromtimestamp(minutes * 60, dt.UTC)


def wall(minutes: int) -> str:
    offset = [offset for since, offset in OFFSETS if since <= minutes][-1]
    return f"{moment(minutes + offset):%H:%M}"


def with_sessions(html: str, row: dict[str, Any]) -> str:
    """The page with a row's figures in the place of the first dose and the drinks after it; all else lies behind."""
    stated = plan_of(row)
    found = DATA.search(html)
    assert found is not None
    block = json.loads(found[2])
    sessions = {STEPS[step["id"]]: step for step in stated["steps"]}
    first = stated["steps"][0]["start"]
    for step in block["steps"]:
        own = sessions.get(step["id"])
        if own is None:
            step["start"], step["end"] = first - 10_000, first - 9_990
            step.pop("pace", None)
        else:
            step |= {name: own[name] for name in ("start", "end", "glasses", "pace")}
    places = [step["id"] for step in block["steps"]]
    cues = [
        [at, -1 if place == -1 else places.index(STEPS[stated["steps"][place]["id"]])]
        for at, place in stated["cues"]
    ]
    block |= {"cues": cues, "most": stated["most"], "steady": stated["steady"], "offsets": OFFSETS}
    block |= {"made": first - 20_000, "procedure": first + 1_000, "arrival": first + 900}
    text = json.dumps(block, ensure_ascii=False).replace("<", "\\u003c").replace("&", "\\u0026")
    return html[: found.start(2)] + text + html[found.end(2) :]


def at(page: Page, minutes: int) -> None:
    """The moment is this one, and the page looks."""
    page.clock.set_fixed_time(moment(minutes))
    page.evaluate("window.dispatchEvent(new Event('focus'))")


def do(page: Page, event: list[str]) -> None:
    now, act = minute(event[0]), event[1]
    if act == "restart":
        page.clock.set_fixed_time(moment(now))
        page.reload()
        page.wait_for_selector("#card:not([hidden]), #doubt:not([hidden])")
        return
    at(page, now)
    if act == "began":
        page.get_by_role("button", name=wall(minute(event[2])), exact=True).click()
    elif act == "set-back":
        expect(page.locator("#doubt")).to_be_visible()
    else:
        page.locator("#now").get_by_role("button", name=BUTTONS[act], exact=True).click()


def begun(browser: Browser, link: str, row: dict[str, Any]) -> Page:
    """The row's page before its first event."""
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, timezone_id="Europe/London", service_workers="block"
    )
    context.set_default_timeout(5000)
    page = context.new_page()

    with urlopen(link) as response:
        body = with_sessions(response.read().decode(), row)

    def answer(route: Route) -> None:
        # Opened from the unit's site, and without internet from then on: no server says what hour it is.
        if route.request.resource_type == "document":
            route.fulfill(content_type="text/html; charset=utf-8", body=body)
        else:
            route.abort()

    page.route(link, answer)
    start = min(minute(event[0]) for event in [*row["events"], [row["now"]]])
    page.clock.set_fixed_time(moment(start))
    page.goto(link)
    answered(page)
    seed = {name: [minute(time) for time in times] for name, times in row.get("seed", {}).items()}
    if seed:
        page.evaluate(
            """seed => {
              const plan = JSON.parse(document.getElementById('plan').textContent);
              const glasses = {};
              for (const id in seed) {
                const step = plan.steps.filter(step => step.id === id)[0];
                glasses[step.id + '-' + step.key] = seed[id];
              }
              localStorage.setItem('daybefore:' + plan.mark + ':diary', JSON.stringify({ done: {}, glasses }));
            }""",
            {STEPS[name]: times for name, times in seed.items()},
        )
    return page


def lines_of(said: dict[str, Any]) -> list[str]:
    """What stands on the card, in the words of the page."""
    lines = {
        "next": f"Next glass at {said.get('next')}.",
        "end": f"At your pace it is finished at about {said.get('end')}.",
        "by": f"It has to be finished by {said.get('by')}.",
    }
    found = [text for name, text in lines.items() if name in said]
    if said.get("next") == "now":
        found[0] = "You may take the next glass now."
    slow_down = "Until someone answers, go no faster than the steps say."
    return found + {
        "tight": ["Is that too fast for you? Call the unit now.", slow_down],
        "call": ["Call the unit now. Say how many glasses you have taken.", slow_down],
        "ask": ["Have you started? When?"],
        "jug": ["Is the jug empty? If some is left, go on at the same pace."],
    }.get(said["say"], [])


@pytest.mark.parametrize("row", one_in(8, ROWS, IDS))
def test_the_page_says_what_the_table_says(browser: Browser, link: str, row: dict[str, Any]) -> None:
    page = begun(browser, link, row)
    try:
        for event in row["events"]:
            do(page, event)
        at(page, minute(row["now"]))
        said = row["said"]
        if said["say"] is None:
            expect(page.locator("#drinking")).to_be_hidden()
            return
        expect(page.locator("#drinking")).to_be_visible()
        wanted = lines_of(said)
        shown = [
            text.translate({0x2066: None, 0x2069: None}) for text in page.locator("#pace p").all_inner_texts()
        ]
        if said["say"] == "call" and any("You paused" in line for line in shown):
            assert shown[:2] == wanted[:2]
            assert shown[-1].endswith("Until someone answers, take no more of the bowel medicine.")
        elif said["say"] in ("paused", "not-yet"):
            assert "Until someone answers" in " ".join(shown), (
                shown
            )  # the unit's own answer, from “Questions people ask”
        elif said["say"] == "call" and said["by"] < wall(minute(row["now"])):
            assert shown == [*wanted[-3:-1], "Until someone answers, take no more of the bowel medicine."]
        else:
            assert shown == wanted
        if said["count"]:
            expect(page.locator("#card-count")).to_contain_text(re.compile(rf"^{said['count']} glass"))
        if said["say"] in ("call", "tight", "paused", "not-yet"):
            assert page.locator("#pace + #card-call").count() == 1, (
                "the line that answers stands below the call"
            )
    finally:
        page.context.close()


def row_named(name: str) -> dict[str, Any]:
    return next(row for row in ROWS if row["name"] == name)


def test_the_card_by_keyboard_and_by_voice(browser: Browser, link: str) -> None:
    """Each press leaves the focus on a button that is there, and the status line says count and pace."""
    page = begun(browser, link, {"plan": "careful", "events": [], "now": "2026-03-18T03:02Z"})
    page.locator("#drank").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#spoken")).to_contain_text("1 glass drunk, of 8")
    expect(page.locator("#spoken")).to_contain_text("Next glass at 03:17.")
    page.locator("#undo").focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "drank"
    page.get_by_role("button", name="I feel sick.").focus()
    page.keyboard.press("Enter")
    focused = "document.activeElement.textContent"
    assert page.evaluate(focused) == "I am going on now"
    page.keyboard.press("Enter")
    assert page.evaluate(focused) == "I feel sick."
    at(page, minute("2026-03-18T03:04Z"))  # drawn anew by the minute
    assert page.evaluate(focused) == "I feel sick."
    page.context.close()


def test_nobody_is_asked_to_mark_the_glass_twice(browser: Browser, link: str) -> None:
    page = begun(browser, link, {"plan": "evening", "events": [], "now": "2026-03-17T18:02Z"})
    expect(page.locator("#measure")).to_have_text(
        "Pour 250 mL of water from the measuring jug into your glass. Mark that height with tape."
    )
    page.get_by_role("button", name="My glass is marked").click()
    expect(page.locator("#measure")).to_be_hidden()
    page.reload()
    expect(page.locator("#drinking")).to_be_visible()
    expect(page.locator("#measure")).to_be_hidden()
    page.context.close()


def test_the_jug_sinks_with_each_glass_and_is_never_mirrored(browser: Browser, link: str) -> None:
    """1 L in four glasses; the handle stands on the right in Arabic too (a drawing of a thing, not of a direction)."""
    page = begun(browser, link, {"plan": "evening", "events": [], "now": "2026-03-17T18:02Z"})
    level = page.locator("#jug-level")
    expect(level).to_have_attribute("height", "60")
    page.locator("#drank").click()
    expect(level).to_have_attribute("height", "45")
    expect(level).to_have_attribute("y", "21")
    expect(page.locator("#jug-left")).to_have_text(re.compile("About .?750\u00a0mL.? is left in the jug."))
    page.evaluate("document.documentElement.dir = 'rtl'")
    assert page.evaluate("getComputedStyle(document.getElementById('jug')).transform") == "none"
    assert page.evaluate("document.getElementById('jug').outerHTML.length") < 3 * 1024
    page.context.close()


def test_at_twice_the_size_nothing_of_the_card_is_cut_off(browser: Browser, link: str) -> None:
    page = begun(browser, link, row_named("sick: a pause"))
    for event in row_named("sick: a pause")["events"]:
        do(page, event)
    page.evaluate("document.documentElement.style.fontSize = '250%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.context.close()


def test_in_doubt_about_the_clock_a_session_begun_keeps_its_count(browser: Browser, link: str) -> None:
    page = begun(browser, link, {"plan": "morning", "events": [], "now": "2026-03-18T03:20Z"})
    page.locator("#drank").click()
    at(page, minute("2026-03-18T03:05Z"))
    expect(page.locator("#doubt")).to_be_visible()
    expect(page.locator("#card")).to_be_hidden()
    page.locator("#doubt").get_by_role("button", name="I drank one glass").click()
    expect(page.locator("#doubt #card-count")).to_have_text("2 glasses drunk, of 8")
    assert page.locator("#pace p").count() == 0
    page.context.close()
