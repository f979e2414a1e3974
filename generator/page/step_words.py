"""What each kind of step says: a heading, and sentences with their amounts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from generator.plan.timetable import Step
from generator.words.message import Message

_STEP = "One step of the plan."
_HEAD = "Heading of one step of the plan."


@dataclass(frozen=True, slots=True)
class Line:
    """A sentence of a step, with the values it takes."""

    message: Message
    values: Mapping[str, object]


def _m(message_id: str, english: str, note: str) -> Message:
    return Message(message_id, english, note)


TITLES = {
    "collect": _m("B.step.collect", "Have your bowel medicine at home", _HEAD),
    "diet": _m("B.step.low-fibre", "Eat low-fibre food only", _HEAD),
    "last-meal": _m("A.step.last-meal", "Eat your last meal", _HEAD),
    "clear-fluids": _m("A.step.clear-drinks", "Take clear drinks only", f"{_HEAD} From here on no food."),
    "mix": _m("A.step.mix", "Mix the bowel medicine", _HEAD),
    "drink": _m("A.step.drink", "Drink the bowel medicine", _HEAD),
    "extra-fluid": _m(
        "A.step.extra", "Take clear drinks as well", f"{_HEAD} Other drinks, after the medicine."
    ),
    "tablets": _m("A.step.tablets", "Take the bowel tablets", f"{_HEAD} Tablets that empty the bowel."),
    "check": _m("B.step.check", "Look into the toilet bowl", _HEAD),
    "stop-drinking": _m("A.step.stop", "Take nothing more, not even water", _HEAD),
    "leave": _m("B.step.leave", "Leave home", _HEAD),
    "arrive": _m("B.step.arrive", "Be at the unit", _HEAD),
    "procedure": _m("B.step.procedure", "Examination, about this time", f"{_HEAD} The hour is not exact."),
    "watch": _m("A.step.watch", "Watch for warning signs", f"{_HEAD} At home after the examination."),
}

_COLLECT_NAME = _m("B.step.collect-name", "The name on the box is {product}.", _STEP)
_COLLECT_PIECES = _m("B.step.collect-pieces", "Packets in the box: {n}.", f"{_STEP} {{n}}: how many.")
_COLLECT_CALL = _m("B.step.collect-call", "Is the name different, or a packet missing? Call the unit.", _STEP)
_DIET = _m("B.step.low-fibre-do", "Eat only what the food list on this page allows.", _STEP)
_LAST_MEAL = _m("A.step.last-meal-do", "Eat no solid food after this meal.", _STEP)
_CLEAR = _m("A.step.clear-drinks-do", "A clear drink is see-through: you can read print through it.", _STEP)
_CLEAR_FOOD = _m("A.step.clear-drinks-food", "Eat no solid food.", _STEP)
_MIX_PACKETS = _m("A.step.mix-packets", "Packets to stir in: {n}.", f"{_STEP} {{n}}: how many.")
_MIX_WATER = _m("A.step.mix-water", "Water to stir them into: {volume}.", _STEP)
_MIX_DRY = _m("A.step.mix-dry", "Never swallow the powder dry.", _STEP)
_MIX_WAIT = _m("A.step.mix-wait", "Let it stand for {minutes} minutes. It may become warm.", _STEP)
_DRINK_PACE = _m(
    "A.step.drink-pace",
    "Drink one glass of {volume} every {minutes} minutes.",
    f"{_STEP} The drink is the bowel medicine.",
)
_DRINK_ONE = _m(
    "A.step.drink-one",
    "Drink the glass of {volume} within {minutes} minutes.",
    f"{_STEP} The drink is the bowel medicine.",
)
_DRINK_COUNT = _m("A.step.drink-count", "Glasses in all: {n}. Together: {total}.", _STEP)
_DRINK_LAST = _m("A.step.drink-last", "The last glass is smaller: {volume}.", _STEP)
_DRINK_SICK = _m("A.step.drink-sick", "If you vomit, stop the bowel medicine and call the unit.", _STEP)
_EXTRA_PACE = _m(
    "A.step.extra-pace", "Take one glass of {volume} of a clear drink every {minutes} minutes.", _STEP
)
_EXTRA_COUNT = _m("A.step.extra-count", "Glasses of clear drinks: {n}. Together: {total}.", _STEP)
_EXTRA_MOST = _m(
    "A.step.extra-most",
    "Never take more than {volume} in one hour, all drinks together.",
    f"{_STEP} Too much water at once is dangerous.",
)
_TABLETS = _m("A.step.tablets-do", "Tablets to take, with water: {n}.", _STEP)
_CHECK = _m("B.step.check-do", "Look before you flush. Then read “Is it see-through?” on this page.", _STEP)
STOP = _m("A.step.stop-do", "From now on take nothing by mouth, not even water.", _STEP)
_LEAVE = _m("B.step.leave-do", "The way to the unit is reckoned as {minutes} minutes.", _STEP)
_LEAVE_LONGER = _m("B.step.leave-longer", "Does it take longer? Call the unit now.", _STEP)
_ARRIVE = _m("B.step.arrive-do", "Go to {place}.", _STEP)
_PROCEDURE = _m("B.step.procedure-do", "Lists can run late. The staff tell you.", _STEP)
_WATCH = _m("A.step.watch-do", "For {days} days, watch for the signs under “Afterwards”.", _STEP)

MESSAGES = (
    *TITLES.values(),
    _COLLECT_NAME,
    _COLLECT_PIECES,
    _COLLECT_CALL,
    _DIET,
    _LAST_MEAL,
    _CLEAR,
    _CLEAR_FOOD,
    _MIX_PACKETS,
    _MIX_WATER,
    _MIX_DRY,
    _MIX_WAIT,
    _DRINK_PACE,
    _DRINK_ONE,
    _DRINK_COUNT,
    _DRINK_LAST,
    _DRINK_SICK,
    _EXTRA_PACE,
    _EXTRA_COUNT,
    _EXTRA_MOST,
    _TABLETS,
    _CHECK,
    STOP,
    _LEAVE,
    _LEAVE_LONGER,
    _ARRIVE,
    _PROCEDURE,
    _WATCH,
)


def lines_for(step: Step, product: str, pieces: int, place: str) -> Iterator[Line]:
    """The sentences of a step, in order."""
    amounts = step.amounts
    match step.kind:
        case "collect":
            yield Line(_COLLECT_NAME, {"product": product})
            yield Line(_COLLECT_PIECES, {"n": pieces})
            yield Line(_COLLECT_CALL, {})
        case "diet":
            yield Line(_DIET, {})
        case "last-meal":
            yield Line(_LAST_MEAL, {})
        case "clear-fluids":
            yield Line(_CLEAR, {})
            yield Line(_CLEAR_FOOD, {})
        case "mix":
            yield from _mix_lines(amounts)
        case "drink":
            yield from _drink_lines(amounts)
        case "extra-fluid":
            yield Line(_EXTRA_PACE, {"volume": millilitres(amounts["ml"]), "minutes": amounts["minutes"]})
            yield Line(_EXTRA_COUNT, {"n": amounts["glasses"], "total": millilitres(amounts["total_ml"])})
            if "most_ml_per_hour" in amounts:
                yield Line(_EXTRA_MOST, {"volume": millilitres(amounts["most_ml_per_hour"])})
        case "tablets":
            yield Line(_TABLETS, {"n": amounts["tablets"]})
        case "check":
            yield Line(_CHECK, {})
        case "stop-drinking":
            yield Line(STOP, {})
        case "leave":
            yield Line(_LEAVE, {"minutes": amounts["minutes"]})
            yield Line(_LEAVE_LONGER, {})
        case "arrive":
            yield Line(_ARRIVE, {"place": place})
        case "procedure":
            yield Line(_PROCEDURE, {})
        case "watch":
            yield Line(_WATCH, {"days": amounts["days"]})


def _mix_lines(amounts: Mapping[str, int]) -> Iterator[Line]:
    if "packets" in amounts:
        yield Line(_MIX_PACKETS, {"n": amounts["packets"]})
    if "mix_ml" in amounts:
        yield Line(_MIX_WATER, {"volume": millilitres(amounts["mix_ml"])})
    yield Line(_MIX_DRY, {})
    if "wait_minutes" in amounts:
        yield Line(_MIX_WAIT, {"minutes": amounts["wait_minutes"]})


def _drink_lines(amounts: Mapping[str, int]) -> Iterator[Line]:
    pace = {"volume": millilitres(amounts["ml"]), "minutes": amounts["minutes"]}
    if amounts["glasses"] == 1:
        yield Line(_DRINK_ONE, pace)
    else:
        yield Line(_DRINK_PACE, pace)
        yield Line(_DRINK_COUNT, {"n": amounts["glasses"], "total": millilitres(amounts["total_ml"])})
    if amounts["last_ml"] != amounts["ml"]:
        yield Line(_DRINK_LAST, {"volume": millilitres(amounts["last_ml"])})
    yield Line(_DRINK_SICK, {})


def millilitres(amount: int) -> str:
    """An amount as numeral and unit symbol; the symbol is the same in every language of the world's labels."""
    return f"{amount}\u00a0mL"
