"""`daybefore messages, handout`: what is given over to patients, and the record that it was."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

import click

from generator.cli.desk_option import base_url_option, desk_at
from generator.cli.life import ROLES
from generator.cli.options import (
    data_option,
    finding_lines,
    json_option,
    now_option,
    print_findings,
    print_json,
    unit_option,
)
from generator.desk import Desk, handing
from generator.desk.handing import HANDOUT, Prepared
from generator.errors import BadRequest
from generator.finding import Finding
from generator.materials.whole_files import replace_private_file
from generator.page.message_text import Kind
from generator.plan.moment_text import moment_text
from generator.plan.moments import in_zone
from generator.records import PlanRecord
from generator.records.handed import Handed


def _role_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """--role ROLE, which also says that what is written is given over."""
    return click.option(
        "--role",
        type=click.Choice(ROLES),
        help="Records that you took them, in this role: they are not due again.",
    )(command)


@click.command("messages")
@click.option("--due", is_flag=True, help="All that are due now.")
@click.option("--ref", help="Those of one booking, whether due or not.")
@click.option("--kind", type=click.Choice([kind.value for kind in Kind]), help="Only of this kind.")
@click.option(
    "--csv",
    "csv_file",
    is_flag=False,
    flag_value="-",
    metavar="[FILE]",
    help="As a CSV file for your texting or letter merge; without FILE on standard output.",
)
@click.option(
    "--bom", is_flag=True, help="Begin the CSV with a byte order mark, by which spreadsheets know UTF-8."
)
@_role_option
@json_option
@now_option
@base_url_option
@data_option
@unit_option
def messages(
    unit_dir: Path,
    out_dir: Path,
    due: bool,
    ref: str | None,
    kind: str | None,
    role: str | None,
    **asked: Any,
) -> None:
    """The text messages to patients, in their languages. daybefore sends none itself, and knows no phone number."""
    if due == (ref is not None):
        raise click.UsageError("Say which: --due, or --ref REF.")
    if asked["csv_file"] and asked["as_json"]:
        raise click.UsageError("Choose one of --csv and --json.")
    with desk_at(unit_dir, out_dir, asked["base_url"], asked["now"]) as desk:
        found = handing.due_messages(desk) if ref is None else handing.messages_of(desk, _known(desk, ref))
        found = [one for one in found if kind is None or one.kind == kind]
        if asked["csv_file"]:
            _write(asked["csv_file"], handing.messages_csv(found, bom=asked["bom"]))
        elif asked["as_json"]:
            print_json({"messages": [_as_json(desk, one) for one in found]})
        else:
            _print_messages(desk, found)
        quiet = bool(asked["csv_file"] or asked["as_json"])
        refused = [one for one in found if one.text is None]
        if quiet:
            _tell_apart(finding for one in refused for finding in one.findings)
        taken = [(one.record, one.kind.value) for one in found if one.text is not None]
        whole = _recorded(desk, taken, "exported" if asked["csv_file"] else "copied", role)
    if refused or not whole:
        sys.exit(1)


@click.command("handout")
@click.option(
    "--day", metavar="DAY", help="All bookings of this day, such as 2026-12-03, in the order of the list."
)
@click.option("--ref", "refs", multiple=True, help="One booking; may be given several times.")
@click.option(
    "--to", "file", default="-", metavar="FILE", help="Where to write the page; else standard output."
)
@_role_option
@now_option
@base_url_option
@data_option
@unit_option
def handout(
    unit_dir: Path, out_dir: Path, day: str | None, refs: tuple[str, ...], role: str | None, **asked: Any
) -> None:
    """Sheets to print as one page of HTML: a sheet for each booking, in the patient's language and yours."""
    if (day is None) == (not refs):
        raise click.UsageError("Say which: --day DAY, or --ref REF.")
    with desk_at(unit_dir, out_dir, asked["base_url"], asked["now"]) as desk:
        chosen = handing.records_of_day(desk, _day(day)) if day else [_known(desk, ref) for ref in refs]
        if not chosen:
            raise BadRequest("There is no booking on that day.", remedy="Look them up: daybefore list")
        job = handing.handouts(desk, chosen)
        if job.records:
            _write(asked["file"], job.page)
        _tell_apart(job.findings)
        whole = _recorded(desk, [(record, HANDOUT) for record in job.records], "printed", role)
    if job.findings or not whole:
        sys.exit(1)


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise click.UsageError(f"--day {text} is not a day. Write it as 2026-12-03.") from None


def _known(desk: Desk, ref: str) -> PlanRecord:
    record = desk.records.find(ref)
    if record is None:
        raise BadRequest("No booking has that reference.", remedy="Look them up: daybefore list")
    return record


def _write(file: str, content: bytes) -> None:
    """On standard output, or into a file that nobody else may read: the links in it open the plans."""
    if file == "-":
        click.echo(content, nl=False)
        return
    try:
        replace_private_file(Path(file), content)
    except OSError as error:
        raise BadRequest(
            f"{file} cannot be written: {error.strerror}.",
            remedy="Name another file, in a folder that is there.",
        ) from None
    click.echo(f"Written: {file}", err=True)


def _recorded(desk: Desk, taken: Sequence[tuple[PlanRecord, str]], way: str, role: str | None) -> bool:
    """Records that they were given over, if a role is named; False where one holds no longer."""
    if role is None or not taken:
        return True
    done = handing.give(desk, taken, way, role)
    for (record, _), written in zip(taken, done, strict=True):
        if not written:
            click.echo(
                f"{record.ref}: its plan was changed meanwhile. Next: throw this one away, run again.",
                err=True,
            )
    click.echo(f"Recorded as {way}: {sum(done)}.", err=True)
    return all(done)


def _tell_apart(findings: Iterable[Finding]) -> None:
    """What stands against one, beside standard output, which is the file itself."""
    for line in finding_lines(findings, ""):
        click.echo(line, err=True)


def _print_messages(desk: Desk, found: Sequence[Prepared]) -> None:
    for one in found:
        click.echo(f"{one.record.ref}  {one.kind}")
        for before in one.given:
            click.echo(f"    given before: {_given_text(desk, before)}")
        if one.text is not None:
            parts = one.text.parts
            click.echo(f"    {one.text.lang}, {parts.count} part(s), {parts.units} {parts.alphabet} units")
            for line in one.text.text.split("\n"):
                click.echo(f"    | {line}")
        print_findings(one.findings)
    click.echo(f"{len(found)} message(s).")


def _given_text(desk: Desk, before: Handed) -> str:
    when = moment_text(in_zone(before.at, desk.folder.unit.zone))
    return f"{before.kind}, {before.way}, {when}, {before.role}"


def _as_json(desk: Desk, one: Prepared) -> dict[str, object]:
    text, zone = one.text, desk.folder.unit.zone
    return {
        "ref": one.record.ref,
        "kind": one.kind,
        "language": text.lang if text else None,
        "text": text.text if text else None,
        "link": one.link,
        "parts": text.parts.count if text else None,
        "alphabet": text.parts.alphabet if text else None,
        "given": [
            {
                "kind": before.kind,
                "way": before.way,
                "version": before.version,
                "role": before.role,
                "at": in_zone(before.at, zone).isoformat(timespec="minutes"),
            }
            for before in one.given
        ],
        "findings": [finding.as_json() for finding in one.findings],
    }
