"""`daybefore build`: makes the plans of a booking list and prints the links."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from generator.cli.options import (
    data_option,
    json_option,
    now_from,
    now_option,
    print_findings,
    print_json,
    unit_option,
)
from generator.cli.read import bytes_of
from generator.desk import Desk, Made, make_row
from generator.desk import read as read_rows
from generator.errors import BadMaterials, BadRequest
from generator.finding import RowVerdict, Severity
from generator.intake import Reading, RowReading
from generator.materials.languages import wordings_from
from generator.materials.shipped import read_shipped
from generator.materials.unit_folder import UnitFolder, read_unit_folder
from generator.page.booklet import parts_from
from generator.page.qr import qr_text
from generator.records import Records
from generator.shelves import FolderShelf

DEFAULT_BASE_URL = "http://localhost:8641/"


@click.command("build")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@unit_option
@data_option
@click.option(
    "--base-url", envvar="DAYBEFORE_BASE_URL", help="Where the plans will be served, with the last slash."
)
@click.option(
    "--jobs",
    type=click.IntRange(1, 64),
    default=1,
    help="Accepted; plans are made one after the other so far.",
)
@click.option("--qr", "show_qr", is_flag=True, help="Show the first link as a code to scan.")
@now_option
@json_option
def build(
    files: tuple[Path, ...],
    unit_dir: Path,
    out_dir: Path,
    base_url: str | None,
    jobs: int,
    show_qr: bool,
    now: str | None,
    as_json: bool,
) -> None:
    """Makes the plans of a booking list and prints the links."""
    folder = read_unit_folder(unit_dir)
    moment = now_from(now, folder.unit.zone)
    shipped = read_shipped()
    wordings, faults = wordings_from(shipped.words)
    if faults:
        raise BadMaterials(
            "A language file has faults.", remedy="Mend the findings below.", findings=tuple(faults)
        )
    records = Records(out_dir)
    desk = Desk(
        folder,
        wordings,
        parts_from(shipped.templates, shipped.assets, shipped.worker),
        records,
        FolderShelf(out_dir),
        _base_url(base_url, folder),
        moment,
    )
    readings = [read_rows(folder, bytes_of(file), file.name, moment) for file in files]
    outcomes = _made(desk, readings, quiet=as_json)
    records.close()
    if as_json:
        print_json({"files": [_file_json(reading, outcomes) for reading in readings]})
    else:
        _print(readings, outcomes, show_qr)
    if any(reading.refused for reading in readings) or any(
        verdict_of_row(row, outcomes.get(id(row))) is RowVerdict.REJECT
        for reading in readings
        for row in reading.rows
    ):
        sys.exit(1)


def _base_url(given: str | None, folder: UnitFolder) -> str:
    url = given or folder.unit.base_url or DEFAULT_BASE_URL
    if not url.startswith(("https://", "http://")):
        raise BadRequest(
            f"The address {url} is no web address.", remedy="Write it as https://plans.example.org/."
        )
    return url if url.endswith("/") else f"{url}/"


def _made(desk: Desk, readings: list[Reading], *, quiet: bool) -> dict[int, Made]:
    rows = [row for reading in readings for row in reading.rows if row.booking is not None]
    outcomes: dict[int, Made] = {}
    with click.progressbar(rows, label="Making plans", file=sys.stderr, hidden=quiet or len(rows) < 5) as bar:
        for row in bar:
            outcomes[id(row)] = make_row(desk, row)
    return outcomes


def verdict_of_row(row: RowReading, made: Made | None) -> RowVerdict:
    """The row's verdict after building: a stage that refused makes it a reject, a later warning a warn."""
    severities = {finding.severity for finding in made.findings} if made else set()
    if Severity.REFUSE in severities:
        return RowVerdict.REJECT
    if Severity.WARN in severities and row.verdict is RowVerdict.ACCEPT:
        return RowVerdict.WARN
    return row.verdict


def _file_json(reading: Reading, outcomes: dict[int, Made]) -> dict[str, object]:
    document = reading.as_json()
    rows: list[dict[str, object]] = []
    counts = dict.fromkeys(reading.counts, 0)
    for row, told in zip(reading.rows, _rows_of(document), strict=True):
        made = outcomes.get(id(row))
        verdict = verdict_of_row(row, made)
        counts[verdict.value] += 1
        told |= {"verdict": verdict.value}
        if made:
            told["findings"] = [finding.as_json() for finding in (*row.findings, *made.findings)]
        if made and made.link:
            told["link"] = made.link
        rows.append(told)
    return {**document, "counts": counts, "rows": rows}


def _rows_of(document: dict[str, object]) -> list[dict[str, object]]:
    rows = document["rows"]
    assert isinstance(rows, list)
    return rows


def _print(readings: list[Reading], outcomes: dict[int, Made], show_qr: bool) -> None:
    links = []
    for reading in readings:
        click.echo(reading.file)
        if reading.refused:
            print_findings([reading.refused], "  ")
        for row in reading.rows:
            made = outcomes.get(id(row))
            start = f"{row.start:%a %d %b %Y %H:%M}" if row.start else "no start"
            verdict = verdict_of_row(row, made)
            click.echo(
                f"  row {row.row}  {row.ref or '(no reference)'}  {verdict.value.upper()}  {start}  "
                f"{row.protocol or ''}  {', '.join(row.languages)}"
            )
            print_findings((*row.findings, *(made.findings if made else ())))
            if made and made.link:
                click.echo(f"    {made.link}")
                links.append(made.link)
    click.echo(f"{len(links)} plan(s) are up.")
    if show_qr and links:
        click.echo(f"\n{qr_text(links[0])}\n{links[0]}")
