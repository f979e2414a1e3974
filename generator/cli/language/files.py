"""`daybefore language add`, `update`, `check`: begin a language, bring its file up to date, say what is missing."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import click
from babel import Locale, UnknownLocaleError

from generator.cli.options import print_findings, unit_if_any_option
from generator.cli.read import bytes_of
from generator.errors import BadMaterials, BadRequest
from generator.finding import Severity
from generator.materials.languages import own_messages, with_bases, wordings_from
from generator.materials.shipped import locales_folder, read_shipped
from generator.materials.unit_folder import LOCALES, read_unit_folder
from generator.materials.whole_files import replace_file
from generator.page.catalogue import catalogue
from generator.words.message import Message
from generator.words.po import Entry, PoFile, read_po_file
from generator.words.po_text import po_text
from generator.words.update import updated
from generator.words.variants import base_tag, tag_written
from generator.words.whole_file import Remarks, file_findings, remarks_on
from generator.words.wording import Wording

_UPDATE = "daybefore language update"
_HEAD = (
    "For whoever translates: locales/README.md says how, in one page. Write between the quotes after each msgstr.",
    "Ids that begin with A are dangerous: add nothing, leave nothing out. Keep {braces} as they are.",
)
_SIGNS = {Severity.REFUSE: "MEND", Severity.WARN: "LOOK", Severity.NOTE: "note"}


@click.command("add")
@click.argument("tag")
@click.option(
    "--formats-from",
    metavar="TAG",
    help="A related language whose weekdays, months and forms for numbers are used, if this one is not known.",
)
@unit_if_any_option
def add(tag: str, formats_from: str | None, unit_dir: Path | None) -> None:
    """Begins a language: makes locales/TAG.po with every message, ready to be opened in an editor.

    A region variant, such as es-419, begins empty: it needs only what it says otherwise (update --entry).
    """
    written = tag_written(tag)
    if not written:
        raise BadRequest(
            f"“{tag}” is no tag of a language.",
            remedy="Write language, script and region as needed, such as pl, zh-Hans or es-419.",
        )
    path, messages = _file_of(written, unit_dir)
    if path.exists():
        raise BadRequest(
            f"There is a file {path.name} already.", remedy=f"Open it, or run: {_UPDATE} {written}"
        )
    locale = _locale(formats_from or written, written)
    header = {"X-Formats-From": formats_from} if formats_from else {}
    base = None if unit_dir else base_tag(written, _tags())
    new = updated(PoFile(header, (), (), _HEAD), messages, written, locale, () if base else None)
    _write(path, new)
    for line in _next_steps(path, written, base, len(new.entries)):
        click.echo(line)


@click.command("update")
@click.argument("tag")
@click.option("--entry", "ids", metavar="ID", multiple=True, help="Add this message to a region variant.")
@unit_if_any_option
def update(tag: str, ids: tuple[str, ...], unit_dir: Path | None) -> None:
    """Brings locales/TAG.po up to date: new messages come in empty, changed English is marked.

    With --unit the file of the unit's own sentences.
    """
    path, messages = _file_of(tag, unit_dir)
    if not path.exists():
        raise _no_file(path, tag)
    po = _read(path)
    unknown = [message_id for message_id in ids if message_id not in messages]
    if unknown:
        raise BadRequest(
            f"There is no message {unknown[0]}.", remedy="Copy the id as it stands in the other file."
        )
    base = None if unit_dir else base_tag(tag, _tags())
    new = updated(
        po, messages, tag, _locale(po.header.get("X-Formats-From", tag), tag), ids if base else None
    )
    _write(path, new)
    gone = sorted({entry.id for entry in new.obsolete} - {entry.id for entry in po.obsolete})
    click.echo(
        f"{path.name}: {len(new.entries)} messages, {_missing(new.entries)} to translate"
        + (f"; no longer used, and kept at the end of the file: {', '.join(gone)}" if gone else "")
        + "."
    )


@click.command("check")
@click.argument("tag")
@unit_if_any_option
def check(tag: str, unit_dir: Path | None) -> None:
    """Says, in plain sentences, what locales/TAG.po lacks; with --unit, the file of the unit's own sentences."""
    path, messages = _file_of(tag, unit_dir)
    if not path.exists():
        raise _no_file(path, tag)
    raw = bytes_of(path)
    findings = file_findings(raw, tag, path.name)
    if findings:
        print_findings(findings, "")
        sys.exit(1)
    told = remarks_on(raw, tag, path.name, messages, None if unit_dir else _base_of(tag))
    for remarks in told:
        click.echo(f"{remarks.where} {remarks.id}\n  English: {remarks.english}")
        for finding in remarks.findings:
            click.echo(f"  {_SIGNS[finding.severity]}  {finding.problem}\n        Next: {finding.remedy}")
    click.echo(_summary(path.name, told))
    if any(finding.severity is Severity.REFUSE for remarks in told for finding in remarks.findings):
        sys.exit(1)


def _file_of(tag: str, unit_dir: Path | None) -> tuple[Path, dict[str, Message]]:
    """A language's file and the messages that belong in it: ours, or the unit's own."""
    if unit_dir is None:
        return locales_folder() / f"{tag}.po", catalogue(read_shipped().templates)
    return unit_dir / LOCALES / f"{tag}.po", own_messages(read_unit_folder(unit_dir))


def _summary(file: str, told: list[Remarks]) -> str:
    missing = sum(remarks.missing for remarks in told)
    looks = sum(finding.severity is Severity.WARN for remarks in told for finding in remarks.findings)
    whole = f"{missing} of the messages cannot be shown." if missing else "every message can be shown."
    return f"{file}: {whole}" + (f" Worth a look: {looks}." if looks else "")


def _read(path: Path) -> PoFile:
    po, findings = read_po_file(bytes_of(path), path.name)
    if findings:
        raise BadMaterials(
            f"{path.name} cannot be updated while it has faults.",
            remedy="Mend the findings below.",
            findings=tuple(findings),
        )
    return po


def _write(path: Path, po: PoFile) -> None:
    path.parent.mkdir(exist_ok=True)
    replace_file(path, po_text(po).encode())


def _no_file(path: Path, tag: str) -> BadRequest:
    return BadRequest(f"There is no file {path.name}.", remedy=f"Begin it: daybefore language add {tag}")


def _tags() -> set[str]:
    return {path.stem for path in locales_folder().glob("*.po")}


def _base_of(tag: str) -> Wording | None:
    """For a region variant, the language that it builds on."""
    if base_tag(tag, _tags()) is None:
        return None
    wordings, _ = wordings_from(read_shipped().words)
    return with_bases(wordings)[tag].base if tag in wordings else None


def _locale(formats: str, tag: str) -> Locale:
    try:
        return Locale.parse(formats, sep="-")
    except (UnknownLocaleError, ValueError):
        raise BadRequest(
            f"No dates and weekdays are known for “{formats}”.",
            remedy=f"Name a related language: daybefore language add {tag} --formats-from en-GB",
        ) from None


def _next_steps(path: Path, tag: str, base: str | None, count: int) -> Iterator[str]:
    """What whoever has begun a language does next, in plain sentences."""
    yield f"Made: {path}"
    if base:
        yield f"It takes the words of “{base}” and holds only what it says otherwise."
        yield f"Add a sentence that differs: {_UPDATE} {tag} --entry ID"
    else:
        yield f"It has {count} messages. Open it in an editor for PO files, and write after each msgstr."
    yield f"Look at the pages while you write: daybefore language preview {tag}"
    yield f"See what is missing or wrong: daybefore language check {tag}"


def _missing(entries: tuple[Entry, ...]) -> int:
    return sum(1 for entry in entries if entry.fuzzy or not all(entry.texts))
