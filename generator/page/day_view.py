"""The day of the examination and the companion's card as printed; only where the unit's day.toml is signed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from generator.clinic.day import Day
from generator.page import companion_words as card
from generator.page import day_words as say
from generator.page.groups import NO_HEADING, Group, group
from generator.page.own_sentences import own_sentence
from generator.page.plan import Plan
from generator.plan.homeward import ready_at, waited
from generator.words.clock import date_text, date_time_text
from generator.words.speaker import Speaker


@dataclass(frozen=True, slots=True)
class VisitView:
    """The groups of “On the day”, and the sentences of the companion's card with those that end it."""

    groups: tuple[Group, ...]
    companion: Group


def visit_view(plan: Plan, speaker: Speaker) -> VisitView | None:
    """The view, or None where the unit has signed nothing about the day."""
    day = plan.advice.day
    if day is None:
        return None
    return VisitView(tuple(_groups(plan, day, speaker)), _companion(plan, day, speaker))


def _groups(plan: Plan, day: Day, speaker: Speaker) -> Iterator[Group]:
    markup = speaker.markup
    yield Group(NO_HEADING, (markup(say.SLIP), markup(say.THIRSTY)))
    if day.bring:
        yield group(
            speaker, say.BRING_HEADING, listed=[say.BRING[name] for name in day.bring], pictures=("bag",)
        )
    visit = markup(say.VISIT, n=day.visit_minutes // 60)
    yield group(speaker, say.HOME_HEADING, [visit, *_going_home(plan, day, speaker)])
    if day.tell:
        yield group(speaker, say.TELL_HEADING, listed=[say.TELL[name] for name in day.tell])
    if day.directions:
        own = own_sentence("A.unit.day.directions", day.directions)
        yield group(speaker, say.WAY_HEADING, [markup(own)])
    length = markup(say.LENGTH, minutes=day.shortest, most=day.longest)
    yield group(
        speaker,
        say.HAPPENS_HEADING,
        listed=say.HAPPENS,
        after=[length, markup(say.LONGER)],
        pictures=("table",),
    )
    yield from _sedation(plan, day, speaker)
    hides, *polyps = map(markup, say.CLEAN)
    yield group(speaker, say.CLEAN_HEADING, [hides], pictures=("clean",))
    yield Group(NO_HEADING, tuple(polyps), pictures=("polyp",))
    yield group(
        speaker, say.WORRY_HEADING, [markup(message) for message in (say.SOIL, say.CONSENT, say.FORM)]
    )


def _sedation(plan: Plan, day: Day, speaker: Speaker) -> Iterator[Group]:
    if plan.booking.sedation:
        planned = speaker.markup(say.PLANNED), speaker.markup(say.SEDATION[plan.booking.sedation])
        yield group(speaker, say.SEDATION_HEADING, planned)
    elif day.sedation:
        kinds = [say.SEDATION[name] for name in day.sedation]
        yield group(speaker, say.SEDATION_HEADING, [speaker.markup(say.OFFERED)], kinds)


def _going_home(plan: Plan, day: Day, speaker: Speaker) -> Iterator[Markup]:
    """Alone only where the kind of sedation is known and the unit lets people: else the careful rule."""
    if plan.booking.sedation in day.alone_after:
        yield speaker.markup(say.ALONE)
        yield speaker.markup(say.OTHERWISE)
    yield speaker.markup(say.HOME[day.home])
    yield speaker.markup(say.STAY[day.stay])


def _companion(plan: Plan, day: Day, speaker: Speaker) -> Group:
    markup, timetable = speaker.markup, plan.timetable
    ready = ready_at(timetable, plan.booking, day)
    lines = [
        markup(
            card.REACHABLE,
            date=date_text(speaker, timetable.arrival.date()),
            time=f"{timetable.arrival:%H:%M}",
        ),
        markup(card.READY, when=date_time_text(speaker, ready)),
        markup(card.PLACE, place=plan.unit.place),
        markup(card.HOME[day.home]),
        markup(card.STAY[day.stay]),
    ]
    after = plan.advice.aftercare
    waits = after.waits_for(plan.booking.sedation) if after else None
    if after and waits and waits.alone and after.counted_from == "discharge":
        until = waited(ready, waits.alone)
        lines.append(markup(card.NOT_ALONE, when=date_time_text(speaker, until)))
    lines += [markup(card.SHEET), markup(card.WATCH), markup(card.CALL)]
    emergency = markup(card.EMERGENCY, emergency=plan.unit.emergency.shown)
    return Group(markup(card.HEADING), (markup(card.FOR),), tuple(lines), (emergency, markup(card.TICKS)))
