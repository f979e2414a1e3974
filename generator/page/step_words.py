"""What each kind of step says: a heading, and sentences with their amounts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from generator.page import step_messages as say
from generator.page import symptoms
from generator.page.own_medicine_words import medicine_lines, title_key
from generator.page.step_line import Line
from generator.plan.timetable import Step
from generator.words.message import Message


@dataclass(frozen=True, slots=True)
class About:
    """What the sentences take from unit and booking: names, and times as texts ("" where there is none)."""

    product: str
    pieces: int
    place: str
    fetched: bool
    latest: str
    arrival: str
    provisional: bool
    watch_stated: bool  # the unit's aftercare.toml says until when to watch, and nothing else does
    emergency: str
    foods_listed: bool
    last_answer: str  # until when the last line answers before the first dose; "" where one answers then too


@dataclass(frozen=True, slots=True)
class Around:
    """What the sentences take from around a step.

    Attributes:
        since, until: its start, and its end or "", as texts.
        own: the sentence of the unit's instruction, if the step is one's.
        fasting: whether nothing may be taken by mouth any more.
    """

    since: str
    until: str
    own: Line | None
    fasting: bool


def title_of(step: Step) -> Message:
    """The heading of a step."""
    return say.TITLES[_title_key(step)]


def _title_key(step: Step) -> str:
    match step.kind:
        case "check" | "diet":
            return f"{step.kind}-{step.check or step.diet}"
        case "instruction":
            return title_key(step)
        case _:
            return step.kind


def lines_for(step: Step, about: About, around: Around) -> Iterator[Line]:
    """The sentences of a step, in order."""
    if step.past and step.kind not in ("diet", "clear-fluids", "stop-drinking"):
        yield Line(say.PAST, {})
        yield Line(say.PAST_UNTIL, {})
    if step.at_unit:
        yield Line(say.AT_UNIT, {})
    match step.kind:
        case "instruction" | "restart" | "medicine":
            yield from medicine_lines(step, around.since, around.until, around.own)
        case "mix":
            yield from _mix_lines(step.amounts)
        case "drink":
            yield from _drink_lines(step.amounts)
        case "extra-fluid":
            yield from _extra_lines(step.amounts)
        case "check":
            yield from _check_lines(step, about)
        case "collect" | "leave" | "arrive" | "procedure" | "call" | "confirm":
            yield from _errand_lines(step, about)
        case "watch" if about.watch_stated:
            yield Line(say.WATCH_STATED, {})
        case "watch":
            yield Line(say.WATCH, {"days": step.amounts["days"]})
        case "diet":
            yield Line(_diet_message(step, about), {})
        case _:
            yield from _plain_lines(step)
    if step.kind == "stop-drinking" or (around.fasting and step.kind in ("leave", "arrive")):
        yield from _fasting_lines(about, begins=step.kind == "stop-drinking")


def _fasting_lines(about: About, *, begins: bool) -> Iterator[Line]:
    """Nothing by mouth, and what goes before it. Leaving and arriving take the place of the card that says it."""
    yield Line(say.STOP if begins else say.STILL_NOTHING, {})
    yield Line(symptoms.LOW_SUGAR, {})
    yield Line(symptoms.SUGAR_DROWSY, {"emergency": about.emergency})
    yield Line(say.SUGAR_TELL, {})


def _diet_message(step: Step, about: About) -> Message:
    """What to eat: by the list of foods, or, where the unit has signed none, as the unit says when asked."""
    if step.diet == "usual":
        return say.USUAL_DIET
    if step.diet == "full-liquids":
        return say.FULL_LIQUIDS if about.foods_listed else say.FULL_LIQUIDS_ASK
    return say.DIET if about.foods_listed else say.DIET_ASK


def _plain_lines(step: Step) -> Iterator[Line]:
    """Kinds that say the same in every plan, but for a number."""
    amounts = step.amounts
    match step.kind:
        case "last-meal":
            yield Line(say.LAST_MEAL, {})
        case "clear-fluids":
            yield Line(say.CLEAR, {})
            yield Line(say.DRINKS_SALT, {})
            yield Line(say.CLEAR_FOOD, {})
            yield from _caps(amounts)
        case "tablets":
            yield Line(say.TABLETS, {"n": amounts["tablets"]})
        case "enema":
            yield Line(say.ENEMA, {})
        case "pause":
            yield Line(say.PAUSE, {"minutes": amounts["takes_minutes"]})
        case "wake":
            yield Line(say.WAKE, {})
        case "home":
            yield Line(say.HOME, {})


def _errand_lines(step: Step, about: About) -> Iterator[Line]:
    """Kinds that name the box, the unit or the way to it."""
    match step.kind:
        case "collect":
            yield Line(say.COLLECT_NAME, {"product": about.product})
            yield Line(say.COLLECT_PIECES, {"n": about.pieces})
            yield Line(say.COLLECT_DATE, {})
            yield Line(say.COLLECT_CALL, {})
            yield Line(say.COLLECT_UNTIL, {})
            yield Line(say.COLLECT_JUG, {})
            if about.last_answer:
                yield Line(say.COLLECT_ASK, {"when": about.last_answer})
        case "call":
            yield Line(say.CALL, {})
            yield Line(say.CALL_UNTIL, {})
        case "confirm":
            yield Line(say.CONFIRM, {})
            yield Line(say.KEEP_TO_PLAN, {})
        case "leave" if about.fetched:
            yield Line(say.LEAVE_FETCHED, {})
        case "leave":
            yield Line(say.LEAVE, {"minutes": step.amounts["minutes"]})
            yield Line(say.LEAVE_LONGER, {})
            yield Line(say.KEEP_TO_PLAN, {})
        case "arrive":
            yield Line(say.ARRIVE, {"place": about.place})
            if about.provisional:
                yield Line(say.PROVISIONAL, {})
        case "procedure":
            yield Line(say.PROCEDURE, {})
            if about.latest and step.id == "procedure":
                yield Line(say.PROCEDURE_LATEST, {"until": about.latest, "arrival": about.arrival})


def _check_lines(step: Step, about: About) -> Iterator[Line]:
    if step.check == "movement":
        yield Line(say.MOVEMENT, {})
        yield Line(symptoms.UNTIL_ANSWERED, {})
        yield Line(say.MOVEMENT_SICK, {})
        yield Line(say.MOVEMENT_BELLY, {"emergency": about.emergency})
    else:
        yield Line(say.CHECK, {})


def _extra_lines(amounts: Mapping[str, int]) -> Iterator[Line]:
    yield Line(say.EXTRA_PACE, {"volume": millilitres(amounts["ml"]), "minutes": amounts["minutes"]})
    yield Line(say.EXTRA_COUNT, {"n": amounts["glasses"], "total": millilitres(amounts["total_ml"])})
    yield from _caps(amounts)
    yield Line(say.DRINKS_SALT, {})


def _caps(amounts: Mapping[str, int]) -> Iterator[Line]:
    """How much of the clear drinks must, and may, be taken."""
    for name, message in (
        ("least_ml", say.EXTRA_LEAST), ("most_ml", say.EXTRA_TOP), ("most_ml_per_hour", say.EXTRA_MOST),
    ):  # fmt: skip
        if name in amounts:
            yield Line(message, {"volume": millilitres(amounts[name])})


def _mix_lines(amounts: Mapping[str, int]) -> Iterator[Line]:
    if "packets" in amounts:
        yield Line(say.MIX_PACKETS, {"n": amounts["packets"]})
    if "mix_ml" in amounts:
        yield Line(say.MIX_WATER, {"volume": millilitres(amounts["mix_ml"])})
    yield Line(say.MIX_DRY, {})
    if "wait_minutes" in amounts:
        yield Line(say.MIX_WAIT, {"minutes": amounts["wait_minutes"]})
    keeps = amounts.get("keeps_minutes")
    if keeps is not None and keeps < 120:
        yield Line(say.MIX_KEEPS_MINUTES, {"minutes": keeps})
    elif keeps is not None:
        yield Line(say.MIX_KEEPS, {"hours": keeps // 60})
    if keeps is not None:
        yield Line(say.MIX_AFTER, {})


def _drink_lines(amounts: Mapping[str, int]) -> Iterator[Line]:
    pace = {"volume": millilitres(amounts["ml"]), "minutes": amounts["minutes"]}
    if amounts["glasses"] == 1:
        yield Line(say.DRINK_ONE, pace)
    else:
        yield Line(say.DRINK_PACE, pace)
        yield Line(say.DRINK_COUNT, {"n": amounts["glasses"], "total": millilitres(amounts["total_ml"])})
    if amounts["last_ml"] != amounts["ml"]:
        yield Line(say.DRINK_LAST, {"volume": millilitres(amounts["last_ml"])})
    yield Line(say.DRINK_SICK, {})


def millilitres(amount: int) -> str:
    """An amount as numeral and unit symbol; the symbol is the same in every language of the world's labels."""
    return f"{amount}\u00a0mL"
