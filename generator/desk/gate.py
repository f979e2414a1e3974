"""The gate: no word reaches a patient of a real unit that not everybody who has to has looked at.

It asks for each booking, over the messages that its own pages show and those of every page that may take their
place. A demonstration unit is let through; its pages are marked.
"""

from __future__ import annotations

import datetime as dt
from calendar import monthrange
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby

from generator.desk.rendering import Desk
from generator.finding import Finding, refusal, warning
from generator.page.life import source_wording
from generator.words.message import SOURCE_TAG, Message
from generator.words.reviews import Standing, needed_roles
from generator.words.wording import Wording

_NAMED = 12  # ids named in one sentence; `daybefore language status` lists all


def review_findings(desk: Desk, shown: Mapping[str, Sequence[Message]], *, given: bool) -> list[Finding]:
    """What stands against these messages, and against the English of those that can hurt: it is what was translated.

    Args:
        shown: language tag -> messages; a language that there is not is told elsewhere.
        given: the patient has the plan already; reviews that have aged meanwhile hold for it.
    """
    if desk.folder.unit.demonstration:
        return []
    asked = {tag: {message.id: message for message in messages} for tag, messages in shown.items()}
    for message in [message for messages in shown.values() for message in messages if message.risk == "A"]:
        asked.setdefault(SOURCE_TAG, {}).setdefault(message.id, message)
    wordings = {SOURCE_TAG: source_wording(), **desk.wordings}
    return [
        finding
        for tag, messages in asked.items()
        if tag in wordings
        for finding in _findings(desk, wordings[tag], messages.values(), given=given)
    ]


def _findings(desk: Desk, wording: Wording, messages: Iterable[Message], *, given: bool) -> Iterator[Finding]:
    # What is missing altogether is told as that.
    standings = {
        message.id: standing for message in messages if (standing := wording.standing(message)) is not None
    }
    stopped = [name for name, standing in standings.items() if standing.stopped_by]
    if stopped:
        yield refusal(
            "language-stopped",
            wording.tag,
            f"In “{wording.tag}” somebody says of these words that they could hurt: {_told(stopped)}.",
            "Have them changed and reviewed anew; until then arrange an interpreter.",
        )
    lacking = {name: standing.lacking for name, standing in standings.items() if standing.lacking}
    if lacking:
        yield _unreviewed(wording.tag, lacking)
    if not lacking and not stopped:
        yield from _aged(desk, wording.tag, standings, given=given)


def _unreviewed(tag: str, lacking: dict[str, tuple[str, ...]]) -> Finding:
    """Which messages nobody has looked at, and in which role."""
    by_roles = sorted(lacking, key=lambda name: (lacking[name], name))
    told = "; ".join(
        f"nobody has looked as {' or as '.join(roles)} at {_told(list(names))}"
        for roles, names in groupby(by_roles, key=lambda name: lacking[name])
    )
    role = next(
        role for role in needed_roles(tag, "A.x.y") if any(role in roles for roles in lacking.values())
    )
    return refusal(
        "language-not-reviewed",
        tag,
        f"Of the words in “{tag}” {len(lacking)} are not reviewed: {told}.",
        f"Arrange an interpreter, and have them reviewed: daybefore language sheet {tag} --role {role} --unit … "
        f"(daybefore language status {tag} --unit … names all).",
    )


def _told(names: list[str]) -> str:
    rest = len(names) - _NAMED
    return ", ".join(names[:_NAMED]) + (f" and {rest} more" if rest > 0 else "")


def _aged(desk: Desk, tag: str, standings: dict[str, Standing], *, given: bool) -> Iterator[Finding]:
    """Reviews that have aged: told at first, later they count no more; a plan already given keeps them."""
    period, today = desk.folder.unit.review_period, desk.now.date()
    ended = months_before(today, period.refuse_months)
    aging = months_before(today, period.warn_months)
    remedy = f"Have them looked at again: daybefore language sheet {tag} --role … --unit …"
    old = [name for name, standing in standings.items() if standing.since < ended]
    if old and not given:
        problem = f"In “{tag}” reviews are older than {period.refuse_months} months: {_told(old)}."
        yield refusal("review-expired", tag, problem, remedy)
        return
    due = [name for name, standing in standings.items() if standing.since < aging]
    if due:
        problem = f"In “{tag}” reviews are older than {period.warn_months} months: {_told(due)}."
        yield warning("review-due", tag, problem, remedy)


def months_before(day: dt.date, months: int) -> dt.date:
    """The same day so many months earlier, or the last day of that month."""
    year, month = divmod(day.year * 12 + day.month - 1 - months, 12)
    return dt.date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
