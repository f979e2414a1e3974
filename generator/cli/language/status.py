"""`daybefore language status`: how far each language is, and which protocols it may be used for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from generator.cli.language.words_at import Words, words_at
from generator.cli.options import (
    json_option,
    now_from,
    now_option,
    print_findings,
    print_json,
    unit_if_any_option,
)
from generator.clinic.unit import DEFAULT_PERIOD
from generator.desk.gate import months_before
from generator.desk.shown import messages_of
from generator.materials.reviews import todo_files
from generator.page.booklet import parts_from
from generator.words.message import Message
from generator.words.progress import CLASSES, Progress, progress_of
from generator.words.todo import todo_stamps


@click.command("status")
@click.argument("tag", required=False)
@unit_if_any_option
@now_option
@json_option
def status(tag: str | None, unit_dir: Path | None, now: str | None, as_json: bool) -> None:
    """How far each language is; with TAG, every message of it that waits, and for whom.

    Without --unit nobody's clinicians are known, and no sentence that can hurt counts as reviewed.
    """
    words = words_at(unit_dir)
    if tag is not None:
        words.languages(tag)  # stops where there is none
    told = told_of(words, tag, now)
    if as_json:
        findings = [finding.as_json() for finding in words.findings]
        print_json({"languages": [one.as_json() for one in told], "findings": findings})
        return
    print_findings(words.findings, "")
    for line in _table(told):
        click.echo(line)
    for line in _waiting(told[0]) if tag else ():
        click.echo(line)


def told_of(words: Words, tag: str | None, now: str | None) -> list[Progress]:
    """How far every language is, or the one named, at a moment."""
    unit = words.folder.unit if words.folder else None
    period = unit.review_period if unit else DEFAULT_PERIOD
    ended = months_before(now_from(now, unit.zone if unit else "UTC").date(), period.refuse_months)
    protocols, todo = _protocols(words), todo_files(words.locales)
    asked = {one: todo_stamps(raw.decode("utf-8-sig", "replace")) for one, raw in todo.items()}
    return [
        progress_of(words.languages(one), words.messages.values(), protocols, asked.get(one, set()), ended)
        for one in ([tag] if tag else words.wordings)
    ]


def _protocols(words: Words) -> dict[str, list[Message]]:
    """The messages that the plans of each of the unit's protocols show."""
    folder, shipped = words.folder, words.shipped
    if folder is None:
        return {}
    parts = parts_from(shipped.templates, shipped.style, shipped.assets, shipped.drawn, shipped.worker)
    return {name: messages_of(folder, protocol, parts) for name, protocol in folder.regimens.items()}


def _table(told: Sequence[Progress]) -> Iterator[str]:
    """One line a language: for each class how many are translated and reviewed, then each protocol."""
    head = [
        "language",
        *(f"{risk}: translated, reviewed" for risk in CLASSES),
        *(told[0].protocols if told else ()),
    ]
    rows = [head]
    for one in told:
        counts = ["{1} of {0}, {2}".format(*one.classes[risk]) for risk in CLASSES]
        rows.append(
            [one.tag, *counts, *(f"{len(ids)} lacking" if ids else "yes" for ids in one.protocols.values())]
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(head))]
    for row in rows:
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
    for one in told:
        if one.stopped:
            yield f"{one.tag}: somebody says of these that they could hurt: {', '.join(one.stopped)}"
        if one.todo:
            yield f"{one.tag}: {one.todo} changes that reviewers asked for are open."


def _waiting(one: Progress) -> Iterator[str]:
    """Every message that has no words, or waits for somebody."""
    for what, ids in {
        "has no words": one.missing,
        **{f"waits for a {role}": ids for role, ids in one.waiting.items()},
    }.items():
        for message_id in ids:
            yield f"{message_id} {what}"
