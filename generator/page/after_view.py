"""What holds after the examination, as printed: on a plan, and on the page that stands in its place when it is over."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from babel.numbers import format_decimal
from markupsafe import Markup

from generator.clinic.advice import Advice
from generator.clinic.aftercare import WAITS, Aftercare
from generator.clinic.day import MAY_LEAVE_ALONE
from generator.page import after_words as say
from generator.page import symptoms
from generator.page.day_words import SEDATION
from generator.page.groups import NO_HEADING, Group, group
from generator.page.own_sentences import own_sentence
from generator.page.plan import Plan
from generator.plan.homeward import examined_at, ready_at, waited, watched_until
from generator.words.clock import date_text, date_time_text
from generator.words.message import Message
from generator.words.speaker import Speaker


@dataclass(frozen=True, slots=True)
class AfterView:
    """What to do and not to do, and the signs for the emergency number and for the unit."""

    groups: tuple[Group, ...]
    emergency: tuple[Markup, ...]
    unit: tuple[Markup, ...]


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known of one patient: the start, what is planned, and from when hours count at the earliest."""

    start: dt.datetime | None = None
    sedation: str | None = None
    counted_from: dt.datetime | None = None


def plan_after(plan: Plan, speaker: Speaker) -> AfterView:
    """Afterwards, on a plan."""
    timetable, advice = plan.timetable, plan.advice
    known = _Known(timetable.procedure, plan.booking.sedation, _counted_from(plan))
    signs = symptoms.LATER_EMERGENCY, symptoms.LATER_UNIT
    return _view(advice.aftercare, known, speaker, *signs)


def ended_after(advice: Advice, start: dt.datetime | None, speaker: Speaker, *, drafts: bool) -> AfterView:
    """Afterwards, when the plan is over: it can always be made.

    The unit's advice stands there only if this language says all of it, and without `drafts` in reviewed words;
    else the careful sentences. What was given is not known any more, so the longest times stand.
    """
    signs = symptoms.LATER_EMERGENCY, symptoms.LATER_UNIT
    known = _Known(start)
    if advice.aftercare is not None:
        trial = Speaker(speaker.wording)
        _view(advice.aftercare, known, trial, *signs)
        if not trial.missing and (drafts or not trial.says_unreviewed):
            return _view(advice.aftercare, known, speaker, *signs)
    return _view(None, known, speaker, *signs)


def _counted_from(plan: Plan) -> dt.datetime | None:
    """Known only with the unit's usual lengths: without them a moment could be too early."""
    day, after = plan.advice.day, plan.advice.aftercare
    if day is None or after is None:
        return None
    moment = ready_at if after.counted_from == "discharge" else examined_at
    return moment(plan.timetable, plan.booking, day)


def _view(
    after: Aftercare | None,
    known: _Known,
    speaker: Speaker,
    emergency: Sequence[Message],
    unit: Sequence[Message],
) -> AfterView:
    groups = (
        *_sleepy(after, known, speaker),
        _watch(after, known, speaker),
        group(speaker, say.USUAL_HEADING, listed=say.USUAL),
        _next(after, speaker),
        _results(after, known, speaker),
    )
    bleeding, call = symptoms.bleeding_signs(after)
    fever = symptoms.fever_sign(after)
    temperature = _temperature(after, speaker) if after else ""
    return AfterView(
        groups,
        tuple(speaker.markup(sign) for sign in (bleeding, *emergency)),
        (
            speaker.markup(call),
            speaker.markup(fever, temperature=temperature),
            *(speaker.markup(sign) for sign in unit),
        ),
    )


def _sleepy(after: Aftercare | None, known: _Known, speaker: Speaker) -> Iterator[Group]:
    waits = after.waits_for(known.sedation) if after else None
    if after is None or waits is None:
        before = [speaker.markup(say.UNTIL_TOLD)]
        yield group(speaker, say.SLEEPY_HEADING, before, tuple(say.DONTS.values()), pictures=("home",))
        return
    hours = {name: getattr(waits, name) for name in WAITS}
    planned: tuple[Message, ...] = (say.LONGEST,)
    if known.sedation:
        planned = (SEDATION[known.sedation], say.PLANNED if any(hours.values()) else say.NO_WAIT)
    yield group(
        speaker, say.SLEEPY_HEADING, [speaker.markup(message) for message in planned], pictures=("home",)
    )
    for wait in sorted({*hours.values()} - {0}, reverse=True):
        donts = tuple(speaker.markup(say.DONTS[name]) for name in WAITS if hours[name] == wait)
        yield _for_hours(after, known, wait, donts, speaker)
    if known.sedation in MAY_LEAVE_ALONE:
        # What is planned may not be what is given: the careful sentences stand below.
        question = speaker.markup(say.UNTIL_TOLD)
        yield Group(NO_HEADING, (question,), tuple(speaker.markup(dont) for dont in say.DONTS.values()))


def _for_hours(
    after: Aftercare, known: _Known, hours: int, donts: tuple[Markup, ...], speaker: Speaker
) -> Group:
    """What not to do for so many hours, and the earliest moment at which they can be over."""
    from_home = after.counted_from == "discharge"
    head = speaker.markup(say.FROM_HOME if from_home else say.FROM_DOSE, n=hours)
    end: tuple[Markup, ...] = () if from_home else (speaker.markup(say.ASK_DOSE),)
    if known.counted_from is not None:
        when = date_time_text(speaker, waited(known.counted_from, hours))
        end = (speaker.markup(say.EARLIEST if from_home else say.EARLIEST_DOSE, when=when),)
    return Group(NO_HEADING, (head,), donts, end)


def _watch(after: Aftercare | None, known: _Known, speaker: Speaker) -> Group:
    if after is None or known.start is None:
        return group(speaker, say.WATCH_HEADING, [speaker.markup(say.WATCH_ASK)])
    watch = after.watch
    days = {
        "biopsy": watch.biopsy,
        "polyp": watch.polyp,
        "thinner": watch.polyp_thinner,
        "untold": watch.longest,
    }
    dates = tuple(
        speaker.markup(say.WATCH[name], date=date_text(speaker, watched_until(known.start, count)))
        for name, count in days.items()
    )
    return Group(speaker.markup(say.WATCH_HEADING), listed=dates)


def _next(after: Aftercare | None, speaker: Speaker) -> Group:
    lifting = own_sentence("A.unit.after.lifting", after.lifting) if after and after.lifting else say.LIFT_ASK
    flying = own_sentence("A.unit.after.flying", after.flying) if after and after.flying else say.FLY_ASK
    meal = say.MEALS[after.first_meal] if after else say.MEAL_ASK
    return group(speaker, say.NEXT_HEADING, listed=(meal, say.MEDICINES, lifting, flying))


def _results(after: Aftercare | None, known: _Known, speaker: Speaker) -> Group:
    results = own_sentence("A.unit.after.results", after.results) if after and after.results else None
    said = [speaker.markup(say.FORGET), speaker.markup(results or say.RESULTS_ASK)]
    if after and after.no_letter_days and known.start:
        by = watched_until(known.start, after.no_letter_days)
        said.append(speaker.markup(say.LETTER, date=date_text(speaker, by)))
    return group(speaker, say.RESULTS_HEADING, said)


def _temperature(after: Aftercare, speaker: Speaker) -> str:
    """38.0 is written 38 °C, or 100.4 °F, or both."""
    texts = {
        "celsius": f"{_decimal(after.fever, speaker)} °C",
        "fahrenheit": f"{_decimal(after.fever * 9 / 5 + 32, speaker)} °F",
    }
    if after.fever_scale == "both":
        return f"{texts['celsius']} ({texts['fahrenheit']})"
    return texts[after.fever_scale]


def _decimal(value: float, speaker: Speaker) -> str:
    return str(format_decimal(value, "0.#", locale=speaker.wording.locale, numbering_system="latn"))
