"""The worker and offline.js in a real browser, against the real server and against bad ones."""

from __future__ import annotations

import hashlib
import json
import shutil
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Error, Page

from tests.browser.sources import sources

from .served import PlansServer, RawServer, answer_of, file_answer, free_port

pytestmark = pytest.mark.browser

SCRIPTS = Path(__file__).resolve().parents[2] / "static" / "page"
# First 12 hex digits of SHA-256 of each token, by sha256sum.
TOKEN_A = "aaaaaaaaaaaaaaaaaaaaaaaaaa"
TOKEN_B = "bbbbbbbbbbbbbbbbbbbbbbbbbb"
MARK_A = "9976d549a251"
MARK_B = "c9ca6164dd79"
OLD_LOOK, OLD_COLOUR = "0a1b2c3d4e5f", "rgb(1, 2, 3)"
NEW_LOOK, NEW_COLOUR = "f5e4d3c2b1a0", "rgb(4, 5, 6)"

STARTER = """
(function () {
  var root = document.documentElement;
  try {
    root.dataset.loads = String(Number(sessionStorage.getItem('loads') || 0) + 1);
    sessionStorage.setItem('loads', root.dataset.loads);
  } catch (error) {
    root.dataset.loads = 'unknown';
  }
  daybefore.keeping = {
    tellState: function (state) {
      root.dataset.states = ((root.dataset.states || '') + ' ' + state).trim();
      root.dataset.state = state;
    },
    tellChecked: function () {},
    isAsking: function () {
      root.dataset.waiting = 'yes';
      return root.dataset.busy === 'yes';
    }
  };
  daybefore.offline.start(root.dataset.mark, false);
})();
"""


class Site:
    """Two small plans in the published layout, on one origin."""

    def __init__(self, data: Path) -> None:
        self.data = data
        self.public = data / "public"
        self.port = free_port()
        for name in ("robots.txt", "index.html", "p/index.html"):
            self._write(name, "")
        self.write_look(OLD_LOOK, OLD_COLOUR)
        self.write_plan(TOKEN_A, "371")
        self.write_plan(TOKEN_B, "482")

    def address(self, token: str = TOKEN_A, rest: str = "") -> str:
        return f"http://127.0.0.1:{self.port}/p/{token}/{rest}"

    def serving(self) -> PlansServer:
        return PlansServer(self.data, self.port)

    def write_look(self, digest: str, colour: str) -> None:
        self._write(f"a/{digest}/page.css", f"h1 {{ color: {colour}; }}")
        self._write(f"a/{digest}/page.js", sources("clock", "block", "dom", "offline") + STARTER)
        self._write(f"a/{digest}/icon-180.png", "no picture, but there")

    def write_plan(self, token: str, code: str, look: str = OLD_LOOK) -> None:
        """Every file of a plan, the worker last."""
        folder = f"p/{token}"
        self.write_page(token, "index.html", code, look)
        self.write_page(token, "es.html", code, look)
        for name in ("plan.ics", "app.webmanifest", "qr.svg"):
            self._write(f"{folder}/{name}", "{}")
        plan = {
            "mark": _mark(token),
            "digest": hashlib.sha256(f"{code} {look}".encode()).hexdigest()[:12],
            "pages": ["./", "es.html"],
            "files": ["plan.ics", "app.webmanifest", "qr.svg"],
        }
        worker = (SCRIPTS / "sw.js").read_text("utf-8")
        self._write(f"{folder}/sw.js", f"const PLAN = {json.dumps(plan)};\n{worker}")

    def write_page(self, token: str, name: str, code: str, look: str = OLD_LOOK) -> None:
        self._write(f"p/{token}/{name}", self.page_text(token, name, code, look))

    def page_text(self, token: str, name: str, code: str, look: str = OLD_LOOK) -> str:
        return f"""<!doctype html>
<html lang="{"es" if name == "es.html" else "en"}" data-mark="{_mark(token)}"><head><meta charset="utf-8">
<title>Plan</title><link rel="stylesheet" href="../../a/{look}/page.css">
<link rel="manifest" href="app.webmanifest"><link rel="apple-touch-icon" href="../../a/{look}/icon-180.png">
<script defer src="../../a/{look}/page.js"></script></head>
<body><h1>{code}</h1><input type="text"><input type="checkbox">
<script type="application/json" id="plan">{{"code": "{code}"}}</script></body></html>
"""

    def _write(self, name: str, content: str) -> None:
        file = self.public / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(content, "utf-8")


def _mark(token: str) -> str:
    return {TOKEN_A: MARK_A, TOKEN_B: MARK_B}[token]


@pytest.fixture
def site(tmp_path: Path) -> Site:
    return Site(tmp_path)


@pytest.fixture
def server(site: Site) -> Iterator[PlansServer]:
    with site.serving() as running:
        yield running


def _state(page: Page, state: str) -> None:
    page.locator(f'html[data-state="{state}"]').wait_for(state="attached")


def _open(page: Page, address: str, state: str = "saved") -> None:
    try:
        page.goto(address, wait_until="domcontentloaded")
    except Error as error:
        # The page shown had found the new plan by itself, and its reload overtook this navigation.
        if "ERR_ABORTED" not in error.message:
            raise
        page.goto(address, wait_until="domcontentloaded")
    _state(page, state)


def _code(page: Page) -> str:
    return page.locator("h1").inner_text()


def _colour(page: Page) -> Any:
    return page.evaluate("getComputedStyle(document.querySelector('h1')).color")


def _caches(page: Page) -> Any:
    return page.evaluate("caches.keys()")


def _cut(server: PlansServer, page: Page) -> None:
    """Leaves only what the worker keeps: the browser's own cache would hand out shared files as well."""
    page.context.new_cdp_session(page).send("Network.clearBrowserCache")
    server.stop()


def _attribute(page: Page, name: str) -> str | None:
    return page.locator("html").get_attribute(name)


def test_the_first_visit_alone_saves_the_plan(site: Site, server: PlansServer, page: Page) -> None:
    _open(page, site.address())
    assert _attribute(page, "data-states") == "saving saved"
    (name,) = _caches(page)
    assert name.startswith(f"daybefore-{MARK_A}-")
    kept = page.evaluate("name => caches.open(name).then(c => c.keys()).then(k => k.map(r => r.url))", name)
    origin = f"http://127.0.0.1:{site.port}"
    assert sorted(kept) == [
        f"{origin}/a/{OLD_LOOK}/icon-180.png",
        f"{origin}/a/{OLD_LOOK}/page.css",
        f"{origin}/a/{OLD_LOOK}/page.js",
        f"{origin}/p/{TOKEN_A}/",
        f"{origin}/p/{TOKEN_A}/app.webmanifest",
        f"{origin}/p/{TOKEN_A}/es.html",
        f"{origin}/p/{TOKEN_A}/plan.ics",
        f"{origin}/p/{TOKEN_A}/qr.svg",
    ]


def test_with_the_server_dead_every_page_opens_whole(site: Site, server: PlansServer, page: Page) -> None:
    _open(page, site.address())
    _cut(server, page)
    page.reload(wait_until="domcontentloaded")
    _state(page, "saved")
    assert (_code(page), _colour(page)) == ("371", OLD_COLOUR)
    for rest, language in (
        ("?utm=1#x", "en"),
        ("index.html", "en"),
        ("es.html", "es"),
        ("es.html?a=b", "es"),
    ):
        _open(page, site.address(rest=rest))
        assert (_code(page), _colour(page), _attribute(page, "lang")) == ("371", OLD_COLOUR, language)
    calendar = page.evaluate("fetch('plan.ics').then(r => r.text())")
    assert calendar == "{}"


def test_a_page_seen_online_is_the_one_seen_offline(site: Site, server: PlansServer, page: Page) -> None:
    _open(page, site.address())
    site.write_page(TOKEN_A, "index.html", "593")  # the worker is not replaced
    _open(page, site.address(rest="?again"))
    assert _code(page) == "593"
    server.stop()
    _open(page, site.address())
    assert _code(page) == "593"
    assert _attribute(page, "data-loads") == "3"


def test_a_page_with_new_shared_files_is_kept_together_with_them(
    site: Site, server: PlansServer, page: Page
) -> None:
    _open(page, site.address())
    site.write_look(NEW_LOOK, NEW_COLOUR)
    site.write_page(TOKEN_A, "index.html", "593", NEW_LOOK)
    _open(page, site.address())
    _cut(server, page)
    _open(page, site.address())
    assert (_code(page), _colour(page)) == ("593", NEW_COLOUR)


def test_a_page_whose_shared_files_cannot_be_had_is_shown_but_not_kept(
    site: Site, server: PlansServer, page: Page
) -> None:
    _open(page, site.address())
    site.write_look(NEW_LOOK, NEW_COLOUR)
    (site.public / "a" / NEW_LOOK / "icon-180.png").unlink()
    site.write_page(TOKEN_A, "index.html", "593", NEW_LOOK)
    _open(page, site.address(), "failed")
    assert _code(page) == "593"
    page.evaluate("fetch('./').then(r => r.text())")  # answered once the worker has renewed what it could
    server.stop()
    _open(page, site.address())
    assert (_code(page), _colour(page), _attribute(page, "data-gone")) == ("371", OLD_COLOUR, "")


def test_on_a_full_phone_the_old_plan_does_not_pass_for_the_new_one(
    site: Site, server: PlansServer, page: Page
) -> None:
    _open(page, site.address())
    full = {"origin": f"http://127.0.0.1:{site.port}", "quotaSize": 1}
    page.context.new_cdp_session(page).send("Storage.overrideQuotaForOrigin", full)
    site.write_page(TOKEN_A, "index.html", "593")
    _open(page, site.address(), "failed")
    assert _code(page) == "593"
    server.stop()
    with pytest.raises(Error, match="ERR_FAILED"):  # better nothing than the old times
        page.goto(site.address())


def test_a_full_phone_at_the_first_visit_is_told_and_keeps_no_part(
    site: Site, server: PlansServer, page: Page
) -> None:
    full = {"origin": f"http://127.0.0.1:{site.port}", "quotaSize": 1}
    page.context.new_cdp_session(page).send("Storage.overrideQuotaForOrigin", full)
    _open(page, site.address(), "failed")
    assert _caches(page) == []
    page.context.new_cdp_session(page).send("Storage.overrideQuotaForOrigin", {"origin": full["origin"]})
    _open(page, site.address(), "saved")


def test_a_page_taken_down_is_shown_as_gone(site: Site, server: PlansServer, page: Page) -> None:
    _open(page, site.address())
    assert _attribute(page, "data-gone") is None
    folder = site.public / "p" / TOKEN_A
    folder.rename(folder.with_name("aside"))
    response = page.goto(site.address())
    assert response is not None and response.status == 200
    assert (_code(page), _attribute(page, "data-gone")) == ("371", "")
    folder.with_name("aside").rename(folder)
    _open(page, site.address())
    assert (_code(page), _attribute(page, "data-gone")) == ("371", None)


def _elsewhere(path: str) -> bytes:
    if path.startswith("/elsewhere/"):  # would pass for the plan if the redirect were followed
        mark = f'<!doctype html><html data-mark="{MARK_A}"><h1>elsewhere</h1>'
        return answer_of("200 OK", mark.encode())
    return answer_of("302 Found", b"", more="Location: /elsewhere/\r\n")


def _as_text(path: str) -> bytes:
    if not path.endswith("/"):
        return answer_of("500 Internal Server Error", b"")
    return answer_of("200 OK", f'data-mark="{MARK_A}"'.encode(), content_type="text/plain")


@pytest.mark.parametrize(
    "answer",
    [
        pytest.param(lambda _: answer_of("500 Internal Server Error", b"<h1>broken</h1>"), id="500"),
        pytest.param(lambda _: answer_of("200 OK", b"<!doctype html><html><h1>For sale"), id="catch-all"),
        pytest.param(_elsewhere, id="redirect"),
        pytest.param(_as_text, id="not-html"),
    ],
)
def test_a_wrong_answer_neither_shows_nor_replaces_the_plan(
    site: Site, server: PlansServer, page: Page, answer: Any
) -> None:
    _open(page, site.address())
    server.stop()
    with RawServer(site.port, answer) as wrong:
        page.goto(site.address(), wait_until="domcontentloaded")
        assert (_code(page), _colour(page), _attribute(page, "data-gone")) == ("371", OLD_COLOUR, None)
        page.evaluate("fetch('plan.ics').then(r => r.text())")
        assert {f"/p/{TOKEN_A}/", f"/p/{TOKEN_A}/plan.ics"} <= set(wrong.paths)
    _open(page, site.address())
    assert (_code(page), _colour(page), _attribute(page, "data-gone")) == ("371", OLD_COLOUR, None)
    assert page.evaluate("fetch('plan.ics').then(r => r.text())") == "{}"


def _half(path: str) -> bytes:
    whole = answer_of("200 OK", f'<!doctype html><html data-mark="{MARK_A}">'.encode() + b" " * 4000)
    return whole[:-2000]


@pytest.mark.long
@pytest.mark.parametrize("answer", [pytest.param(lambda _: b"", id="silent"), pytest.param(_half, id="half")])
def test_on_a_link_that_hangs_the_plan_comes_within_four_seconds(
    site: Site, server: PlansServer, page: Page, answer: Any
) -> None:
    _open(page, site.address())
    server.stop()
    with RawServer(site.port, answer, hang=True) as weak:
        started = time.monotonic()
        page.goto(site.address(), wait_until="domcontentloaded")
        took = time.monotonic() - started
        assert (_code(page), _colour(page)) == ("371", OLD_COLOUR)
        assert f"/p/{TOKEN_A}/" in weak.paths
        assert 2.5 < took < 4
        _state(page, "saved")
        assert time.monotonic() - started < 5


def test_an_answer_that_comes_late_replaces_what_is_shown_and_kept(
    site: Site, server: PlansServer, page: Page
) -> None:
    _open(page, site.address())
    server.stop()
    site.write_page(TOKEN_A, "index.html", "593")
    seen = threading.Event()

    def late(path: str) -> bytes:
        if path == f"/p/{TOKEN_A}/":
            seen.wait(10)
        return file_answer(site.public, path)

    with RawServer(site.port, late):
        page.goto(site.address(), wait_until="domcontentloaded")
        assert _code(page) == "371"
        seen.set()
        page.locator("h1", has_text="593").wait_for()
    _open(page, site.address())
    assert _code(page) == "593"


def test_when_one_language_has_changed_the_other_is_not_the_old_one(
    site: Site, server: PlansServer, page: Page
) -> None:
    """The worker is not replaced yet. es.html is fetched as well; where that fails, it is marked."""
    _open(page, site.address())
    site.write_page(TOKEN_A, "index.html", "593")
    site.write_page(TOKEN_A, "es.html", "593")
    _open(page, site.address())
    site.write_page(TOKEN_A, "index.html", "604")
    (site.public / "p" / TOKEN_A / "es.html").unlink()
    (site.public / "p" / TOKEN_A / "plan.ics").unlink()
    _open(page, site.address(rest="?a"), "failed")
    assert (_code(page), _attribute(page, "data-gone")) == ("604", None)
    server.stop()
    _open(page, site.address(rest="es.html"), "failed")
    assert (_code(page), _attribute(page, "data-gone")) == ("593", "")
    _open(page, site.address(), "failed")
    assert (_code(page), _attribute(page, "data-gone")) == ("604", None)
    assert page.evaluate("fetch('plan.ics').then(() => 'kept', () => 'gone')") == "gone"


def test_another_edition_of_a_version_marks_nothing(site: Site, server: PlansServer, page: Page) -> None:
    _open(page, site.address())
    edition = site.page_text(TOKEN_A, "index.html", "371").replace("<h1>", "<h1 id='new'>")
    site._write(f"p/{TOKEN_A}/index.html", edition)
    (site.public / "p" / TOKEN_A / "es.html").unlink()
    _open(page, site.address())
    server.stop()
    _open(page, site.address(rest="es.html"))
    assert (_code(page), _attribute(page, "data-gone")) == ("371", None)


def test_an_older_answer_that_comes_after_a_newer_one_is_not_kept(
    site: Site, server: PlansServer, page: Page
) -> None:
    _open(page, site.address())
    server.stop()
    codes, newer_came = ["444", "593"], threading.Event()

    def crossing(path: str) -> bytes:
        if path != f"/p/{TOKEN_A}/":
            return file_answer(site.public, path)
        code = codes.pop(0) if codes else "593"
        if code == "444":
            newer_came.wait(2)
        return answer_of("200 OK", site.page_text(TOKEN_A, "index.html", code).encode())

    with RawServer(site.port, crossing) as weak:
        page.evaluate("() => { window.older = fetch('./').then(r => r.text()); }")
        while weak.paths[-1:] != [f"/p/{TOKEN_A}/"]:
            page.wait_for_timeout(10)
        assert "593" in page.evaluate("fetch('./').then(r => r.text())")
        newer_came.set()
        assert "444" in page.evaluate("older")
    page.goto(site.address())
    assert _code(page) == "593"


@pytest.mark.parametrize("missing", ["p/{token}/plan.ics", "p/{token}/es.html", "a/{look}/icon-180.png"])
def test_a_plan_that_cannot_be_kept_whole_is_not_kept(
    site: Site, server: PlansServer, page: Page, missing: str
) -> None:
    (site.public / missing.format(token=TOKEN_A, look=OLD_LOOK)).unlink()
    _open(page, site.address(), "failed")
    assert _caches(page) == []
    assert page.evaluate("navigator.serviceWorker.getRegistrations().then(all => all.length)") == 0


def test_a_plan_of_which_nothing_more_comes_is_told_as_failed(site: Site, page: Page) -> None:
    def without_calendar(path: str) -> bytes:
        if path.endswith(".ics"):
            return b""
        return file_answer(site.public, path)

    page.clock.install()
    with RawServer(site.port, without_calendar, hang=True):
        _open(page, site.address(), "saving")
        page.clock.fast_forward(19_000)
        assert _attribute(page, "data-state") == "saving"
        page.clock.fast_forward(2_000)
        _state(page, "failed")


def test_two_plans_on_one_origin_leave_each_other_alone(
    site: Site, server: PlansServer, context: BrowserContext
) -> None:
    first, second = context.new_page(), context.new_page()
    _open(first, site.address(TOKEN_A))
    _open(second, site.address(TOKEN_B))
    assert [name.split("-")[1] for name in _caches(first)] == [MARK_A, MARK_B]
    shutil.rmtree(site.public / "p" / TOKEN_B)
    site.write_plan(TOKEN_A, "593")  # a new worker of A cleans up after the old one
    first.reload()
    first.locator('html[data-state="saved"]').wait_for(state="attached")
    assert first.evaluate("daybefore.offline.wipe()") is True
    assert [name.split("-")[1] for name in _caches(first)] == [MARK_B]
    scopes = "navigator.serviceWorker.getRegistrations().then(all => all.map(r => r.scope))"
    assert second.evaluate(scopes) == [site.address(TOKEN_B)]
    server.stop()
    _open(second, site.address(TOKEN_B))
    assert (_code(second), _colour(second)) == ("482", OLD_COLOUR)
    with pytest.raises(Error, match="ERR_CONNECTION_REFUSED"):
        first.goto(site.address(TOKEN_A))


def test_after_wiping_nothing_is_kept_again_by_the_page_still_open(
    site: Site, server: PlansServer, page: Page
) -> None:
    _open(page, site.address())
    page.reload()
    assert page.evaluate("Boolean(navigator.serviceWorker.controller)") is True
    assert page.evaluate("daybefore.offline.wipe()") is True
    site.write_page(TOKEN_A, "index.html", "593")
    assert "593" in page.evaluate("fetch('./').then(r => r.text())")
    page.evaluate("fetch('plan.ics').then(r => r.text())")
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    assert _caches(page) == []


def test_a_saving_under_way_when_the_reader_wipes_leaves_nothing(
    site: Site, server: PlansServer, page: Page
) -> None:
    _open(page, site.address())
    # A part was lost, so the worker asks for the whole plan anew; wiping comes before it has it.
    page.evaluate(
        "caches.keys().then(([name]) => caches.open(name)).then(cache => cache.delete('plan.ics')).then(() =>"
        " navigator.serviceWorker.ready).then(({ active }) => {"
        " const told = message => new Promise(resolve => {"
        " const channel = new MessageChannel(); channel.port1.onmessage = event => resolve(event.data);"
        " active.postMessage(message, [channel.port2]); });"
        " return Promise.all([told({ page: location.href, shown: 'data-mark' }), told({})]); })"
    )
    assert _caches(page) == []


def test_the_worker_wipes_when_told_and_says_so(site: Site, server: PlansServer, page: Page) -> None:
    _open(page, site.address())
    told = page.evaluate(
        "navigator.serviceWorker.ready.then(registration => new Promise(resolve => {"
        " const channel = new MessageChannel();"
        " channel.port1.onmessage = event => resolve(event.data);"
        " registration.active.postMessage({}, [channel.port2]); }))"
    )
    assert told is True
    assert _caches(page) == []
    assert page.evaluate("navigator.serviceWorker.getRegistrations().then(all => all.length)") == 0


def test_without_a_worker_saving_is_told_as_impossible(
    site: Site, server: PlansServer, context: BrowserContext, page: Page
) -> None:
    context.add_init_script("delete Navigator.prototype.serviceWorker")
    _open(page, site.address(), "impossible")
    assert _attribute(page, "data-states") == "impossible"
    assert _code(page) == "371"


@pytest.mark.parametrize(
    "script",
    [
        "CacheStorage.prototype.keys = () => Promise.reject(new DOMException('no', 'SecurityError'))",
        "ServiceWorkerContainer.prototype.register = () => Promise.resolve(undefined)",
        "ServiceWorkerContainer.prototype.register = () =>"
        " Promise.reject(new DOMException('no', 'NotSupportedError'))",
    ],
)
def test_a_window_that_refuses_storage_is_told_as_impossible(
    site: Site, server: PlansServer, context: BrowserContext, page: Page, script: str
) -> None:
    context.add_init_script(script)
    _open(page, site.address(), "impossible")
    assert _attribute(page, "data-states") == "saving impossible"


def test_storage_that_throws_does_not_stop_saving(
    site: Site, server: PlansServer, context: BrowserContext, page: Page
) -> None:
    context.add_init_script(
        "Object.defineProperty(window, 'sessionStorage',"
        " { get() { throw new DOMException('no', 'SecurityError'); } })"
    )
    _open(page, site.address())
    site.write_plan(TOKEN_A, "593")
    page.evaluate("navigator.serviceWorker.getRegistration().then(r => { r.update(); })")
    page.locator("h1", has_text="593").wait_for()
    assert _attribute(page, "data-loads") == "unknown"


def test_a_new_plan_reloads_an_open_page_once(site: Site, server: PlansServer, page: Page) -> None:
    _open(page, site.address())
    assert _attribute(page, "data-loads") == "1"
    site.write_plan(TOKEN_A, "593")
    page.evaluate("navigator.serviceWorker.getRegistration().then(r => { r.update(); })")
    page.locator("h1", has_text="593").wait_for()
    _state(page, "saved")
    page.wait_for_timeout(500)
    assert _attribute(page, "data-loads") == "2"
    assert len(_caches(page)) == 1
    server.stop()
    _open(page, site.address(rest="es.html"))
    assert (_code(page), _attribute(page, "lang")) == ("593", "es")


@pytest.mark.parametrize(
    ("hold", "release"),
    [
        pytest.param(
            "document.documentElement.dataset.busy = 'yes'",
            "document.documentElement.dataset.busy = 'no'",
            id="busy",
        ),
        pytest.param(
            "document.querySelector('input[type=text]').focus()",
            "document.activeElement.blur()",
            id="field",
        ),
    ],
)
def test_a_reload_waits_until_the_reader_loses_nothing(
    site: Site, server: PlansServer, page: Page, hold: str, release: str
) -> None:
    _open(page, site.address())
    page.evaluate(hold)
    site.write_plan(TOKEN_A, "593")
    page.evaluate("navigator.serviceWorker.getRegistration().then(r => { r.update(); })")
    page.locator('html[data-waiting="yes"]').wait_for(state="attached")
    page.wait_for_timeout(1_200)  # longer than the pause between two tries
    assert _code(page) == "371"
    page.evaluate(release)
    page.locator("h1", has_text="593").wait_for()


def test_what_the_browser_threw_away_is_kept_again(site: Site, server: PlansServer, page: Page) -> None:
    _open(page, site.address())
    lose = "url => caches.keys().then(n => caches.open(n[0])).then(c => c.delete(url))"
    assert page.evaluate(lose, f"/a/{OLD_LOOK}/page.css") is True
    _open(page, site.address())
    _cut(server, page)
    _open(page, site.address())
    assert _colour(page) == OLD_COLOUR


def test_an_open_page_looks_again_on_waking_but_not_all_the_time(
    site: Site, server: PlansServer, page: Page
) -> None:
    page.clock.install()
    _open(page, site.address())
    shutil.rmtree(site.public / "p" / TOKEN_A)
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    page.wait_for_timeout(300)
    assert _attribute(page, "data-gone") is None
    page.clock.fast_forward(31_000)
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    page.locator("html[data-gone]").wait_for(state="attached")
