"""`daybefore language`: brings a translator's file up to date and says what is missing."""

from __future__ import annotations

import sys
from pathlib import Path

import click
from babel import Locale, UnknownLocaleError

from generator.cli.options import print_findings
from generator.cli.read import bytes_of
from generator.errors import BadMaterials, BadRequest
from generator.materials.shipped import read_shipped, shipped_folder
from generator.page.catalogue import catalogue
from generator.words.message import Message
from generator.words.po import Entry, PoFile, po_text, read_po_file
from generator.words.wording import plural_categories, plural_header, wording_from


@click.group("language")
def language() -> None:
    """Adds, updates and checks a language."""


@language.command("update")
@click.argument("tag")
def update(tag: str) -> None:
    """Brings locales/TAG.po up to date, or makes it: new messages come in empty, changed English is marked."""
    path = shipped_folder("locales") / f"{tag}.po"
    po = _read(path) if path.exists() else PoFile({}, ())
    locale = _locale(po.header.get("X-Formats-From", tag))
    old = {entry.id: entry for entry in po.entries}
    messages = catalogue(read_shipped().templates)
    entries = [
        _entry(message, old.get(message.id), len(plural_categories(locale))) for message in messages.values()
    ]
    header = {
        "Project-Id-Version": "daybefore",
        "Language": tag,
        "MIME-Version": "1.0",
        "Content-Type": "text/plain; charset=UTF-8",
        "Content-Transfer-Encoding": "8bit",
        **{key: value for key, value in po.header.items() if key.startswith("X-")},
        "Plural-Forms": plural_header(locale),
    }
    path.write_text(po_text(header, entries), "utf-8", newline="\n")
    gone = sorted(set(old) - set(messages))
    click.echo(
        f"{path.name}: {len(entries)} messages, {_missing(entries)} to translate"
        + (f"; no longer used and left out: {', '.join(gone)}" if gone else "")
        + "."
    )


@language.command("check")
@click.argument("tag")
def check(tag: str) -> None:
    """Says, in plain sentences, what locales/TAG.po lacks."""
    path = shipped_folder("locales") / f"{tag}.po"
    if not path.exists():
        raise BadRequest(f"There is no file {path.name}.", remedy=f"Make it: daybefore language update {tag}")
    wording, findings = wording_from(bytes_of(path), tag, path.name)
    print_findings(findings, "")
    if wording is None:
        sys.exit(1)
    missing = [
        message for message in catalogue(read_shipped().templates).values() if wording.forms(message) is None
    ]
    for message in missing:
        click.echo(f"{message.id}: not translated yet. English: {message.english}")
    click.echo(
        f"{path.name}: {len(missing)} of the messages are missing." if missing else f"{path.name} is whole."
    )
    if missing:
        sys.exit(1)


def _read(path: Path) -> PoFile:
    po, findings = read_po_file(bytes_of(path), path.name)
    if findings:
        raise BadMaterials(
            f"{path.name} cannot be updated while it has faults.",
            remedy="Mend the findings below.",
            findings=tuple(findings),
        )
    return po


def _locale(tag: str) -> Locale:
    try:
        return Locale.parse(tag, sep="-")
    except (UnknownLocaleError, ValueError):
        raise BadRequest(
            f"No dates and weekdays are known for “{tag}”.",
            remedy="Make the file by hand with a header line “X-Formats-From: en-GB”, then update it.",
        ) from None


def _entry(message: Message, old: Entry | None, categories: int) -> Entry:
    """By id only, never by likeness: changed English keeps the old text, marked as unfinished."""
    count = categories if message.other is not None else 1
    texts = old.texts if old and len(old.texts) == count else ("",) * count
    changed = old is not None and old.english != message.forms and any(texts)
    return Entry(
        message.id,
        message.forms,
        texts,
        message.note,
        fuzzy=bool(any(texts) and old and (old.fuzzy or changed)),
        previous=old.english[0] if old and changed else (old.previous if old else None),
    )


def _missing(entries: list[Entry]) -> int:
    return sum(1 for entry in entries if entry.fuzzy or not all(entry.texts))
