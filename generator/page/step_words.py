"""What each kind of step says: a heading, and sentences with their amounts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from generator.page import step_messages as say
from generator.page.own_medicine_words import medicine_lines
from generator.page.step_line import Line
from generator.plan.timetable import Step
from generator.words.message import Message


@dataclass(frozen=True, slots=True)
class About:
    """What the sentences take from the booking: names, and times as texts ("" where there is none)."""

    product: str
    pieces: int
    place: str
    fetched: bool
    latest: str
    provisional: bool


def title_of(step: Step) -> Message:
    """The heading of a step."""
    return say.TITLES["check-movement" if step.check == "movement" else step.kind]


def lines_for(step: Step, about: About, until: str, instruction: Line | None) -> Iterator[Line]:
    """The sentences of a step, in order; `until` is the text of its end, `instruction` the unit's own sentence."""
    if step.past and step.kind not in ("diet", "clear-fluids", "stop-drinking"):
        yield Line(say.PAST, {})
    match step.kind:
        case "instruction" | "restart" | "medicine":
            yield from medicine_lines(step, until, instruction)
        case "mix":
            yield from _mix_lines(step.amounts)
        case "drink":
            yield from _drink_lines(step.amounts)
        case "extra-fluid":
            yield from _extra_lines(step.amounts)
        case "check":
            yield from _check_lines(step)
        case "collect" | "leave" | "arrive" | "procedure" | "call" | "confirm":
            yield from _errand_lines(step, about)
        case _:
            yield from _plain_lines(step)


def _plain_lines(step: Step) -> Iterator[Line]:
    """Kinds that say the same in every plan, but for a number."""
    amounts = step.amounts
    match step.kind:
        case "diet":
            yield Line(say.DIET, {})
        case "last-meal":
            yield Line(say.LAST_MEAL, {})
        case "clear-fluids":
            yield Line(say.CLEAR, {})
            yield Line(say.CLEAR_FOOD, {})
        case "tablets":
            yield Line(say.TABLETS, {"n": amounts["tablets"]})
        case "enema":
            yield Line(say.ENEMA, {})
        case "pause":
            yield Line(say.PAUSE, {"minutes": amounts["takes_minutes"]})
        case "stop-drinking":
            yield Line(say.STOP, {})
        case "wake":
            yield Line(say.WAKE, {})
        case "home":
            yield Line(say.HOME, {})
        case "watch":
            yield Line(say.WATCH, {"days": amounts["days"]})


def _errand_lines(step: Step, about: About) -> Iterator[Line]:
    """Kinds that name the box, the unit or the way to it."""
    match step.kind:
        case "collect":
            yield Line(say.COLLECT_NAME, {"product": about.product})
            yield Line(say.COLLECT_PIECES, {"n": about.pieces})
            yield Line(say.COLLECT_CALL, {})
        case "call":
            yield Line(say.CALL, {})
        case "confirm":
            yield Line(say.CONFIRM, {})
        case "leave" if about.fetched:
            yield Line(say.LEAVE_FETCHED, {})
        case "leave":
            yield Line(say.LEAVE, {"minutes": step.amounts["minutes"]})
            yield Line(say.LEAVE_LONGER, {})
        case "arrive":
            yield Line(say.ARRIVE, {"place": about.place})
            if about.provisional:
                yield Line(say.PROVISIONAL, {})
        case "procedure":
            yield Line(say.PROCEDURE, {})
            if about.latest and step.id == "procedure":
                yield Line(say.PROCEDURE_LATEST, {"until": about.latest})


def _check_lines(step: Step) -> Iterator[Line]:
    if step.check == "movement":
        yield Line(say.MOVEMENT, {})
        yield Line(say.MOVEMENT_SICK, {})
    else:
        yield Line(say.CHECK, {})


def _extra_lines(amounts: Mapping[str, int]) -> Iterator[Line]:
    yield Line(say.EXTRA_PACE, {"volume": millilitres(amounts["ml"]), "minutes": amounts["minutes"]})
    yield Line(say.EXTRA_COUNT, {"n": amounts["glasses"], "total": millilitres(amounts["total_ml"])})
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
