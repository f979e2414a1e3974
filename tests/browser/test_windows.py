"""Windows that cannot do all: no worker, no memory, no script; and phones whose clock is not the unit's."""

from __future__ import annotations

import re

import pytest

from tests.browser.conftest import Engine
from tests.browser.phones import Phone, Window
from tests.browser.reading import is_styled, opened, plan_on
from tests.browser.served import PlansServer
from tests.browser.site import Site

pytestmark = pytest.mark.browser
REF = "DEMO-101"


@pytest.mark.others_long
def test_a_window_without_workers_shows_the_whole_plan_and_says_that_it_cannot_keep_it(
    engine: Engine, site: Site, server: PlansServer
) -> None:
    """Apps that open links in a window of their own have no service workers in it."""
    with engine(Window(workers=False)) as phone:
        assert phone.value("navigator.serviceWorker === undefined")
        shown = opened(phone, site.links[REF], "impossible")
        assert (shown["code"], len(shown["hours"])) == (site.code(REF), 19)
        assert not phone.sees("[data-when=saved]")
        site.move(REF, "2026-03-19T10:00")
        assert opened(phone, site.links[REF], "impossible")["code"] == site.code(REF) != shown["code"]


@pytest.mark.others_long
def test_a_private_window_says_saved_only_if_it_opens_without_the_server(engine: Engine, site: Site) -> None:
    with engine(Window(private=True)) as phone:
        with site.answering(site.file):
            shown = opened(phone, site.links[REF], "saved")
        assert opened(phone, site.links[REF], "saved") == shown


def test_opened_from_the_disk_the_plan_is_whole_and_not_called_saved(phone: Phone, site: Site) -> None:
    """Browsers have service workers there, and refuse to register one."""
    phone.open((site.folder(REF) / "index.html").as_uri())
    phone.until("document.querySelector('#saved').dataset.state === 'impossible'")
    shown = plan_on(phone)
    assert (shown["code"], len(shown["hours"]), is_styled(phone)) == (site.code(REF), 19, True)
    assert phone.sees("[data-when=impossible]")
    assert phone.sees("#first")  # the script runs


@pytest.mark.others_long
def test_without_scripts_the_whole_plan_can_be_read(engine: Engine, site: Site, server: PlansServer) -> None:
    with engine(Window(scripts=False)) as phone:
        phone.open(site.links[REF])
        shown = plan_on(phone)
        assert (shown["code"], len(shown["hours"])) == (site.code(REF), 19)
        assert "Be at the unit on Wednesday 18 March at 09:00" in phone.text("#now")
        assert phone.sees("#now .scriptless")
        for part in ("#card", "#doubt", "button", *(f"[data-when={state}]" for state in ("saved", "saving"))):
            assert not phone.sees(part), part
        for section in ("start", "steps", "food", "clarity", "call", "day", "afterwards"):
            assert phone.sees(f"#{section} h2"), section


def test_on_the_units_clock_there_is_a_now(phone: Phone, site: Site, server: PlansServer) -> None:
    opened(phone, site.links[REF])
    assert not phone.sees("#card")
    phone.click("#first-yes")  # the examination lies behind: nobody is asked whether to start
    assert (phone.sees("#card"), phone.sees("#doubt")) == (True, False)


@pytest.mark.others_long
@pytest.mark.parametrize(("zone", "offset"), [("Asia/Tokyo", -540), ("Etc/UTC", 0)], ids=["far", "an-hour"])
def test_in_another_zone_there_is_no_now_but_the_units_hours(
    engine: Engine, site: Site, server: PlansServer, zone: str, offset: int
) -> None:
    """An hour's difference is also what a phone has whose rules of summer time are out of date."""
    with engine(Window(zone=zone)) as phone:
        opened(phone, site.links[REF])
        assert phone.value("new Date(2026, 2, 17).getTimezoneOffset()") == offset
        _has_only_the_list(phone)


def test_on_a_clock_before_the_plan_was_made_there_is_no_now(
    phone: Phone, site: Site, server: PlansServer
) -> None:
    """No engine but Chromium can be given another moment, so here the plan was made long after the phone's."""
    page = site.folder(REF) / "index.html"
    text, count = re.subn(r'"made":\d+', '"made":99999999', page.read_text("utf-8"))  # the year 2160
    assert count == 1
    page.write_text(text, "utf-8")
    opened(phone, site.links[REF])
    _has_only_the_list(phone)


def _has_only_the_list(phone: Phone) -> None:
    assert (phone.sees("#card"), phone.sees("#doubt")) == (False, True)
    assert phone.value("document.querySelectorAll('[aria-current=step]').length") == 0
    assert phone.text("#step-morning-dose .hour").startswith("05:30")
