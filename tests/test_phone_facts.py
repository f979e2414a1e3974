"""What phones make of a page beyond its words: addresses, icon, saved entry, dates that they would guess at."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from PIL import Image

from tests.command import ROOT
from tests.plans import Built, built

SCRIPTS = sorted((ROOT / "static" / "page").glob("*.js"))


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The demonstration's plans."""
    return built(tmp_path_factory.mktemp("plans"))


def _pages(plans: Built) -> dict[str, str]:
    return {str(path): path.read_text("utf-8") for path in plans.data.glob("public/p/*/*.html")}


def test_every_link_ends_with_a_slash(plans: Built) -> None:
    """A worker's scope is a prefix with its slash: the link without it does not open offline."""
    assert len(plans.links) == 6
    assert all(link.endswith(f"/p/{plans.token(ref)}/") for ref, link in plans.links.items())


def test_no_folder_of_plans_can_be_listed(plans: Built) -> None:
    """Where a server lists folders, an empty page stands in the way of the list."""
    for folder in (plans.data / "public", plans.data / "public" / "p"):
        assert (folder / "index.html").read_bytes() == b""


def test_the_saved_entry_is_of_its_own_folder_and_names_nothing(plans: Built) -> None:
    """A manifest elsewhere, or without start and scope, has saved the wrong page; its name never changes on a phone."""
    manifests = list(plans.data.glob("public/p/*/*.webmanifest"))
    assert len(manifests) == len(_pages(plans))
    for path in manifests:
        told = json.loads(path.read_text("utf-8"))
        assert (told["id"], told["scope"]) == ("./", "./")
        assert (path.parent / told["start_url"]).resolve().is_relative_to(path.parent.resolve())
        assert not re.search(r"\d", told["name"] + told["short_name"])


def test_the_page_names_the_day_to_open_it_once_more(plans: Built) -> None:
    """Phones forget pages that are not opened for a week: two days before, or one if that is nearer than the making."""
    for ref, day in (("DEMO-106", "Saturday 21 March"), ("DEMO-101", "Tuesday 17 March")):
        page = (plans.folder(ref) / "index.html").read_text("utf-8")
        words = re.sub("<[^>]+>|[\u2066-\u2069]", "", page)
        assert f"Saved on this phone. It opens without internet. Open it again on {day}." in words


def test_the_icon_is_a_square_without_transparency(plans: Built) -> None:
    """180 by 180 px, opaque: what iOS asks of an apple-touch-icon (common practice, no source)."""
    for page in _pages(plans).values():
        assert re.search(r'<link rel="apple-touch-icon" href="\.\./\.\./a/[0-9a-f]+/icon-180\.png">', page)
    with Image.open(ROOT / "static" / "page" / "icon-180.png") as icon:
        assert icon.size == (180, 180)
        assert icon.convert("RGBA").getchannel("A").getextrema() == (255, 255)


def test_no_phone_makes_links_of_hours_and_no_preview_tells_anything(plans: Built) -> None:
    for name, page in _pages(plans).items():
        assert '<meta name="format-detection" content="telephone=no,date=no,address=no">' in page, name
        assert '<meta name="referrer" content="no-referrer">' in page, name
        assert not re.search(r'property="og:(description|image|url)"', page), name


def test_pages_lead_nowhere_else_and_open_from_the_disk(plans: Built) -> None:
    """No other host, no path from the top; an integrity attribute keeps a script from running under file://.

    The plan's own address stands in full once, to be pressed and sent.
    """
    own = set(plans.links.values())
    for name, page in _pages(plans).items():
        addresses = re.findall(r'(?:href|src)="([^"]*)"', page)
        assert len(addresses) > 5, name
        assert sum(at in own for at in addresses) == 1, name
        assert [at for at in addresses if re.match(r"/|(?!tel:)[a-z]+:", at) and at not in own] == [], name
        assert "integrity=" not in page, name


def test_no_picture_tells_anything_by_its_colour(plans: Built) -> None:
    """A browser may recolour a page for darkness. The code to scan is black on its own white; what the drawings
    show is told apart without colour: tests/browser/test_pictures.py."""
    for name, page in _pages(plans).items():
        shown = [address.split("/a/")[-1][13:] for address in re.findall(r'<img[^>]* src="([^"]+)"', page)]
        assert [one for one in shown if one.startswith("pictures/bowl")] == [
            f"pictures/bowl-{one}.svg" for one in ("seen", "hidden", "flecks", "bits", "pale", "brown")
        ], name
        assert re.findall(r'<img[^>]* src="([^"]+)"', page)[-1] == "qr.svg", name


def test_nobody_is_asked_to_put_the_page_on_the_home_screen(plans: Built) -> None:
    """Doing so sends the address to the phone's maker on Android, and splits what is kept on an iPhone."""
    for name, page in _pages(plans).items():
        assert not re.search(r"home ?screen|pantalla de inicio|الشاشة الرئيسية", page, re.IGNORECASE), name
    for script in SCRIPTS:
        assert "beforeinstallprompt" not in script.read_text("utf-8"), script.name


@pytest.mark.parametrize("script", SCRIPTS, ids=[path.name for path in SCRIPTS])
def test_no_script_reads_or_writes_dates_in_words(script: Path) -> None:
    """Phones differ in how they read dates, and old ones have old rules of zones: only numbers are compared. The header
    Date (RFC 9110, 5.6.7) has the one form that ECMA-262 has every engine read: that of toUTCString."""
    text = script.read_text("utf-8").replace("Date.parse(headers.get('date') || '')", "")
    in_words = r"\bIntl\.[A-Z]|toLocale\w+|Date\.parse|new Date\((?!\)|[\w.]+ \* 86400000\))|Temporal"
    assert re.findall(in_words, text) == []
