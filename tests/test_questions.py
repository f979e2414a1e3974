"""What patients ask: each question of the list is met, and whatever touches medicine is the unit's word or a call.

The numbers are those of a list of 83 questions, reworded from public leaflets, clinics' question pages and forums, with
the answer usual in the trade and whether it says "call"; and of 46 problems at a clinic's desk, of which those that
touch the page stand here.
"""

from __future__ import annotations

import datetime as dt
import gzip
import json
import re
import tomllib
from html.parser import HTMLParser
from pathlib import Path

import pytest

from generator.clinic.answer import answers_from
from generator.clinic.booking import Booking
from generator.materials.shipped import read_shipped
from generator.materials.unit_folder import read_unit_folder
from generator.page.catalogue import catalogue
from generator.page.questions import (
    ANSWERABLE,
    ASKED_AT,
    ASKED_AT_NIGHT,
    LED_TO,
    MOMENTS,
    QUESTIONS,
    parts_of,
    questions_in,
)
from generator.plan.cases import Cases
from tests.command import DEMO_UNIT, ROOT, run, run_json
from tests.nouns import plan, protocol_of
from tests.plans import Built, built, copy_of_demo_unit

MESSAGES = catalogue(read_shipped().templates)
STARTER = ROOT / "templates" / "unit" / "answers.toml"

# Number in the list -> the question of the page. A fragment of what is asked, as in the list, stands beside it.
MEETS = {
    1: "iron", 2: "thinner", 3: "diabetes", 4: "diabetes", 5: "times", 6: "times", 7: "rarely", 8: "pregnant",
    9: "illness", 10: "device", 11: "illness", 12: "stoma", 13: "illness", 14: "illness", 15: "period",
    16: "other-product", 17: "change-date", 18: "illness", 19: "short-notice", 20: "ate-seeds", 21: "ate-seeds",
    22: "ate-solid", 23: "ate-solid", 24: "red-drinks", 25: "red-tablet", 26: "vegetarian", 27: "jelly",
    28: "alcohol", 29: "hungry", 30: "work", 31: "work", 32: "sweets", 33: "fibre", 34: "taste", 35: "warm-cup",
    36: "sick", 37: "vomited", 38: "vomited", 39: "cracker", 40: "nothing-yet", 41: "looks-clean", 42: "diarrhoea",
    43: "started-after", 44: "mixed-up", 45: "mixed-up", 46: "too-fast", 47: "mix-in", 48: "cold", 49: "cramps",
    50: "dizzy", 51: "blood", 52: "sore", 53: "usual-tablets", 54: "pill", 55: "forgot-tablets", 56: "no-sheet",
    57: "spilled", 58: "all-night", 59: "bed", 60: "earlier-dose", 61: "overslept", 62: "clocks",
    63: "brown-at-night", 64: "aim", 65: "still-brown", 66: "drank-after", 67: "morning-tablets", 68: "low-sugar",
    69: "way", 70: "companion", 71: "teeth", 72: "smoking", 73: "waiting", 74: "no-sedation", 75: "soiling",
    76: "again", 77: "bleeding-after", 78: "no-stool", 79: "belly-after", 80: "restart", 81: "journey",
    82: "forgot-words", 83: "vein",
}  # fmt: skip
# Marked "call" or "urgent" in the list, if only for some who ask.
MARKED = {
    *range(1, 15), 16, 17, 18, 19, 21, 22, 23, 29, 30, 38, 39, 40, 43, 44, 45, 46, 47, 48, 49, 50, 51, 53, 55, 56, 57,
    60, 61, 65, 66, 67, 68, 70, 74, 77, 79, 80, 81, 82, 83,
}  # fmt: skip
# Not so marked, yet the answer tells somebody to take, stop, space or replace a medicine, or to go on after vomiting:
# a panel from the trade has struck them from what may be answered without a signature.
STRUCK = {25, 33, 36, 37, 42, 54}
# What our own words say to the rest.
SELF = {
    15: ["B.answer.period"],
    20: ["B.answer.ate-seeds", "B.answer.ate-seeds-when", "A.answer.call", "A.step.keep-to-plan"],
    24: ["B.answer.red-drinks"],
    26: ["B.answer.vegetarian"],
    27: ["B.answer.jelly"],
    28: ["B.answer.alcohol"],
    31: ["B.answer.work", "B.answer.work-shift", "A.answer.call", "A.step.keep-to-plan"],
    32: ["B.answer.sweets", "B.food.other"],
    34: ["B.answer.taste", "B.answer.taste-flavour"],
    35: ["B.answer.warm-cup"],
    41: ["A.clarity.finish"],
    52: ["B.answer.sore"],
    58: ["B.answer.all-night"],
    59: ["B.answer.bed", "A.answer.bed-rise", "A.answer.bed-way"],
    62: ["A.answer.clocks"],
    63: ["B.clarity.expected"],
    64: ["B.clarity.good"],
    69: ["B.answer.way", "B.step.leave-longer", "A.step.keep-to-plan"],
    71: ["B.answer.teeth", "B.answer.jewels"],
    72: ["B.answer.smoking"],
    73: ["B.step.procedure-do", "A.answer.waiting"],
    75: ["B.answer.soiling"],
    76: ["B.answer.again"],
    78: ["B.answer.no-stool", "A.answer.no-stool-belly"],
}
# Problem at the desk -> the messages of the page, or the tests, that meet it.
DESK = {
    2: ["A.mark.replaces", "A.now.letter"],
    5: ["A.cancelled.order"],
    12: ["B.ask.holy-day", "B.answer.holy-day"],  # and no ruling about a faith
    13: ["B.answer.holy-day", "tests/browser/test_questions.py::test_paper_has_every_answer"],
    14: ["tests/test_copies.py::test_a_copy_is_whole_and_points_to_nothing_beside_it"],
    15: [
        "tests/test_phone_facts.py::test_no_phone_makes_links_of_hours_and_no_preview_tells_anything",
        "tests/browser/test_plan_page.py::test_two_plans_on_one_phone_keep_their_own_ticks",
    ],
    16: ["C.keep.phone-only"],
    17: [
        "tests/browser/test_states.py::test_no_barrier_on_the_whole_page",
        "tests/test_phone_facts.py::test_no_picture_tells_anything_by_its_colour",
    ],
    20: ["A.start.stoma", "B.ask.stoma"],
    21: ["A.start.stoma", "A.answer.until-start"],
    22: ["A.start.pregnant", "B.ask.pregnant"],
    23: ["B.ask.aids", "B.answer.aids"],
    26: ["tests/test_gate.py::test_one_missing_stamp_refuses_and_names_message_and_role"],
    27: ["B.answer.needles"],
    28: ["tests/test_traps.py::test_two_procedures_in_one_visit"],
    29: ["A.now.letter", "B.step.procedure-do", "A.answer.waiting", "B.ask.change-date"],
    31: [
        "A.now.doubt",
        "tests/browser/test_windows.py::test_in_another_zone_there_is_no_now_but_the_units_hours",
    ],
    32: ["A.day.companion", "B.ask.companion", "A.answer.companion"],
    33: ["A.step.past", "A.step.past-until", "A.answer.short-notice"],
    34: ["B.step.call", "B.step.call-do", "tests/test_traps.py::test_the_tuesday_after_easter"],
    36: ["A.start.organs", "A.start.fluid-limit"],
    37: ["A.start.swallowing"],
    38: ["A.start.failed", "B.ask.rarely"],
    41: ["tests/test_reading_level.py::test_what_patients_read_is_for_the_sixth_grade"],
    42: ["A.step.extra-least", "A.step.drinks-salt"],
    43: ["C.saved.again", "tests/test_phone_facts.py::test_the_page_names_the_day_to_open_it_once_more"],
    44: ["C.keep.qr", "tests/test_phone_facts.py::test_every_link_ends_with_a_slash"],
    45: ["tests/test_calendar_file.py::test_each_file_keeps_the_rules_of_the_format"],
    46: ["tests/test_calendar_file.py::test_the_hours_are_right_in_the_nights_of_the_clock_changes"],
}


BY_WORDS = {one.asked.english: name for name, one in QUESTIONS.items()}


class Page(HTMLParser):
    """A built page: the paragraphs of each question, every id, and every link within the page.

    A question goes by its name on the page, or, where nothing leads to it and it has none, by its English words.
    """

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.answers: dict[str, list[str]] = {}
        self.ids: set[str] = set()
        self.links: set[str] = set()
        self._question: str | None = None
        self._text: list[str] | None = None
        self._asks = False
        self.feed(path.read_text("utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.ids |= {named["id"] or ""} if "id" in named else set()
        if tag == "a" and (named.get("href") or "").startswith("#"):
            self.links.add((named["href"] or "")[1:])
        if tag == "p":
            self._close()  # what follows implies the end tag
        if tag == "section":
            self._asks = named.get("id") == "questions"
        if tag == "details" and self._asks:
            self._question = (named.get("id") or "").removeprefix("ask-")
        elif tag == "summary" and self._asks:
            self._text = []
        elif tag == "p" and self._question:
            self._text = []

    def handle_data(self, data: str) -> None:
        if self._text is not None:
            self._text.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "summary" and self._asks:
            words = "".join(self._text or [])
            self._question = self._question or BY_WORDS.get(words, words)
            self.answers[self._question] = []
            self._text = None
        if tag in ("p", "details"):
            self._close()
        if tag == "details":
            self._question = None

    def _close(self) -> None:
        if self._question and self._text is not None:
            self.answers[self._question].append("".join(self._text))
        self._text = None


@pytest.fixture(scope="module")
def signed(tmp_path_factory: pytest.TempPathFactory) -> Built:
    return built(tmp_path_factory.mktemp("signed"))


@pytest.fixture(scope="module")
def unsigned(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The demonstration's plans when nobody has signed the answers."""
    unit = copy_of_demo_unit(tmp_path_factory.mktemp("unit"))
    lines = (unit / "signoffs.csv").read_text("utf-8").splitlines(keepends=True)
    (unit / "signoffs.csv").write_text("".join(one for one in lines if "answers" not in one), "utf-8")
    return built(tmp_path_factory.mktemp("unsigned"), unit=unit)


def page_of(plans: Built, ref: str = "DEMO-101") -> Page:
    return Page(plans.folder(ref) / "index.html")


def calls(answer: list[str]) -> bool:
    """Whether an answer says to call, by itself or after the question that says whom that is for."""
    return any(one.endswith("Call the unit about this.") for one in answer)


def of_unit() -> dict[str, tuple[str, str | None]]:
    """What the demonstration's unit answers: question -> its text, and until when somebody answers."""
    table = tomllib.loads((DEMO_UNIT / "answers.toml").read_text("utf-8"))
    return {one["question"]: (one["text"], one.get("until")) for one in table["answer"]}


def test_each_of_the_83_questions_has_its_place() -> None:
    assert sorted(MEETS) == list(range(1, 84))
    for number, question in MEETS.items():
        assert number in QUESTIONS[question].numbers
    claimed = {number for one in QUESTIONS.values() for number in one.numbers}
    assert claimed == set(MEETS)
    assert set(SELF) == set(MEETS) - MARKED - STRUCK


@pytest.mark.parametrize("number", SELF)
def test_what_our_own_words_answer(number: int) -> None:
    assert [message.id for message in parts_of(QUESTIONS[MEETS[number]], {})] == SELF[number]


@pytest.mark.parametrize("number", sorted(MARKED | STRUCK))
def test_without_a_signature_the_page_says_to_call_and_what_to_do_until_someone_answers(number: int) -> None:
    said = [message.id for message in parts_of(QUESTIONS[MEETS[number]], {})]
    if number == 79:  # an emergency: its own number, and never the unit's
        assert said == ["A.after.emergency-now"]
        said = [message.id for message in parts_of(QUESTIONS["fever-after"], {})]
    assert "A.answer.call" in said
    assert MESSAGES[said[said.index("A.answer.call") + 1]].english.startswith("Until someone answers, ")


@pytest.mark.parametrize(
    "number", sorted({1, 2, 3, 4, 16, 51, 53, 67, 77, 80, 43, 44, 45, 55, 57, 61} | STRUCK | {38})
)
def test_these_the_unit_may_answer(number: int) -> None:
    """They tell somebody to take, stop, repeat, space or replace a medicine, to go on, or to stay at home bleeding."""
    assert MEETS[number] in ANSWERABLE


def test_unsigned_answers_are_on_no_page(unsigned: Built) -> None:
    for ref in unsigned.links:
        for document in unsigned.folder(ref).glob("*.html"):
            page = document.read_text("utf-8")
            for text, _ in of_unit().values():
                assert text not in page
    answers = page_of(unsigned).answers
    for question in ANSWERABLE & answers.keys():
        assert calls(answers[question])
    assert answers["vomited"] == [
        "Call the unit about this.",
        "Until someone answers, take no more of the bowel medicine.",
        "When to call",
    ]


def test_signed_answers_take_the_place_of_the_call(signed: Built) -> None:
    answers = page_of(signed).answers
    for question, (text, until) in of_unit().items():
        if question in answers:
            assert text in answers[question]
            assert until is None or answers[question].index(until) == answers[question].index(text) + 1
            # Low sugar is called about whatever the unit adds.
            assert calls(answers[question]) is (question == "low-sugar")


def test_unsigned_answers_are_told_to_the_unit(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    (unit / "signoffs.csv").unlink()
    told = read_unit_folder(unit).unsigned_findings(dt.date(2026, 3, 16))
    assert [one.where for one in told if one.where == "answers.toml"] == ["answers.toml"]


def test_the_red_tablet() -> None:
    """Several blood thinners are red or pink: the colour is no reason to take or to leave one."""
    said = [message.english for message in parts_of(QUESTIONS["red-tablet"], {})]
    assert said[0] == "The colour does not matter. It follows the same rules as your other tablets."


def test_low_sugar_is_treated_first_also_when_nothing_may_be_taken_and_on_the_way() -> None:
    said = [message.english for message in parts_of(QUESTIONS["low-sugar"], {})]
    assert said == [
        "Low blood sugar? Take glucose or sugar straight away, at any time. Then call.",
        "Do so on the way to the unit too. Then check your sugar again.",
        "Too drowsy to swallow? Nothing by mouth. Ring the emergency number now: {emergency}.",
        "Was your blood sugar low? Tell the staff as soon as you arrive.",
        "Call the unit about this.",
        "Until someone answers, take no more of the bowel medicine.",
    ]


@pytest.mark.parametrize(
    "question", ["diarrhoea", "started-after", "overslept", "sick", "vomited", "spilled"]
)
def test_nobody_is_told_to_go_on_by_us(question: str) -> None:
    """New or bloody diarrhoea calls first; a dose begun after its time, or after vomiting, is the unit's decision."""
    said = " ".join(message.english for message in parts_of(QUESTIONS[question], {}))
    assert not re.search(r"\b(?:go on|carry on|start now|continue|yes)\b", said, re.IGNORECASE)


def test_our_own_answers_hold_no_figure() -> None:
    """A pause, a gap or an amount is the protocol's or the unit's."""
    ours = [message for name, message in MESSAGES.items() if name[1:].startswith(".answer.")]
    assert len(ours) > 50
    assert [message.id for message in ours if re.search(r"\d", message.english)] == []


def test_when_nothing_has_come_the_plans_own_hour_is_said(signed: Built) -> None:
    """The protocol asks 3 hours after the first dose began at 18:00."""
    said = page_of(signed).answers["nothing-yet"]
    assert [re.sub("[\u2066-\u2069]", "", one) for one in said[-2:]] == [
        "Has nothing come by Tuesday 17 March, 21:00? Call the unit about this.",
        "Until someone answers, take no more of the bowel medicine.",
    ]


def test_where_the_protocol_has_no_hour_the_answer_names_none() -> None:
    dose = {"id": "dose", "kind": "drink", "glasses": 4, "ml": 250, "minutes": 15, "at": "05:00", "day": 0}
    steps = plan(protocol_of(dose), "2026-06-15T10:00+01:00").steps
    asked = {one.id for _, questions in questions_in(steps) for one in questions}
    assert "nothing-yet" in asked
    assert asked.isdisjoint({"forgot-tablets", "clocks"})


def test_tablets_are_asked_about_where_there_are_any() -> None:
    tablets = {"id": "pills", "kind": "tablets", "tablets": 2, "at": "15:00", "day": -1}
    steps = plan(protocol_of(tablets), "2026-06-15T10:00+01:00").steps
    assert "forgot-tablets" in {one.id for _, questions in questions_in(steps) for one in questions}


@pytest.mark.parametrize(("procedure", "asked"), [("2026-03-29T10:00", True), ("2026-03-30T10:00", False)])
def test_the_change_of_clocks_is_asked_about_in_its_night(procedure: str, asked: bool) -> None:
    """Europe/London: summer time began on Sunday 29 March 2026 at 01:00 UTC."""
    folder = read_unit_folder(DEMO_UNIT)
    start = dt.datetime.fromisoformat(procedure + "+01:00")
    booking = Booking("r", start, "peg-ascorbate-split", ("en",), travel_minutes=0)
    steps = Cases(folder.unit, folder.regimens, folder.stated).timetable(booking, None).steps
    assert steps
    assert ("clocks" in {one.id for _, questions in questions_in(steps) for one in questions}) is asked


def test_every_link_within_a_page_leads_somewhere(signed: Built) -> None:
    for ref in signed.links:
        page = page_of(signed, ref)
        assert len(page.answers) >= 65
        assert page.links <= page.ids


def test_the_card_offers_two_or_three_questions_that_the_page_has(signed: Built) -> None:
    for ref in signed.links:
        document = (signed.folder(ref) / "index.html").read_text("utf-8")
        data = json.loads(document.split('id="plan">', 1)[1].split("</script>", 1)[0])
        page = page_of(signed, ref)
        offered = [step.get("asked", []) for step in data["steps"]] + [data["night"]]
        assert {f"ask-{name}" for names in offered for name in names} <= page.ids
        assert all(len(names) <= 3 for names in offered)
        doses = [step["asked"] for step in data["steps"] if step["kind"] == "drink"]
        assert doses == [["sick", "vomited", "taste"]] * 2
    assert {name for names in (*ASKED_AT.values(), ASKED_AT_NIGHT) for name in names} <= QUESTIONS.keys()


def test_what_the_scripts_name_has_a_name_on_the_page() -> None:
    """Else the phone would find nothing, and say nothing, without an error."""
    scripts = "".join(path.read_text("utf-8") for path in sorted((ROOT / "static" / "page").glob("*.js")))
    named = set(re.findall(r"\banswer\(.+, '([a-z-]+)'\)", scripts)) | set(
        re.findall(r"#ask-([a-z-]+)", scripts)
    )
    assert named == {"sick", "started-after"}
    assert named <= LED_TO


def test_nothing_is_said_twice_in_two_messages() -> None:
    """One sentence, one message: else a translator may give it two meanings. But for the heading that stood twice."""
    answers = {message.id for _, questions in MOMENTS for one in questions for message in parts_of(one, {})}
    by_words: dict[str, set[str]] = {}
    for message in MESSAGES.values():
        by_words.setdefault(message.english, set()).add(message.id)
    assert {words: ids for words, ids in by_words.items() if len(ids) > 1 and ids & answers} == {
        "Ring the emergency number now: {emergency}": {"A.after.emergency-now", "A.call.emergency-now"}
    }


@pytest.mark.parametrize("number", DESK)
def test_a_problem_of_the_desk_is_met_by(number: int) -> None:
    for name in DESK[number]:
        if name.startswith("tests/"):
            file, test = name.split("::")
            assert f"def {test}(" in (ROOT / file).read_text("utf-8")
        else:
            assert name in MESSAGES


ANSWER = {"question": "iron", "text": "Ask the nurse.", "source": "s"}


@pytest.mark.parametrize(
    ("answers", "kinds"),
    [
        ([ANSWER], []),
        ([{**ANSWER, "question": "irom"}], ["answer-unknown"]),
        ([{**ANSWER, "question": "taste"}], ["answer-unknown"]),  # ours alone
        ([ANSWER, ANSWER], ["answer-doubled"]),
        ([{**ANSWER, "text": " "}], ["value-invalid"]),
        ([{"question": "iron"}], ["key-missing", "key-missing"]),
        ([{**ANSWER, "text": "From {again} on."}], ["answer-braces"]),
        ([{**ANSWER, "text": "Call the unit."}], ["answer-until-missing"]),
        ([{**ANSWER, "text": "Call the unit.", "until": "Until someone answers, wait."}], []),
        ([{**ANSWER, "untill": "x"}], ["key-unknown"]),
        (
            [{"question": "irom", "text": "Ring {x}.", "source": "s"}],
            ["answer-unknown", "answer-braces", "answer-until-missing"],
        ),
    ],
)  # fmt: skip
def test_what_is_wrong_in_a_file_of_answers_is_told_all_at_once(
    answers: list[dict[str, str]], kinds: list[str]
) -> None:
    _, findings = answers_from({"answer": answers}, ANSWERABLE, "answers.toml")
    assert [finding.kind for finding in findings] == kinds
    assert all(finding.remedy and finding.where.startswith("answers.toml answer") for finding in findings)


def test_a_near_miss_is_named() -> None:
    _, findings = answers_from({"answer": [{**ANSWER, "question": "irom"}]}, ANSWERABLE, "answers.toml")
    assert "Did you mean “iron”?" in findings[0].remedy


def test_a_broken_file_of_answers_keeps_the_folder_from_being_used(tmp_path: Path) -> None:
    unit = copy_of_demo_unit(tmp_path)
    with (unit / "answers.toml").open("a", encoding="utf-8") as added:
        added.write('[[answer]]\nquestion = "irom"\ntext = "Ask."\nsource = "s"\n')
    told = run_json("protocol", "check", "answers.toml", "--unit", unit)["files"][0]["findings"]
    assert [one["kind"] for one in told if one["severity"] == "refuse"] == ["answer-unknown"]
    assert run("read", "x.csv", "--unit", unit).exit_code != 0


def test_the_starter_answers_are_those_of_the_demonstration_and_cannot_be_signed_unread() -> None:
    starter = tomllib.loads(STARTER.read_text("utf-8"))["answer"]
    assert {one["question"]: (one["text"], one.get("until")) for one in starter} == of_unit()
    assert {one["question"] for one in starter} == ANSWERABLE
    assert all(one["source"].startswith("an example: ") for one in starter)


def test_the_units_answers_are_as_short_as_ours() -> None:
    """20 words a sentence, as in our own of class B: common practice, no source."""
    for question, said in of_unit().items():
        for text in filter(None, said):
            for sentence in re.split(r"(?<=[.?!:])\s+", text):
                assert len(sentence.split()) <= 20, question


@pytest.mark.parametrize(("ref", "most"), [("DEMO-101", 28), ("DEMO-102", 28), ("DEMO-103", 36)])
def test_the_page_stays_small_on_the_way(signed: Built, ref: str, most: int) -> None:
    """28 KB in Latin letters, 36 KB in any, compressed, with its style sheet: half a second on a slow 3G link."""
    assert len(gzip.compress((signed.folder(ref) / "index.html").read_bytes(), 6)) < most * 1024
