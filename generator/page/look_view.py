"""Look view: what the part on looking into the bowl takes from the plan: its times, and what is said elsewhere too."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from generator.page import step_messages, symptoms
from generator.page.plan import Plan
from generator.page.question import CALL
from generator.page.questions import ASKED_BY_BOWL, QUESTIONS
from generator.page.questions_doses import NOTHING_BY, NOTHING_YET
from generator.plan.looking import Looking, looking_in
from generator.words.clock import date_time_text
from generator.words.speaker import Speaker


@dataclass(frozen=True, slots=True)
class LookView:
    """What the template prints.

    Attributes:
        at, stop: when to look again, and from when nothing may be taken by mouth; "" where the plan has no such time.
        nothing: what people say when nothing has come.
        lines: (name, sentence) of what then holds; the script picks by name.
        asked: (id, question) of questions to jump to.
    """

    at: str
    stop: str
    nothing: Markup
    lines: tuple[tuple[str, Markup], ...]
    asked: tuple[tuple[str, Markup], ...]


def look_view(plan: Plan, speaker: Speaker) -> LookView:
    """The look in the speaker's language."""
    looking = looking_in(plan.timetable, plan.protocol.rows)
    return LookView(
        at=date_time_text(speaker, looking.look.start) if looking.look else "",
        stop=date_time_text(speaker, looking.nothing_more) if looking.nothing_more else "",
        nothing=speaker.markup(QUESTIONS["nothing-yet"].asked),
        lines=tuple(_lines(looking, plan.unit.emergency.shown, speaker)),
        asked=tuple((name, speaker.markup(QUESTIONS[name].asked)) for name in ASKED_BY_BOWL),
    )


def _lines(looking: Looking, emergency: str, speaker: Speaker) -> Iterator[tuple[str, Markup]]:
    """What holds when nothing has come: the hour of the protocol's check, or, where it states none, the call."""
    yield "yet", speaker.markup(NOTHING_YET)
    call = speaker.markup(CALL)
    if looking.something_by:
        by = speaker.markup(NOTHING_BY, when=date_time_text(speaker, looking.something_by))
        call = by + Markup(" ") + call
    yield "by", call
    yield "wait", speaker.markup(symptoms.UNTIL_ANSWERED)
    yield "sick", speaker.markup(step_messages.MOVEMENT_SICK)
    yield "belly", speaker.markup(step_messages.MOVEMENT_BELLY, emergency=emergency)
