"""Views of the pages that take a plan's place, and the few numbers their script needs."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from generator.page import symptoms
from generator.page.after_view import AfterView, ended_after
from generator.page.data import call_rows, in_script, offsets_between
from generator.page.hours import LineView, bar_index, lines_of
from generator.page.life import Life, Notice
from generator.page.phone_places import phone_words
from generator.page.saying import SayingView, saying_view
from generator.page.shared_views import (
    EmergencyView,
    LanguageView,
    ReplacedView,
    language_views,
    replaced_view,
    said,
)
from generator.plan.moments import epoch_minutes, in_zone, later
from generator.plan.opening import calls_for
from generator.words.clock import date_text, patterns, time_text
from generator.words.speaker import Speaker
from generator.words.wording import Wording


@dataclass(frozen=True, slots=True)
class NoticeView:
    """Everything that templates/page/held.html, cancelled.html, ended.html and farewell.html use.

    Attributes:
        code: this page's own code, or "" where it has none of its own.
        new_date, new_time: the new appointment as printed, or "".
        data: the JSON that the script reads.
    """

    lang: str
    dir: str
    mark: str
    unit: str
    code: str
    call_number: str
    demonstration: bool
    draft: bool
    languages: tuple[LanguageView, ...]
    assets: str
    manifest: str
    calendar: str
    made: str
    replaced: ReplacedView | None
    begun: bool
    new_date: str
    new_time: str
    signs_emergency: tuple[Markup, ...]
    signs_unit: tuple[Markup, ...]
    after: AfterView | None
    emergency: EmergencyView
    lines: tuple[LineView, ...]
    bar: int
    saying: SayingView | None
    data: Markup


def notice_view(
    notice: Notice,
    tag: str,
    wordings: Mapping[str, Wording],
    speaker: Speaker,
    assets: str,
    staff: Wording,
) -> NoticeView:
    """The view of the document that is named after `tag`.

    Args:
        wordings: those of all documents, in order.
        staff: the language that the unit's staff speak.
    """
    wording, unit, identity, replaces = speaker.wording, notice.unit, notice.identity, notice.replaces
    arrival = in_zone(notice.new_arrival, unit.zone) if notice.new_arrival else None
    farewell = notice.what is Life.FAREWELL  # nothing of the booking is left on it
    raised = symptoms.raised_only(notice.advice.levels)
    own_code = not farewell and not (replaces and replaces.code == identity.code)
    return NoticeView(
        lang=wording.tag,
        dir=wording.direction,
        mark=identity.mark,
        unit=unit.name,
        code=identity.code if own_code else "",
        call_number=identity.call_number,
        demonstration=unit.demonstration,
        draft=False,
        languages=tuple(language_views(notice.names, wordings, tag)),
        assets=assets,
        manifest=notice.names.manifest(tag),
        calendar=notice.names.calendar(tag),
        made=date_text(speaker, in_zone(identity.made, unit.zone).date()),
        replaced=replaced_view(replaces, speaker, unit.zone),
        begun=notice.begun,
        new_date=date_text(speaker, arrival.date()) if arrival else "",
        new_time=time_text(speaker, arrival, unit.clock) if arrival else "",
        signs_emergency=said(speaker, symptoms.signs_at("emergency", raised)),
        signs_unit=said(speaker, symptoms.for_notice(symptoms.signs_at("unit", raised))),
        after=_after(notice, speaker),
        emergency=EmergencyView(unit.emergency.shown, unit.emergency.dial),
        lines=tuple(lines_of(unit, speaker)),
        bar=bar_index(unit),
        saying=None if farewell else saying_view(staff, speaker, identity.call_number),
        data=_data(notice, speaker),
    )


def _after(notice: Notice, speaker: Speaker) -> AfterView | None:
    if notice.what is not Life.ENDED:
        return None
    start = in_zone(notice.replaces.start, notice.unit.zone) if notice.replaces else None
    return ended_after(notice.advice, start, speaker, drafts=notice.unit.demonstration)


def _data(notice: Notice, speaker: Speaker) -> Markup:
    """What tells this page from any other, and which line answers when; times are epoch minutes."""
    unit, made = notice.unit, in_zone(notice.identity.made, notice.unit.zone)
    identity = {
        "mark": notice.identity.mark,
        "what": notice.what.value,
        "version": notice.identity.version,
        "lang": speaker.wording.tag,
    }
    if notice.what is Life.FAREWELL:
        return in_script(json.dumps(identity))
    starts = [made, *([in_zone(notice.replaces.start, unit.zone)] if notice.replaces else [])]
    last = later(max(starts), unit.aftercare_days * 24 * 60)
    calls = calls_for(unit, made.date(), last.date())
    block = {
        **identity,
        "made": epoch_minutes(made),
        "until": epoch_minutes(last),
        "offsets": offsets_between(made, last, unit.zone),
        "lines": [[line.shown, line.dial] for line in unit.call_lines],
        "calls": call_rows(calls),
        "times": patterns(speaker),
        "words": phone_words(speaker, ("callNow", "callClosed", "callOpens")),
        "bar": bar_index(unit),
        "emergency": unit.emergency.shown,
    }
    return in_script(json.dumps(block, ensure_ascii=False, separators=(",", ":")))
