"""`daybefore language sheet` and `accept`: words go out to a reviewer, and what was said of them comes back."""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path

import click

from generator.cli.language.words_at import Words, words_at
from generator.cli.options import now_from, now_option, print_findings, unit_if_any_option
from generator.cli.read import bytes_of
from generator.clinic.unit import DEFAULT_PERIOD
from generator.desk.gate import months_before
from generator.desk.shown import messages_of
from generator.errors import BadMaterials, BadRequest
from generator.finding import Severity
from generator.materials.reviews import add_reviews, add_todo
from generator.materials.shipped import read_sheet_parts
from generator.page.booklet import parts_from
from generator.words.message import Message
from generator.words.reviews import CARRIED, CLINICIAN, ROLES, Review, is_code, needed_roles
from generator.words.sheet import MOST, Languages, rows_lacking, rows_of, sheet_csv
from generator.words.sheet_answers import judged, sheet_from
from generator.words.sheet_page import sheet_page
from generator.words.whole_file import remarks_on


@click.command("sheet")
@click.argument("tag")
@click.option(
    "--role", type=click.Choice(ROLES), required=True, help="In which role the words are looked at."
)
@unit_if_any_option
@click.option(
    "--protocol", help="Only what a plan of this protocol shows, and the pages that may take its place."
)
@click.option("--back", type=click.Path(path_type=Path), help="A sheet with back_translation filled in.")
@click.option("--out", "out_dir", type=click.Path(file_okay=False, path_type=Path), default=".")
@now_option
def sheet(
    tag: str,
    role: str,
    unit_dir: Path | None,
    protocol: str | None,
    back: Path | None,
    out_dir: Path,
    now: str | None,
) -> None:
    """Writes a sheet of words that lack a review in ROLE, as HTML and as CSV; at most 60, the dangerous ones first."""
    _stop_without_unit(role, unit_dir)
    words = words_at(unit_dir)
    languages = words.languages(tag)
    if not any(role in needed_roles(tag, message_id) for message_id in words.messages):
        raise BadRequest(
            f"Nobody reviews “{tag}” as {role}.", remedy="Use --role reviser or --role clinician."
        )
    asked = _asked(words, protocol)
    lacking = rows_lacking(languages, asked, role, _renew_before(words, now))
    rows = rows_of(languages, lacking[:MOST], backs=_backs(back), remarks=_remarks(words, tag))
    untranslated = sum(1 for message in asked if languages.wording.forms(message) is None)
    if untranslated:
        click.echo(f"{untranslated} messages in “{tag}” have no words yet; they are for the translator.")
    if not rows:
        click.echo(f"Nothing in “{tag}” waits for a {role}.")
        return
    out_dir.mkdir(parents=True, exist_ok=True)
    path = out_dir / f"{tag}-{role}"
    path.with_suffix(".html").write_bytes(sheet_page(languages, role, rows, read_sheet_parts()))
    path.with_suffix(".csv").write_bytes(sheet_csv(tag, role, rows))
    click.echo(f"{path}.html and {path}.csv: {len(rows)} of {len(lacking)} messages that wait for a {role}.")
    where = f" --unit {unit_dir}" if unit_dir else ""
    click.echo(f"  Next: send either; what comes back: daybefore language accept FILE.csv --by CODE{where}")


def _stop_without_unit(role: str, unit_dir: Path | None) -> None:
    if role == CLINICIAN and unit_dir is None:
        raise BadRequest(
            "A clinician reviews for a unit.",
            remedy="Add --unit DIR; the reviews are kept in the unit's folder.",
        )


def _asked(words: Words, protocol: str | None) -> list[Message]:
    if protocol is None:
        return list(words.messages.values())
    if words.folder is None or protocol not in words.folder.protocols:
        raise BadRequest(
            f"There is no protocol “{protocol}”.", remedy="Add --unit DIR, and name a file in its protocols/."
        )
    shipped = words.shipped
    parts = parts_from(shipped.templates, shipped.style, shipped.assets, shipped.drawn, shipped.worker)
    return messages_of(words.folder, words.folder.protocols[protocol].protocol, parts)


def _renew_before(words: Words, now: str | None) -> dt.date:
    """The day before which a review is old enough to be asked for again."""
    unit = words.folder.unit if words.folder else None
    period = unit.review_period if unit else DEFAULT_PERIOD
    return months_before(now_from(now, unit.zone if unit else "UTC").date(), period.warn_months)


def _remarks(words: Words, tag: str) -> dict[str, tuple[str, ...]]:
    """What the checks wondered about, by id: the reviewer looks at it, too."""
    files = [words.shipped.words.get(tag, b""), words.folder.words.get(tag, b"") if words.folder else b""]
    return {
        remarks.id: hints
        for raw in files
        for remarks in remarks_on(raw, tag, f"{tag}.po", words.messages)
        if (hints := tuple(one.problem for one in remarks.findings if one.severity is Severity.WARN))
    }


def _backs(path: Path | None) -> dict[str, str]:
    """Stamp -> what somebody put back into English, from a sheet that was filled in."""
    if path is None:
        return {}
    filled, findings = sheet_from(bytes_of(path), path.name)
    if filled is None:
        raise BadMaterials(
            "The sheet cannot be used.", remedy="Mend the findings below.", findings=tuple(findings)
        )
    return {cells["check"].strip()[1:]: cells["back_translation"].strip() for _, cells in filled.rows}


@click.command("accept")
@click.argument("sheet_file", required=False, metavar="[SHEET]", type=click.Path(path_type=Path))
@click.option(
    "--by", required=True, help="The reviewer's code, such as rn-7; who it is stands in the unit's own list."
)
@unit_if_any_option
@click.option(
    "--same-meaning", "message_id", metavar="ID", help="The words of ID have changed, and mean the same."
)
@click.option("--language", "tag", metavar="TAG", help="With --same-meaning: in which language.")
@click.option("--reason", help="With --same-meaning: what was changed.")
@now_option
def accept(
    sheet_file: Path | None,
    by: str,
    unit_dir: Path | None,
    message_id: str | None,
    tag: str | None,
    reason: str | None,
    now: str | None,
) -> None:
    """Adds what a reviewer said on SHEET to the ledger; changes go to a list for the translator.

    With --same-meaning instead of a sheet: the reviews of the former words hold for the present ones.
    """
    by = by.strip().casefold()
    if not is_code(by):
        raise BadRequest("--by is no code.", remedy="Use letters and a digit, such as rn-7; never a name.")
    if (sheet_file is None) == (message_id is None):
        raise click.UsageError("Give a sheet, or --same-meaning ID.")
    words = words_at(unit_dir)
    today = now_from(now, words.folder.unit.zone if words.folder else "UTC").date()
    if message_id is not None:
        _carry(words, message_id, tag, by, reason or "", today)
    elif sheet_file is not None:
        _accept_sheet(words, sheet_file, by, today, unit_dir)


def _accept_sheet(words: Words, path: Path, by: str, today: dt.date, unit_dir: Path | None) -> None:
    filled, findings = sheet_from(bytes_of(path), path.name)
    if filled is None:
        print_findings(findings, "")
        sys.exit(1)
    _stop_without_unit(filled.role, unit_dir)
    outcome = judged(filled, words.languages(filled.tag), words.messages, by, today)
    add_reviews(words.locales, filled.tag, outcome.reviews)
    add_todo(words.locales, filled.tag, outcome.asked)
    print_findings(outcome.findings, "")
    refused = sum(1 for one in outcome.findings if one.severity is Severity.REFUSE)
    click.echo(
        f"{path.name}: {outcome.accepted} accepted, {len(outcome.asked)} for the translator, {refused} refused, "
        f"{outcome.unanswered} without an answer."
    )
    if outcome.asked:
        click.echo(
            f"  Next: the translator changes what {words.locales.name}/todo/{filled.tag}.csv asks for."
        )
    if refused:
        sys.exit(1)


def _carry(words: Words, message_id: str, tag: str | None, by: str, reason: str, today: dt.date) -> None:
    """Adds a line that the former words and the present ones mean the same."""
    message = words.messages.get(message_id)
    if message is None:
        raise BadRequest(
            f"There is no message {message_id}.", remedy="Copy its id from the sheet or the file."
        )
    if not reason.strip():
        raise BadRequest("A reason is needed.", remedy="Say what was changed: --reason “a comma”.")
    changed = {one: former for one in words.wordings if (former := _former(words.languages(one), message))}
    if tag is None and len(changed) == 1:
        [tag] = changed
    if tag is None or tag not in changed:
        named = f"Use --language with one of: {', '.join(changed)}." if changed else "Send it out on a sheet."
        raise BadRequest(
            f"It is not clear in which language {message_id} has changed."
            if changed and tag is None
            else f"There is nothing to carry over for {message_id}: its present words are reviewed or missing, or "
            "the former ones were not fully reviewed.",
            remedy=named,
        )
    languages = words.languages(tag)
    if not languages.wording.reviews.may_carry(by, message_id):
        raise BadRequest(
            f"{message_id} can hurt somebody: only a clinician says that its words mean the same.",
            remedy="Let somebody who has reviewed this language as a clinician of the unit do it, with --unit DIR.",
        )
    stamp = languages.stamp(message)
    assert stamp is not None, "a message without words has no former words to carry"
    line = Review(message_id, stamp, CARRIED, by, today, carries=changed[tag], reason=reason.strip())
    add_reviews(words.locales, tag, [line])
    click.echo(
        f"{message_id} in “{tag}”: the reviews of the former words ({changed[tag]}) hold for these ({stamp})."
    )


def _former(languages: Languages, message: Message) -> str | None:
    """The stamp of the words that were last reviewed, where they were wholly so and the present ones are not."""
    stamp, reviews = languages.stamp(message), languages.wording.reviews
    if stamp is None or reviews.standing_of(languages.tag, message.id, stamp).is_whole:
        return None
    former = reviews.last_stamp(message.id, but=stamp)
    if former is None or not reviews.standing_of(languages.tag, message.id, former).is_whole:
        return None
    return former
