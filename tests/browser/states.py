"""Every state of the pages that patients see, in one list: for tests, and for the gallery (`tests/gallery`).

A state is a booking, a moment, what its reader did, and the window it is read in. All of them can be shown in any
language, whole or made-up: what is done names places of the page, never words.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

from tests.browser.reading import answered
from tests.command import run
from tests.languages import HEADING, unit_in_every_language
from tests.plans import Built, built

Act = Callable[[Page], Any]
Lives = dict[str, tuple[tuple[str, str], ...]]
Window = Literal["ordinary", "no worker", "no script", "far zone"]
BUILT, EVENING, NIGHT = "2026-03-16T08:00", "2026-03-17T18:20", "2026-03-18T02:00"
SAVED = '#saved[data-state="{}"]'

# Examination on Wednesday 18 March 2026 at 09:30. What is done with a booking, and when.
BOOKINGS: Lives = {
    "split": (),
    "pico": (),
    "moved": (("move", "2026-03-16T12:10"),),
    "held": (("hold", "2026-03-16T12:10"),),
    "held-begun": (("hold", "2026-03-17T20:30"),),
    "cancelled": (("cancel", "2026-03-16T12:10"),),
    "cancelled-begun": (("cancel", "2026-03-17T20:30"),),
    "ended": (("end", "2026-03-18T16:00"),),
}
# Expiry takes every booking that is long over: this one had its day, a Wednesday too, eight weeks before the others.
LONG_OVER = (("end", "2026-01-21T16:00"), ("expire", "2026-03-15T08:00"))
NOTICES = frozenset({"held", "held-begun", "cancelled", "cancelled-begun", "ended", "farewell"})
PREPARATIONS = {"pico": "PICOMG"}  # the others: 2 L of PEG with ascorbate


@dataclass(frozen=True)
class Pages:
    """The plans as they are, and the one that was moved as it was before.

    Attributes:
        links: "split en" -> link.
        before: link of a moved plan -> the page that stood there until it was moved.
        copies: "split en" -> the plan in one file.
    """

    data: Path
    links: dict[str, str]
    before: dict[str, str]
    copies: dict[str, Path]


@dataclass(frozen=True)
class State:
    """One state.

    Attributes:
        at: the unit's wall clock in winter time (UTC).
        do: what the reader does, in order.
        place: what is scrolled to the top for a picture.
        ready: what has to be seen before it is this state.
        answers: whether the reader has said that the plan is theirs and that nothing keeps them from starting.
        copy: whether it is the plan in one file.
        after: whether the reader has confirmed the plan that stood here before.
    """

    name: str
    at: str = EVENING
    booking: str = "split"
    do: tuple[Act, ...] = ()
    place: str | None = None
    ready: str = "#bar-phone, .masthead"
    window: Window = "ordinary"
    answers: bool = True
    copy: bool = False
    after: bool = False

    @property
    def part(self) -> str:
        """The part of the page that is another in this state; of a page in a plan's place, the whole."""
        return "body" if self.booking in NOTICES else self.place or "#now"


def tap(selector: str) -> Act:
    """Taps the first such control that is seen."""
    return lambda page: page.locator(f"{selector}:visible").first.click()


def wait(minutes: int) -> Act:
    """So many minutes pass, and the page looks."""

    def passed(page: Page) -> None:
        page.clock.fast_forward(minutes * 60_000)
        page.evaluate("window.dispatchEvent(new Event('focus'))")

    return passed


def typed(text: str) -> Act:
    """Types into the field that looks up a food."""
    return lambda page: page.fill("#find-word", text)


def typed_name(of: str) -> Act:
    """Types the name of a food of the list, as it stands there."""
    return lambda page: page.fill("#find-word", page.locator(of).first.inner_text())


def opened_all(page: Page) -> None:
    """Unfolds whatever is folded."""
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    page.evaluate("document.querySelectorAll('.fold[aria-expanded=false]').forEach(one => one.click())")


def is_gone(page: Page) -> None:
    """The unit has taken the plan down, and the page looks."""
    page.route(page.url, lambda route: route.fulfill(status=404, body="gone"))
    page.clock.fast_forward(31_000)
    page.evaluate("window.dispatchEvent(new Event('focus'))")


DRANK, DONE = tap("#drank"), tap("#done")
SLOW = (wait(5), DRANK, wait(30), DRANK, wait(30), DRANK)  # begun at 18:20
BROWN, HIDDEN, LUMPS, NOTHING = (
    tap(f'[data-answer="{answer}"] button')
    for answer in ("colour brown", "bottom no", "bits yes", "nothing yes")
)

STATES = (
    # The first minutes with the page.
    State("first-opening", "2026-03-16T10:00", answers=False, ready="#first"),
    State("first-not-mine", "2026-03-16T10:00", answers=False, do=(tap("#first-no"),), ready="#first-other"),
    State("before-you-start", "2026-03-16T10:00", answers=False, do=(tap("#first-yes"),), ready="#start-none"),
    # Kinds of now.
    State("now-collect", "2026-03-16T10:00", ready="#card"),
    State("now-diet", "2026-03-17T08:20", ready="#card"),
    State("now-mix", "2026-03-17T17:50", ready="#card"),
    State("now-drink", ready="#drank"),
    State("now-clear-drinks", "2026-03-17T21:30", ready="#card"),
    State("now-night", NIGHT, ready="#card"),
    State("now-last-dose", "2026-03-18T05:40", ready="#drank"),
    State("now-nothing-more", "2026-03-18T07:40", ready="#card"),
    State("now-leave", "2026-03-18T08:45", ready="#card"),
    State("now-watch", "2026-03-18T14:00", ready="#card"),
    State("now-picosulfate", "2026-03-17T18:20", "pico", ready="#card"),
    State("now-over", "2026-03-25T10:00"),
    State("clock-in-doubt", window="far zone", answers=False, ready="#doubt"),
    # The pace of drinking.
    State("pace-on-plan", do=(DRANK,), ready="#card-count"),
    State("pace-behind", "2026-03-17T18:05", do=(wait(25), DRANK, wait(30), DRANK), ready="#card-count"),
    State(
        "pace-forecast",
        "2026-03-17T18:05",
        do=(wait(30), DRANK, wait(35), DRANK, wait(35), DRANK),
        ready="#card-count",
    ),
    State("pace-call-now", "2026-03-18T05:35", do=(wait(80), DRANK, wait(1)), ready="#card-call .phone"),
    State("pace-pause", do=(DRANK, tap("#pace-acts button")), ready="#card-count"),
    State("pace-asked", "2026-03-17T19:10", ready="#pace-acts button"),
    State("jug-asked", "2026-03-17T18:05", do=(DRANK, wait(12)) * 4, ready="#card-count"),
    State("jug-empty", do=(DRANK, DONE), ready="#card"),
    # Looking into the bowl.
    State("look-expected", NIGHT, do=(BROWN,), place="#clarity", ready="#bowl-says"),
    State("look-on-card", "2026-03-18T07:05", ready="#card #bowl"),
    State("look-call", "2026-03-18T07:05", do=(HIDDEN, LUMPS, BROWN), place="#bowl", ready="#bowl-call .phone"),
    State("look-nothing-yet", NIGHT, do=(NOTHING,), place="#clarity", ready="#bowl-says"),
    # What is kept, and what is known of it.
    State("saved", ready=SAVED.format("saved")),
    State("cannot-save", window="no worker", ready=SAVED.format("impossible")),
    State("gone", window="no worker", do=(is_gone,), ready=".gone"),
    State("copy", copy=True, ready="#card"),
    State("no-script", window="no script", answers=False, ready=".scriptless"),
    State("change-to-confirm", "2026-03-16T12:20", "moved", after=True, answers=False, ready="#change"),
    State("moved", "2026-03-16T12:20", "moved", ready=".changed"),
    State("letters-large", do=(tap('#size button[value="large"]'),), ready="#size"),
    State("wipe-asked", do=(tap("#wipe"),), place="#keep", ready="#wipe-ask"),
    # In a plan's place.
    State("held", "2026-03-16T12:20", "held", ready="#card-call"),
    State("held-begun", "2026-03-17T20:40", "held-begun", ready="#card-call"),
    State("cancelled", "2026-03-16T12:20", "cancelled", ready="#card-call"),
    State("cancelled-begun", "2026-03-17T20:40", "cancelled-begun", ready="#card-call"),
    State("ended", "2026-03-18T17:00", "ended", ready="#card-call"),
    State("farewell", "2026-03-16T10:00", "farewell", ready="#clear-phone"),
    State("farewell-cleared", "2026-03-16T10:00", "farewell", do=(tap("#clear-phone"),), ready="#cleared"),
    # Each part.
    State("part-steps", place="#steps"),
    State("part-alarms", place="#alarms"),
    State("part-food", place="#food"),
    State("food-found", do=(typed_name("#food dt"),), place="#food", ready="#find-hits li"),
    State("food-not-found", do=(typed("qqqzzz"),), place="#food", ready="#find-none"),
    State("part-clarity", place="#clarity"),
    State("part-call", place="#call"),
    State("part-day", place="#day"),
    State("part-questions", do=(opened_all,), place="#questions"),
    State("part-afterwards", "2026-03-18T14:00", place="#afterwards"),
    State("part-figures", do=(opened_all,), place="#figures"),
    State("part-keep", place="#keep"),
)  # fmt: skip
NAMED = {state.name: state for state in STATES}


def made(place: Path, base_url: str, tags: tuple[str, ...], patch: pytest.MonkeyPatch) -> Pages:
    """Makes every booking in these languages, and does with it what is done.

    Args:
        place: a folder for it all.
        base_url: where the plans will be served.
        tags: languages, the made-up ones among them.
        patch: takes the folder of made-up languages back when it ends.
    """
    unit = unit_in_every_language(place, patch)
    over = _built(place, unit, base_url, tags, ("farewell",), "2026-01-19T08:00", "21/01/2026")
    _lived(over, unit, base_url, tags, {"farewell": LONG_OVER})
    given = _built(place, unit, base_url, tags, tuple(BOOKINGS), BUILT, "18/03/2026")
    known = over.links | given.links
    links = {f"{name} {tag}": known[f"{name}-{tag}"] for name in ("farewell", *BOOKINGS) for tag in tags}
    before = {
        links[f"moved {tag}"]: (given.folder(f"moved-{tag}") / "index.html").read_text("utf-8")
        for tag in tags
    }
    copies = {
        f"split {tag}": path
        for row in given.said["files"][0]["rows"]
        for tag in tags
        if row["ref"] == f"split-{tag}"
        for path in map(Path, row["copies"])
        if path.stem.endswith("-" + tag)
    }
    _lived(given, unit, base_url, tags, BOOKINGS)
    return Pages(given.data, links, before, copies)


def _built(
    place: Path, unit: Path, base_url: str, tags: tuple[str, ...], names: tuple[str, ...], now: str, day: str
) -> Built:
    rows = (
        f"{name}-{tag},{day},09:30,09:00,COLON,{PREPARATIONS.get(name, 'PEGASC2')},{tag},20,\n"
        for name in names
        for tag in tags
    )
    (place / "list.csv").write_text(HEADING + "".join(rows), "utf-8")
    lists = (place / "list.csv",)
    return built(place / "data", unit=unit, lists=lists, now=now, base_url=base_url, copies=True)


def _lived(given: Built, unit: Path, base_url: str, tags: tuple[str, ...], lives: Lives) -> None:
    """What is done with the bookings, at its moments."""
    common = ("--unit", unit, "--out", given.data, "--base-url", base_url)
    for name, acts in lives.items():
        for act, now in acts:
            more = ("--procedure", "2026-03-19T10:15") if act == "move" else ()
            for tag in tags if act != "expire" else ("",):
                ref = ("--ref", f"{name}-{tag}") if tag else ()
                said = run(act, *ref, *more, *common, "--now", now, "--role", "nurse")
                assert said.exit_code == 0, said.output


@contextmanager
def shown(browser: Browser, pages: Pages, state: State, tag: str, **eyes: Any) -> Iterator[Page]:
    """The state in a language, as a page that can be looked at.

    Args:
        browser: Chromium.
        pages: what `made` made, served.
        state: which.
        tag: a language of `pages`.
        eyes: for the browser's window: `viewport`, `color_scheme`, `forced_colors`, `contrast`, `reduced_motion`.
    """
    view: ViewportSize = eyes.pop("viewport", {"width": 360, "height": 740})
    with browser.new_context(
        viewport=view,
        timezone_id="Asia/Tokyo" if state.window == "far zone" else "Europe/London",
        service_workers="block" if state.after or state.window == "no worker" else "allow",
        **eyes,
    ) as context:
        yield _reached(context, pages, state, tag)


def _reached(context: BrowserContext, pages: Pages, state: State, tag: str) -> Page:
    page = context.new_page()
    if state.window == "no script":  # axe needs scripts to run at all: the page's own does not come
        page.route("**/page.js", lambda route: route.abort())
    if state.window == "no worker":
        page.add_init_script("delete Navigator.prototype.serviceWorker")
    page.clock.install(time=dt.datetime.fromisoformat(state.at + "+00:00"))
    key = f"{state.booking} {tag}"
    link = pages.copies[key].as_uri() if state.copy else pages.links[key]
    if state.after:
        old = pages.before[link]
        page.route(link, lambda route: route.fulfill(body=old, content_type="text/html; charset=utf-8"))
        page.goto(link)
        answered(page)
        page.unroute(link)
    page.goto(link)
    if state.answers:
        answered(page)
    for act in state.do:
        act(page)
    page.locator(state.ready).locator("visible=true").first.wait_for()
    page.locator(state.place or "body").evaluate("element => element.scrollIntoView()")
    return page
