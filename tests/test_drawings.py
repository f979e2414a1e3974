"""The drawings of one plan: what is in them hangs on the booking, they stand at their places, and run as one reads.

What is drawn where is the trade's list of twelve drawings; angles of clock hands are those of any clock.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import pytest

from generator.clinic.advice import Advice
from generator.page import drawing
from generator.page.booklet import booklet_for
from generator.page.copies import copy_name
from generator.page.drawings import SHOWS, Drawing, drawings_of
from generator.page.plan import Plan
from tests.notices import Office, office
from tests.test_starters import FILES, planned

# Where each stands: part of the page, and what comes last before it.
PLACES = {
    "read-through": ("steps", "Take clear drinks only"),
    "mix": ("steps", "Mix the bowel medicine"),
    "jug-glass": ("steps", "Drink the bowel medicine"),
    "nothing-more": ("steps", "Take nothing more, not even water"),
    "night": (
        "alarms",
        "This page cannot ring. Set an alarm on your phone or clock for each of these times:",
    ),
    "way": ("alarms", "Keep the phone near your bed, charged and not on silent."),
    "bag": ("day", "What to bring"),
    "table": ("day", "What happens"),
    "clean": ("day", "Why the bowel must be clean"),
    "polyp": ("day", "Stool hides what the doctor looks for. Then it may have to be done again."),
    "home": ("afterwards", "After medicine that makes you sleepy"),
}
TURNS = {"night", "mix", "bag", "polyp", "home"}


@pytest.fixture(scope="module")
def unit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("drawings")) as open_office:
        yield open_office


def drawn(unit: Office, plan: Plan | str) -> dict[str, Drawing]:
    plan = unit.plans[plan] if isinstance(plan, str) else plan
    return drawings_of(plan, unit.desk.parts.drawn)


def with_booking(unit: Office, ref: str = "DEMO-101", **more: Any) -> Plan:
    plan = unit.plans[ref]
    return replace(plan, booking=replace(plan.booking, **more))


def pictures(html: str) -> list[tuple[str, str, str, str]]:
    """Name, alternative text, part of the page, and the words just before it, for each drawing in a document."""
    found = []
    for picture in re.finditer(
        r'<img class="drawing" [^>]*src="[^"]*?([a-z-]+?)(?:-[0-9a-f]{8})?\.svg"[^>]*alt="([^"]*)">', html
    ):
        before = html[: picture.start()]
        part = re.findall(r'<section id="([a-z]+)"', before)[-1]
        words = re.sub(r"\s*<[^>]+>\s*", "\n", before).rstrip("\n").rpartition("\n")[2]
        found.append((picture[1], picture[2], part, words))
    return found


def test_each_stands_at_its_place_and_says_what_it_shows(unit: Office) -> None:
    html = booklet_for(unit.plans["DEMO-101"], unit.desk.parts).files["index.html"].decode()
    assert {name: (part, words) for name, _, part, words in pictures(html)} == PLACES
    assert {name: alt for name, alt, _, _ in pictures(html)} == {
        name: message.english for name, message in SHOWS.items()
    }
    assert len(pictures(html)) == 11


def test_what_they_show_is_said_in_the_language_of_the_page(unit: Office) -> None:
    booklet = booklet_for(unit.plans["DEMO-103"], unit.desk.parts)
    alts = {name: alt for name, alt, _, _ in pictures(booklet.files["index.html"].decode())}
    assert set(alts) == set(SHOWS)
    assert all(re.search("[\u0620-\u064a]", alt) and not re.search("[A-Za-z]", alt) for alt in alts.values())


def test_every_picture_named_is_published_beside_the_page(unit: Office) -> None:
    for plan in unit.plans.values():
        booklet = booklet_for(plan, unit.desk.parts)
        for name, html in booklet.files.items():
            if name.endswith(".html"):
                named = re.findall(r'src="\.\./\.\./(a/[^"]*\.svg)"', html.decode())
                assert len(named) >= 16, name  # six of the bowl, ten or more drawings
                assert set(named) <= set(booklet.assets), name


def test_in_a_copy_they_are_inside(unit: Office) -> None:
    plan = unit.plans["DEMO-101"]
    copy = booklet_for(plan, unit.desk.parts, copies=True).copies[copy_name(plan.identity, "en")].decode()
    inside = re.findall(r'<img class="drawing" src="(data:image/svg\+xml;base64,)', copy)
    assert len(inside) == 11


def test_each_keeps_the_rules_for_drawings(unit: Office) -> None:
    """Common practice, no source: 3 KiB, one ink, one tint, white, lines of 3, nothing to read, no shades."""
    for ref in unit.plans:
        for name, one in drawn(unit, ref).items():
            for direction in ("ltr", "rtl") if one.made else ():
                content = one.content(direction)
                assert len(content) <= 3072, name
                root = ElementTree.fromstring(content)
                assert root.attrib["viewBox"] == "0 0 320 200"
                assert (root.attrib["stroke-width"], root.attrib["stroke-linecap"]) == ("3", "round")
                tags = {element.tag.rpartition("}")[2] for element in root.iter()}
                assert tags <= {"svg", "g", "path", "circle", "ellipse"}, name
                text = content.decode()
                assert set(re.findall(r"#[0-9a-f]{3,6}\b", text)) <= {"#1c2422", "#cfe0d3", "#fff"}, name
                assert "{" not in text, name


def test_what_must_not_be_mirrored_is_the_same_from_right_to_left(unit: Office) -> None:
    """Glass, jug, clock, the left side and the bowel stay; what is a way in time or space turns."""
    for name, one in drawn(unit, "DEMO-103").items():
        assert (one.file("ltr") != one.file("rtl")) == (name in TURNS), name
    turned = drawn(unit, "DEMO-103")["home"].content("rtl").decode()
    assert '<g transform="matrix(-1 0 0 1 320 0)">' in turned
    assert '<g transform="translate(40 160)scale(-1 1)">' in turned


def test_the_clock_shows_the_hour_from_which_nothing_more_is_taken(unit: Office) -> None:
    """07:30: the long hand straight down, the short one halfway from 7 to 8: 225 degrees from the top."""
    assert unit.plans["DEMO-101"].timetable.procedure.hour == 9  # 09:30, and two hours before it nothing more
    text = drawn(unit, "DEMO-101")["nothing-more"].made
    assert '<path d="M0 0L0.0 26.0"/><path stroke-width="6" d="M0 0L-10.1 10.1"/>' in text


@pytest.mark.parametrize(
    ("hour", "long", "short"),
    [
        ("00:00", "0.0 -20.0", "0.0 -11.0"),
        ("03:00", "0.0 -20.0", "11.0 -0.0"),
        ("18:15", "20.0 -0.0", "-1.4 10.9"),
    ],
)
def test_hands_stand_as_on_any_clock(hour: str, long: str, short: str) -> None:
    assert drawing.hands(dt.time.fromisoformat(hour), 20) == (
        f'<path d="M0 0L{long}"/><path stroke-width="6" d="M0 0L{short}"/>'
    )


def test_the_night_has_the_evening_the_alarm_and_the_way(unit: Office) -> None:
    """DEMO-101: alarms from 18:00 on the eve, 05:15 in the morning, leaving at 08:40."""
    text = drawn(unit, "DEMO-101")["night"].made
    for hour in ("18:00", "05:15", "08:40"):
        assert drawing.hands(dt.time.fromisoformat(hour), 15) in text, hour
    assert text.count("<circle r=") == 3


def test_the_bag_holds_what_is_theirs_to_bring(unit: Office) -> None:
    bag = drawing.parts_of(unit.desk.parts.drawn["bag"])

    def packed(plan: Plan) -> set[str]:
        made = drawn(unit, plan)["bag"].made
        return {name for name, content in bag.items() if content in made}

    usual = {"letter", "medicines-list", "glasses", "hearing-aids", "spare-clothes", "pads", "phone"}
    assert packed(unit.plans["DEMO-101"]) == usual
    assert packed(with_booking(unit, factors=("diabetes-tablets-or-insulin",))) == usual | {"diabetes-kit"}
    assert packed(with_booking(unit, call_first=("insulin",))) == usual | {"diabetes-kit"}
    assert packed(with_booking(unit, call_first=("iron",))) == usual
    assert packed(with_booking(unit, factors=("colostomy",))) == usual | {"stoma-bag"}
    unsigned = replace(unit.plans["DEMO-101"], advice=Advice())
    assert packed(unsigned) == usual - {"pads", "phone"}


def test_the_mix_is_in_a_jug_or_a_cup_and_waits_only_where_it_must(unit: Office) -> None:
    """PEG: two packets in the box, a litre, no waiting. Picosulfate: two packets, 150 mL, 15 minutes: a quarter."""
    jug, cup = drawn(unit, "DEMO-101")["mix"].made, drawn(unit, "DEMO-104")["mix"].made
    handle, quarter, steam = "c-20 0-20 26 3 26", "A26 26 0 0 1 26.0 -0.0z", "q-6-8 0-16"
    assert (jug.count(handle), cup.count(handle)) == (3, 0)
    assert (quarter in jug, quarter in cup) == (False, True)
    assert (steam in jug, steam in cup) == (False, True)
    packet = "V4m0-28h-24"
    assert (jug.count(packet), cup.count(packet)) == (2, 2)
    plan = unit.plans["DEMO-101"]
    for pieces, count in ((1, 1), (3, 3), (8, 0)):
        many = drawn(unit, replace(plan, protocol=replace(plan.protocol, pieces=pieces)))["mix"].made
        assert many.count("m0-28h-") == count, pieces


def test_home_strikes_out_what_must_wait(unit: Office) -> None:
    """24 hours after a calming medicine: the clock turns round. Unsigned: no clock, for no hour is known."""
    parts = drawing.parts_of(unit.desk.parts.drawn["home"])

    def shown(plan: Plan) -> set[str]:
        made = drawn(unit, plan)["home"].made
        return {name for name, content in parts.items() if drawing.with_parts(content, ()) in made}

    assert shown(with_booking(unit, sedation="conscious")) == {"day", "drive", "alcohol", "sign"}
    assert shown(with_booking(unit, sedation=None)) == {"day", "drive", "alcohol", "sign"}
    assert shown(replace(unit.plans["DEMO-101"], advice=Advice())) == {"drive", "alcohol", "sign"}
    assert "home" not in drawn(unit, with_booking(unit, sedation="gas"))  # the unit lets people go alone


def test_equal_drawings_share_a_file_and_other_ones_do_not(unit: Office) -> None:
    one, other = drawn(unit, "DEMO-101"), drawn(unit, "DEMO-102")
    assert one["bag"].file("ltr") == other["bag"].file("ltr")
    assert one["nothing-more"].file("ltr") != other["nothing-more"].file("ltr")
    assert re.fullmatch(r"nothing-more-[0-9a-f]{8}\.svg", one["nothing-more"].file("rtl"))


@pytest.mark.long
@pytest.mark.parametrize(
    "day", [dt.date(2026, 3, 29), dt.date(2026, 10, 25)], ids=["clocks-forward", "clocks-back"]
)
def test_every_starter_can_be_drawn(unit: Office, day: dt.date) -> None:
    """From early to late starts, in the nights in which the clocks change: small, sound, nothing left blank."""
    plan = unit.plans["DEMO-101"]
    made = 0
    for name in FILES:
        for at in (dt.time(7, 30), dt.time(11), dt.time(16, 30)):
            timetable = planned(name, day, at, 30)
            if not timetable.steps:
                continue  # nothing fits, so there is no plan to draw
            booking = replace(plan.booking, start=timetable.procedure)
            for one in drawn(unit, replace(plan, timetable=timetable, booking=booking)).values():
                if one.made:
                    made += 1
                    content = one.content("rtl")
                    assert len(content) <= 3072
                    assert b"{" not in content
                    assert ElementTree.fromstring(content).attrib["viewBox"] == "0 0 320 200"
    assert made > 100


@pytest.mark.parametrize(
    ("wished", "places"),
    [([50, 200, 280], [50, 200, 280]), ([20, 200, 230], [30, 200, 260]), ([250, 270, 290], [170, 230, 290])],
)
def test_clocks_stand_apart_as_near_to_their_hours_as_there_is_room(
    wished: list[float], places: list[float]
) -> None:
    assert drawing.spread(wished, least=60, low=30, high=290) == places


def test_a_part_left_out_takes_what_is_in_it_along() -> None:
    source = '<svg><g id="a"><g><path/></g></g><g id="b"><circle/></g></svg>'
    assert drawing.with_parts(source, ["b"]) == "<svg><circle/></svg>"
    assert drawing.with_parts(source, ["a"]) == "<svg><g><path/></g></svg>"
    assert drawing.parts_of(source) == {"a": "<g><path/></g>", "b": "<circle/>"}
