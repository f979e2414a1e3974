"""A plan on a phone in every engine: kept, moved, taken down, with a bad link or a bad server in between."""

from __future__ import annotations

import threading

import pytest

from tests.browser.phones import Phone
from tests.browser.reading import is_styled, opened, plan_on, tells
from tests.browser.served import Answer, PlansServer, answer_of, packed_answer
from tests.browser.site import Site
from tests.sampling import one_in

pytestmark = pytest.mark.browser
REF = "DEMO-101"  # 18 March, 09:30; English alone
TWO_LANGUAGES = "DEMO-102"  # Spanish, and English
LATER = "2026-03-19T10:00"
# Of each part but the first, which says how the keeping goes on.
LENGTHS = (
    "Array.from(document.querySelectorAll('section:not(#now)'), (part) => part.textContent.length).join()"
)
DRAWN = "Array.from(document.images).every((image) => image.complete && image.naturalWidth > 0)"


def test_a_saved_plan_opens_whole_without_the_server(phone: Phone, site: Site) -> None:
    link = site.links[TWO_LANGUAGES]
    # From this server nothing is kept by the browser itself, so what is shown later comes from the worker.
    with site.answering(site.file):
        online = opened(phone, link)
        english = opened(phone, link + "en.html")
    assert (online["language"], english["language"]) == ("es", "en")
    assert online["code"] == english["code"] == site.code(TWO_LANGUAGES)
    assert len(online["hours"]) == len(english["hours"]) == 19
    assert opened(phone, link + "?from=message#steps") == online
    phone.reload()
    tells(phone, "saved")
    assert (plan_on(phone), is_styled(phone)) == (online, True)
    phone.until(f"document.querySelectorAll('img.drawing').length === 11 && {DRAWN}")
    phone.click("a[hreflang=en]")
    phone.until("document.documentElement.lang === 'en'")
    tells(phone, "saved")
    assert (plan_on(phone), is_styled(phone)) == (english, True)


def test_a_plan_that_came_compressed_opens_whole_without_the_server(phone: Phone, site: Site) -> None:
    """What is kept has the headers of what came, its encoding and length among them: no engine undoes it again, or cuts
    the page off there."""
    link = site.links[TWO_LANGUAGES]
    with site.answering(lambda path: packed_answer(site.data / "public", path)):
        online = opened(phone, link)
        lengths = phone.value(LENGTHS)
    phone.open(link)
    tells(phone, "saved")
    assert (plan_on(phone), is_styled(phone)) == (online, True)
    assert phone.value(LENGTHS) == lengths
    assert phone.value("document.querySelectorAll('img.drawing').length") == 11
    phone.until(DRAWN)


@pytest.mark.parametrize(("state", "cut"), [("saved", False), ("failed", True)], ids=["whole", "page-alone"])
def test_a_moved_plan_once_seen_is_the_one_seen_without_the_server(
    phone: Phone, site: Site, state: str, cut: bool
) -> None:
    """Also where the network fails as soon as the page has come: no new worker, no calendar file, no code to scan."""
    with site.answering(site.file):
        before = opened(phone, site.links[REF])
        phone.click("#first-yes")
    site.move(REF, LATER)

    def host(path: str) -> bytes:
        return b"" if cut and not path.endswith("/") else site.file(path)

    with site.answering(host):
        moved = opened(phone, site.links[REF], state)
    assert moved["code"] == site.code(REF) != before["code"]
    assert _tells_of_the_change(phone, before["code"])
    assert opened(phone, site.links[REF], state) == moved
    assert _tells_of_the_change(phone, before["code"])


def _tells_of_the_change(phone: Phone, old_code: str) -> bool:
    """Whether the reader is told that the appointment has moved, and which plan is over, and has it to confirm."""
    told, change = phone.text(".changed"), phone.text("#change-list li")
    both = "Before: Wednesday 18 March, 09:00 Now: Thursday 19 March, 09:30" in change
    seen = phone.sees(".changed") and phone.sees("#change-read")
    return seen and "Your appointment has moved." in told and old_code in told and both


def test_every_language_moves_at_once(phone: Phone, site: Site, server: PlansServer) -> None:
    """One language is opened after the move; the other, never opened again, is the new one offline as well."""
    opened(phone, site.links[TWO_LANGUAGES])
    site.move(TWO_LANGUAGES, "2026-03-19T14:00")
    opened(phone, site.links[TWO_LANGUAGES])
    server.stop()
    english = opened(phone, site.links[TWO_LANGUAGES] + "en.html")
    assert (english["code"], english["language"]) == (site.code(TWO_LANGUAGES), "en")


# From going to the page until it can be read, as the page itself measured it.
READABLE_AFTER = "performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd"  # milliseconds


def _silent(path: str) -> bytes:
    return b""


@pytest.mark.others_long
@pytest.mark.parametrize("body", [None, 3000], ids=["silent", "half"])
def test_on_a_link_that_hangs_the_plan_comes_within_four_seconds(
    phone: Phone, site: Site, body: int | None
) -> None:
    """The worker waits three seconds, for the whole body: a server may send its head and then nothing more."""
    with site.answering(site.file):
        online = opened(phone, site.links[REF])
    site.move(REF, LATER)

    def weak(path: str) -> bytes:
        return b"" if body is None else site.file(path)[:body]

    with site.answering(weak, hang=True) as server:
        phone.open(site.links[REF])
        assert plan_on(phone) == online
        assert 2500 < phone.value(READABLE_AFTER) < 4000
        assert any(site.links[REF].endswith(path) for path in server.paths)
        tells(phone, "saved")
    with site.answering(site.file):
        assert opened(phone, site.links[REF])["code"] == site.code(REF)
    assert opened(phone, site.links[REF])["code"] == site.code(REF)


@pytest.mark.others_long
def test_a_moved_plan_that_comes_late_takes_the_old_ones_place(phone: Phone, site: Site) -> None:
    with site.answering(site.file):
        before = opened(phone, site.links[REF])
    site.move(REF, LATER)
    may_come = threading.Event()

    def late(path: str) -> bytes:
        may_come.wait(10)
        return site.file(path)

    with site.answering(late):
        phone.open(site.links[REF])
        assert plan_on(phone) == before
        may_come.set()
        phone.until(f"document.querySelector('.code').textContent.includes('{site.code(REF)}')")
        tells(phone, "saved")
    assert opened(phone, site.links[REF])["code"] == site.code(REF)


@pytest.mark.others_long
@pytest.mark.parametrize("lost", ["paper.css", "page.js"])
def test_a_plan_that_lost_a_part_is_readable_and_not_called_saved(
    phone: Phone, site: Site, lost: str
) -> None:
    """Browsers that run out of room may throw away a part of what a page kept."""
    with site.answering(site.file):
        online = opened(phone, site.links[REF])
    assert _evicted(phone, site.mark(REF), lost) == 1
    phone.open(site.links[REF])
    if lost == "paper.css":
        phone.until("document.querySelector('#saved').dataset.state === 'failed'")
    assert plan_on(phone) == online
    assert not phone.sees("[data-when=saved]")  # without script none of the states is shown
    with site.answering(site.file):
        assert opened(phone, site.links[REF]) == online
    assert opened(phone, site.links[REF]) == online
    assert is_styled(phone)


def _evicted(phone: Phone, mark: str, name: str) -> int:
    """How many files of that name were taken out of the plan's cache."""
    script = f"""(async () => {{
      const [own] = (await caches.keys()).filter((name) => name.includes('{mark}'));
      const cache = await caches.open(own);
      const lost = (await cache.keys()).filter((request) => request.url.endsWith('/{name}'));
      for (const request of lost) await cache.delete(request);
      return lost.length;
    }})()"""
    return int(phone.awaited(script))


def _same(status: str, body: str, *, content_type: str = "text/html", more: str = "") -> Answer:
    return lambda path: answer_of(status, body.encode(), content_type=content_type, more=more)


LOGIN = "<!doctype html><html><h1>Welcome to our network</h1><form><input name=room></form>"
WRONG = {
    "500": _same("500 Internal Server Error", "<h1>broken</h1>"),
    "502 of a gateway": _same("502 Bad Gateway", "<h1>no upstream</h1>"),
    "503 for maintenance": _same("503 Service Unavailable", "<h1>back soon</h1>", more="Retry-After: 60\r\n"),
    "403": _same("403 Forbidden", "<h1>forbidden</h1>"),
    "catch-all 200": _same("200 OK", "<!doctype html><html><h1>This domain is for sale</h1>"),
    "directory listing": _same("200 OK", "<html><title>Index of /p/</title><a href='other/'>other/</a>"),
    "captive portal": _same("200 OK", LOGIN),
    "captive portal, 511": _same("511 Network Authentication Required", LOGIN),
    "captive portal elsewhere": _same("302 Found", "", more="Location: http://127.0.0.1:9/login\r\n"),
    "redirect": _same("301 Moved Permanently", "", more="Location: /elsewhere/\r\n"),
    "empty": _same("200 OK", ""),
    "no page": _same("200 OK", "{}", content_type="application/json"),
}


@pytest.mark.others_long
@pytest.mark.parametrize("answer", one_in(3, list(WRONG.values()), list(WRONG)))
def test_a_wrong_answer_neither_shows_nor_replaces_the_plan(phone: Phone, site: Site, answer: Answer) -> None:
    with site.answering(site.file):
        online = opened(phone, site.links[REF])
    with site.answering(answer) as wrong:
        assert opened(phone, site.links[REF]) == online
        assert not phone.sees(".gone")
        assert wrong.paths
    assert opened(phone, site.links[REF]) == online
    assert not phone.sees(".gone")


@pytest.mark.parametrize("status", ["404 Not Found", "410 Gone"])
def test_a_plan_no_longer_on_the_site_is_marked(phone: Phone, site: Site, status: str) -> None:
    with site.answering(site.file):
        online = opened(phone, site.links[REF])
    with site.answering(_same(status, "")):
        phone.open(site.links[REF])
        assert plan_on(phone) == online
        assert "no longer on the unit’s site. Call the unit." in phone.text(".gone")
    with site.answering(site.file):
        assert opened(phone, site.links[REF]) == online
    assert not phone.sees(".gone")


def test_a_page_in_the_plans_place_takes_over_from_the_kept_plan(
    phone: Phone, site: Site, server: PlansServer
) -> None:
    """Moved, held, then cancelled: each is what the phone shows afterwards, with and without the server."""
    opened(phone, site.links[REF])
    site.move(REF, LATER)
    opened(phone, site.links[REF])
    for act, heading in (
        (site.hold, "Your appointment has changed"),
        (site.cancel, "Your appointment is cancelled"),
    ):
        act(REF)
        phone.open(site.links[REF])
        assert phone.text("h1") == heading
        tells(phone, "saved")
    server.stop()
    phone.open(site.links[REF] + "index.html?a=b")
    assert phone.text("h1") == "Your appointment is cancelled"
    assert not phone.sees("#steps")
    tells(phone, "saved")


@pytest.mark.others_long
def test_below_another_path_of_the_host_all_is_the_same(phone: Phone, site: Site) -> None:
    """Every address in a plan counts from the plan's own folder."""
    link = site.links[TWO_LANGUAGES].replace("/p/", "/some/ward/p/")
    with site.answering(lambda path: site.file(path.removeprefix("/some/ward"))):
        online = opened(phone, link)
    assert opened(phone, link) == online
    assert is_styled(phone)
    assert opened(phone, link + "en.html")["language"] == "en"


@pytest.mark.others_long
def test_a_host_that_lets_browsers_keep_pages_for_hours_shows_and_keeps_the_moved_plan(
    phone: Phone, site: Site
) -> None:
    """Some hosts send one lifetime for all files; nothing may be taken from the browser's own cache."""

    def generous(path: str) -> bytes:
        return site.file(path).replace(b"Cache-Control: no-cache", b"Cache-Control: max-age=86400")

    link = site.links[TWO_LANGUAGES]
    with site.answering(generous):
        opened(phone, link)
        opened(phone, link + "en.html")
        site.move(TWO_LANGUAGES, "2026-03-19T14:00")
        moved = opened(phone, link)
        assert moved["code"] == site.code(TWO_LANGUAGES)
    assert opened(phone, link) == moved
    assert opened(phone, link + "en.html")["code"] == site.code(TWO_LANGUAGES)


@pytest.mark.others_long
def test_a_phone_that_forgot_everything_keeps_the_plan_again(phone: Phone, site: Site) -> None:
    """As after a week without a visit, where the browser then clears what a site kept, its worker too."""
    with site.answering(site.file):
        online = opened(phone, site.links[REF])
        assert phone.awaited(_FORGET)
        assert opened(phone, site.links[REF]) == online
    assert opened(phone, site.links[REF]) == online


_FORGET = """Promise.all([caches.keys(), navigator.serviceWorker.getRegistrations()]).then(
  ([names, workers]) => Promise.all(
    names.map((name) => caches.delete(name)).concat(workers.map((worker) => worker.unregister())))
).then((done) => done.length > 1 && done.every(Boolean))"""
