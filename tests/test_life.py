"""The pages in the place of a plan: held, cancelled, ended, farewell; and a plan that replaces an earlier one."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from generator.desk.objections import missing_findings
from generator.page.booklet import Booklet, booklet_for
from generator.page.calendar_file import entries_in, entries_of
from generator.page.life import Life
from generator.page.plan import Replaced
from generator.plan.moments import zone_named
from tests.notices import Office, office

LONDON = zone_named("Europe/London")
SPANISH, ARABIC = "DEMO-102", "DEMO-103"
# The order to leave off drinking, as it would stand in the three languages.
DO_NOT_DRINK = re.compile(
    r"(do not|don’t|never|stop) drink|no beba|deje de beber|لا تشرب|(يُمنع|توقف عن) (شرب|الشرب)", re.IGNORECASE
)


@pytest.fixture(scope="module")
def unit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("life")) as open_office:
        yield open_office


def text_of(booklet: Booklet, name: str = "index.html") -> str:
    """What a reader reads: no tags, no isolates, one space between words."""
    page = booklet.files[name].decode()
    body = re.sub(r"<script.*?</script>|<head>.*?</head>|<[^>]+>", " ", page, flags=re.DOTALL)
    return re.sub(r" ([.,?])", r"\1", " ".join(body.translate(dict.fromkeys(range(0x2066, 0x206A))).split()))


def events_of(calendar: bytes) -> dict[str, Any]:
    return {str(event["UID"]): event for event in Calendar.from_ical(calendar).walk("VEVENT")}


@pytest.mark.parametrize("what", list(Life))
@pytest.mark.parametrize(
    ("ref", "languages"),
    [
        ("DEMO-101", {"index.html": "en"}),
        (SPANISH, {"index.html": "es", "en.html": "en"}),
        (ARABIC, {"index.html": "ar", "en.html": "en"}),
    ],
)
def test_every_page_has_the_plans_own_names_and_mark(
    unit: Office, what: Life, ref: str, languages: dict[str, str]
) -> None:
    """Written over the plan it leaves nothing of it: same files, same worker's mark, one document per language."""
    plan = booklet_for(unit.plans[ref], unit.desk.parts)
    booklet = unit.booklet(unit.notice(what, ref, begun=True))
    assert list(booklet.files) == list(plan.files)
    assert list(booklet.files)[-1] == "sw.js"
    assert booklet.missing == {}
    mark = unit.plans[ref].identity.mark
    for name, tag in languages.items():
        head = booklet.files[name].decode()[:200]
        assert f'<html lang="{tag}" dir="{"rtl" if tag == "ar" else "ltr"}"' in head
        assert f'data-mark="{mark}"' in head
    line = booklet.files["sw.js"].decode().splitlines()[0]
    worker = json.loads(line.removeprefix("const PLAN=").removesuffix(";"))
    assert worker["mark"] == mark
    assert worker["pages"] == ["./" if name == "index.html" else name for name in languages]
    assert worker["digest"] not in plan.files["sw.js"].decode().splitlines()[0]


@pytest.mark.parametrize("what", list(Life))
def test_the_same_notice_gives_the_same_bytes(unit: Office, what: Life) -> None:
    first, second = (unit.booklet(unit.notice(what, ARABIC, begun=True)) for _ in range(2))
    assert (first.files, first.facts, first.digest) == (second.files, second.facts, second.digest)


@pytest.mark.parametrize("begun", [False, True])
@pytest.mark.parametrize("what", [Life.HELD, Life.CANCELLED])
def test_no_page_says_not_to_drink(unit: Office, what: Life, *, begun: bool) -> None:
    """Read literally it forbids water to somebody half emptied (common practice, no source)."""
    for ref in ("DEMO-101", SPANISH, ARABIC):
        booklet = unit.booklet(unit.notice(what, ref, begun=begun))
        for name in booklet.files:
            if name.endswith(".html"):
                assert not DO_NOT_DRINK.search(text_of(booklet, name)), (ref, name)


def test_the_search_for_that_order_finds_it_in_every_language() -> None:
    for order in ("Do not drink.", "No beba nada.", "Deje de beber.", "لا تشرب", "يُمنع الشرب"):
        assert DO_NOT_DRINK.search(order), order


def test_held_before_anything_was_due(unit: Office) -> None:
    text = text_of(unit.booklet(unit.notice(Life.HELD)))
    assert "Your appointment has changed Do not follow the old times. Call the unit." in text
    assert "Do not start the bowel medicine. You may eat and drink." in text
    assert "Have you stopped or changed a tablet or an injection? Ask what to do now." in text
    assert "Take no more of the bowel medicine until someone has answered." not in text
    assert "Your new appointment" not in text


def test_held_after_a_dose_was_due(unit: Office) -> None:
    text = text_of(unit.booklet(unit.notice(Life.HELD, begun=True)))
    assert "Take no more of the bowel medicine until someone has answered." in text
    assert "Have you taken some of it? Keep to clear drinks, not only water." in text
    assert "01632 960 145 Monday to Friday, from 08:00 to 17:00" in text
    assert f"Your call number: {unit.plans['DEMO-101'].identity.call_number}" in text


def test_held_names_the_new_appointment_when_it_is_known(unit: Office) -> None:
    """13:00 UTC on 31 March 2026 is 14:00 in London: summer time began on the 29th (Directive 2000/84/EC's rule)."""
    arrival = dt.datetime(2026, 3, 31, 13, 0, tzinfo=dt.UTC)
    text = text_of(unit.booklet(unit.notice(Life.HELD, new_arrival=arrival)))
    assert "be at the unit on Tuesday 31 March at 14:00 (2:00 in the afternoon)." in text


@pytest.mark.parametrize("begun", [False, True])
def test_cancelled(unit: Office, *, begun: bool) -> None:
    text = text_of(unit.booklet(unit.notice(Life.CANCELLED, begun=begun)))
    assert "Take no more of the bowel medicine. Eat and drink normally again." in text
    assert "Have you stopped or changed a tablet or an injection? Call the unit today." in text
    assert ("You may still need the toilet for some hours." in text) is begun
    assert ("Broth and drinks with some sugar and salt" in text) is begun
    assert "Nobody answers and you feel worse? Ring the emergency number" in text


@pytest.mark.parametrize("what", [Life.HELD, Life.CANCELLED, Life.ENDED])
def test_the_page_says_whose_place_it_takes(unit: Office, what: Life) -> None:
    """Procedure of DEMO-101: Wednesday 18 March 2026 at 09:30, from the booking list."""
    code = unit.plans["DEMO-101"].identity.code
    text = text_of(unit.booklet(unit.notice(what)))
    assert f"This page takes the place of the plan with the code {code}." in text
    assert "The old plan was for Wednesday 18 March, 09:30. Made on Tuesday 17 March." in text
    assert "Plan code 531" in text
    without = text_of(unit.booklet(unit.notice(what, replaces=None)))
    assert "takes the place" not in without
    assert "old plan" not in without.replace("The old plan elsewhere", "")


def test_a_page_of_the_plans_own_version_names_its_code_once(unit: Office) -> None:
    notice = unit.notice(Life.HELD)
    same = replace(notice, identity=replace(notice.identity, code=unit.plans["DEMO-101"].identity.code))
    text = text_of(unit.booklet(same))
    assert "Plan code" not in text
    assert f"the plan with the code {same.identity.code}." in text


def test_ended_keeps_after_care_and_the_signs(unit: Office) -> None:
    text = text_of(unit.booklet(unit.notice(Life.ENDED)))
    for sentence in (
        "Do not drive or ride a bicycle.",
        "You bleed a lot",
        "You feel faint, or your heart races",
        "Pain in the chest",
        "Fever, or you shiver",
        "What comes out is black like tar",
    ):
        assert text.count(sentence) == 1, sentence
    # Over the signs, and for somebody with low sugar who cannot swallow.
    assert text.count("Ring the emergency number now: 01632 960 999") == 2
    for before in ("You vomit the bowel medicine", "Hours after the first dose", "Stop the bowel medicine"):
        assert before not in text


def test_the_farewell_shows_nothing_of_the_booking(unit: Office) -> None:
    for ref in ("DEMO-101", SPANISH, ARABIC):
        plan = unit.plans[ref]
        booklet = unit.booklet(unit.notice(Life.FAREWELL, ref))
        for name in ("index.html", "plan.ics", "app.webmanifest"):
            content = booklet.files[name].decode()
            for secret in (plan.identity.code, plan.identity.call_number, "531", plan.identity.token):
                # Not as part of a digest in hex, such as the mark and the folder of the shared files.
                assert not re.search(rf"(?<![0-9a-f]){secret}(?![0-9a-f])", content), (name, secret)
        text = text_of(booklet)
        assert re.findall(r"\b\d\d:\d\d\b", text) == ["08:00", "17:00", "08:00", "12:00"]  # the unit's hours
        assert not re.search(r"March|marzo|مارس", text)


@pytest.mark.parametrize("what", list(Life))
def test_title_preview_and_icon_name_nothing(unit: Office, what: Life) -> None:
    whole = unit.booklet(unit.notice(what)).files["index.html"].decode().split("</head>")[0]
    head = re.sub("<style>.*?</style>", "", whole, flags=re.DOTALL)
    assert re.findall(r"<title>(.*?)</title>", head) == ["Your appointment plan"]
    for word in ("bowel", "colon", "March", "531", "cancel", "Endoscopy"):
        assert word not in head


@pytest.mark.parametrize("what", [Life.HELD, Life.CANCELLED])
def test_the_calendar_file_takes_back_every_entry(unit: Office, what: Life) -> None:
    """RFC 5545, 3.8.1.11 and 3.8.7.4, judged by the icalendar package: the same UID, a higher SEQUENCE."""
    plan = unit.plans[ARABIC]
    old = events_of(booklet_for(plan, unit.desk.parts).files["plan.ics"])
    raw = unit.booklet(unit.notice(what, ARABIC)).files["plan.ics"]
    new = events_of(raw)
    assert list(new) == list(old)
    assert len(new) == 7
    for uid, event in new.items():
        assert event["STATUS"] == "CANCELLED"
        assert int(event["SEQUENCE"]) > int(old[uid]["SEQUENCE"])
        assert event["DTSTART"].dt == old[uid]["DTSTART"].dt
        assert event["DTSTAMP"].dt.isoformat() == "2026-03-17T20:30:00+00:00"
        assert plan.identity.code in str(event["SUMMARY"])
    assert b"BEGIN:VALARM" not in raw


@pytest.mark.parametrize("what", [Life.ENDED, Life.FAREWELL])
def test_a_calendar_file_after_the_end_has_no_entries(unit: Office, what: Life) -> None:
    assert events_of(unit.booklet(unit.notice(what)).files["plan.ics"]) == {}


def test_entries_are_read_back_from_what_is_up(unit: Office) -> None:
    """So taking a plan down needs no plan worked out anew; what was cancelled once can be cancelled again."""
    plan = unit.plans[SPANISH]
    for booklet in (booklet_for(plan, unit.desk.parts), unit.booklet(unit.notice(Life.HELD, SPANISH))):
        found = entries_in(booklet.files["plan.ics"])
        assert [(one.step_id, one.start, one.end) for one in found] == [
            (one.step_id, one.start, one.end) for one in entries_of(plan.timetable)
        ]
    assert entries_in(b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n") == ()


def test_a_later_plan_says_which_one_it_replaces_and_cancels_its_other_entries(unit: Office) -> None:
    plan = unit.plans["DEMO-101"]
    gone = replace(entries_of(plan.timetable)[0], step_id="no-longer-a-step")
    earlier = Replaced(
        "412", dt.datetime(2026, 3, 11, 14, 0, tzinfo=LONDON), (*entries_of(plan.timetable), gone)
    )
    later = replace(plan, replaces=earlier, identity=replace(plan.identity, code="678", version=2))
    booklet = booklet_for(later, unit.desk.parts)
    assert (
        "Your appointment has moved. Use only the times on this page. This plan takes the place of the one with "
        "code 412 for Wednesday 11 March, 14:00. Made on Monday 16 March." in text_of(booklet)
    )
    events = events_of(booklet.files["plan.ics"])
    cancelled = [uid for uid, event in events.items() if event.get("STATUS") == "CANCELLED"]
    assert [uid.split("-", 1)[1] for uid in cancelled] == ["no-longer-a-step@daybefore.invalid"]
    taken_back = events_of(unit.booklet(unit.notice(Life.HELD)).files["plan.ics"])
    for uid in events.keys() & taken_back.keys():  # of version 2: after what cancelled version 1's
        assert int(events[uid]["SEQUENCE"]) < int(taken_back[uid]["SEQUENCE"])
    same_time = replace(later, replaces=replace(earlier, start=plan.timetable.procedure))
    assert "Your plan has changed. Use only" in text_of(booklet_for(same_time, unit.desk.parts))
    assert "takes the place" not in text_of(booklet_for(plan, unit.desk.parts))


@pytest.mark.parametrize(
    "lost", ["A.held.order", "A.cancelled.make-up", "C.farewell.kept", "A.call.unit.heart"]
)
def test_a_language_that_could_not_take_a_plan_down_gets_none(unit: Office, lost: str) -> None:
    """Also for a sentence that the plan's own page does not show."""
    plan = unit.plans[SPANISH]
    spanish, english = plan.wordings
    texts = {name: text for name, text in spanish.texts.items() if name != lost}
    booklet = booklet_for(replace(plan, wordings=(replace(spanish, texts=texts), english)), unit.desk.parts)
    assert booklet.missing == {"es": (lost,)}
    [finding] = missing_findings(booklet, unit.desk.wordings)
    assert (finding.kind, finding.where, finding.severity.value) == ("language-missing", "es", "refuse")


@pytest.mark.parametrize("lost", ["sentence", "language"])
@pytest.mark.parametrize("what", list(Life))
def test_taking_down_is_never_refused(unit: Office, what: Life, lost: str) -> None:
    """Where the language is no longer whole, its document stands in English as a whole, under its own name."""
    wordings = dict(unit.desk.wordings)
    spanish = wordings.pop("es")
    if lost == "sentence":
        texts = {name: text for name, text in spanish.texts.items() if name != "A.held.order"}
        wordings["es"] = replace(spanish, texts=texts)
    broken = Office(replace(unit.desk, wordings=wordings), unit.plans)
    booklet = broken.booklet(broken.notice(what, SPANISH, begun=True))
    assert booklet.missing == {"es": ("A.held.order",) if lost == "sentence" else ("",)}
    page = booklet.files["index.html"].decode()
    assert '<html lang="en" dir="ltr"' in page
    assert not re.search(r"[¿¡]|\bunidad\b", page)
    assert booklet.files.keys() == unit.booklet(unit.notice(what, SPANISH)).files.keys()


def test_put_up_in_the_plans_place_nothing_of_the_plan_is_left(tmp_path: Path) -> None:
    with office(tmp_path) as unit:
        plan = unit.plans[SPANISH]
        unit.desk.shelf.put(plan.identity.token, booklet_for(plan, unit.desk.parts))
        notice = unit.notice(Life.CANCELLED, SPANISH)
        unit.put(notice)
        folder = tmp_path / "public" / "p" / plan.identity.token
        there = {path.name: path.read_bytes() for path in folder.iterdir()}
        assert there == unit.booklet(notice).files
