"""One Chromium with a fresh profile for each browser test; one WebKit and one Firefox for those that run in all.

A test that takes `phone` runs in every engine: `pytest tests/browser -k webkit` runs one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.browser import phones
from tests.browser.chromium import chromium
from tests.browser.firefox import firefox
from tests.browser.phones import Phone, Window, program
from tests.browser.served import PlansServer, free_port
from tests.browser.site import Site
from tests.browser.webkit import webkit
from tests.lives import Office
from tests.plans import Built, built

WAIT = phones.WAIT * 1000  # milliseconds
# Playwright's own, which ours take the place of, then pages of Chromium's own window, which nobody sees here: two for
# each window, and as much work as the page itself.
OFF = (
    "HttpsUpgrades,HttpsFirstBalancedModeAutoEnable,MediaRouter,PaintHolding,ThirdPartyStoragePartitioning,"
    "DestroyProfileOnBrowserClose,AvoidUnnecessaryBeforeUnloadCheckSync,AvoidCorsURLLoaderRestartOnRedirect,"
    "LensOverlay,OptimizationHints,NetworkTimeServiceQuerying,AimEnabled,PreconnectToSearch,"
    "PreloadTopChromeWebUI,WebUIOmniboxPopup,WebUIOmniboxAimPopup,WebUIOmniboxFullPopup"
)
FLAGS = [
    f"--disable-features={OFF}",
    "--no-sandbox",
    "--disable-gpu",
    "--in-process-gpu",
    "--disable-software-rasterizer",
    "--disable-extensions",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Of what takes many seconds in each engine, the quick run has Chromium's part."""
    for item in items:
        params = getattr(item, "callspec", None)
        if item.get_closest_marker("others_long") and params and params.params["engine"] != "chromium":
            item.add_marker(pytest.mark.long)


# What is far below has no words and no place of its own before it is laid out, a second after loading (page.css). Tests
# do not wait for it each time: tests/browser/test_laying_out.py and those in other engines see it as it comes.
LAID_OUT_AT_ONCE = """{
  const style = new CSSStyleSheet();
  style.replaceSync('section { content-visibility: visible !important; animation: none !important; }');
  document.adoptedStyleSheets = [style];
}"""


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium: the one named in DAYBEFORE_CHROMIUM, else the one on the path."""
    path = program("DAYBEFORE_CHROMIUM", "chromium", "chromium-browser", "google-chrome")
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=path, args=FLAGS)
        new_context = running.new_context

        def whole(**eyes: Any) -> BrowserContext:
            context = new_context(**eyes)
            context.add_init_script(LAID_OUT_AT_ONCE)
            return context

        running.new_context = whole  # type: ignore[method-assign]
        yield running
        running.close()


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A profile with nothing in it."""
    fresh = browser.new_context()
    fresh.set_default_timeout(WAIT)
    yield fresh
    fresh.close()


@pytest.fixture
def pocket(browser: Browser) -> Iterator[BrowserContext]:
    """A small phone in the unit's zone, with nothing in it."""
    context = browser.new_context(viewport={"width": 360, "height": 740}, timezone_id="Europe/London")
    context.set_default_timeout(WAIT)
    yield context
    context.close()


@pytest.fixture(scope="session")
def given(tmp_path_factory: pytest.TempPathFactory) -> tuple[Built, int]:
    """The demonstration's plans as given, and the port that their links name: made once; a test that changes copies."""
    port = free_port()
    return built(tmp_path_factory.mktemp("given"), base_url=f"http://localhost:{port}/"), port


@pytest.fixture
def page(context: BrowserContext) -> Page:
    """A window of the fresh profile."""
    return context.new_page()


Engine = Callable[[Window], AbstractContextManager[Phone]]


@pytest.fixture(params=["chromium", "webkit", "firefox"])
def engine(request: pytest.FixtureRequest) -> Engine:
    """Opens a window of an engine, set up as the test wants it: a browser of its own, seconds to start."""
    if request.param == "chromium":
        browser: Browser = request.getfixturevalue("browser")
        return lambda window: chromium(browser, window)
    return {"webkit": webkit, "firefox": firefox}[request.param]


@pytest.fixture(scope="session")
def lasting() -> Iterator[Callable[[Engine], Phone]]:
    """The ordinary window of an engine, opened once: each test has a plan of its own, so none sees another's."""
    opened: dict[Engine, Phone] = {}
    with ExitStack() as open_windows:

        def phone_of(engine: Engine) -> Phone:
            if engine not in opened:
                opened[engine] = open_windows.enter_context(engine(Window()))
            return opened[engine]

        yield phone_of


@pytest.fixture
def phone(engine: Engine, lasting: Callable[[Engine], Phone]) -> Iterator[Phone]:
    """A browser with nothing in it of the test's plans."""
    if engine in (webkit, firefox):
        yield lasting(engine)
    else:
        with engine(Window()) as fresh:
            yield fresh


@pytest.fixture(scope="session")
def office() -> Office:
    """The demonstration's unit."""
    return Office()


@pytest.fixture
def site(office: Office, tmp_path: Path) -> Site:
    """Plans of two bookings, not served yet."""
    return Site(office, tmp_path)


@pytest.fixture
def server(site: Site) -> Iterator[PlansServer]:
    """The site is served until the test kills it."""
    with site.serving() as running:
        yield running
