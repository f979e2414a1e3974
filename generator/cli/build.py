"""`daybefore build`: makes the plans of a booking list and prints the links."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

import click

from generator.batch import OpenDesk, made_rows
from generator.cli.desk_option import base_url_option, desk_at
from generator.cli.options import (
    data_option,
    json_option,
    now_from,
    now_option,
    print_findings,
    print_json,
    unit_option,
)
from generator.cli.read import print_reading, reading_of
from generator.cli.stopped import refused_lists, stops_as_json
from generator.desk import Made
from generator.finding import RowVerdict, Severity
from generator.intake import Reading, RowReading, settled
from generator.materials.unit_folder import read_unit_folder
from generator.page.qr import qr_text


@click.command("build")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@unit_option
@data_option
@base_url_option
@click.option(
    "--jobs",
    type=click.IntRange(1, 64),
    default=1,
    help="How many processes make plans at once.",
)
@click.option(
    "--single-file",
    is_flag=True,
    help="Also copy each plan into one file for each language, to hand over where a link is of no use.",
)
@click.option("--qr", "show_qr", is_flag=True, help="Show the first link as a code to scan.")
@now_option
@json_option
@stops_as_json(refused_lists)
def build(
    files: tuple[Path, ...],
    unit_dir: Path,
    out_dir: Path,
    base_url: str | None,
    jobs: int,
    single_file: bool,
    show_qr: bool,
    now: str | None,
    as_json: bool,
) -> None:
    """Makes the plans of a booking list and prints the links."""
    folder = read_unit_folder(unit_dir)
    moment = now_from(now, folder.unit.zone)
    readings = settled(tuple(reading_of(folder, file, moment) for file in files))
    # Every process of a batch works as of one moment.
    at = moment.isoformat(timespec="seconds")
    opened = partial(desk_at, unit_dir, out_dir, base_url, at, single_file=single_file)
    made = _made(opened, readings, jobs, quiet=as_json)
    outcomes = [_after(reading, made) for reading in readings]
    up = _up(readings, made)
    ending = folder.unsigned_findings(moment.date()) + folder.ending_findings(moment.date())
    if as_json:
        told = {"unit": [finding.as_json() for finding in ending]} if ending else {}
        print_json({"files": [_file_json(reading, up) for reading in outcomes]} | told)
    else:
        print_findings(ending, "")
        for reading in outcomes:
            print_reading(reading, folder, up)
        click.echo(f"{len(up)} plan(s) are up.")
        if show_qr and up:
            first = next(iter(up.values())).link or ""
            click.echo(f"\n{qr_text(first)}\n{first}")
    if any(reading.refused or reading.counts["reject"] for reading in outcomes):
        sys.exit(1)


def _made(opened: OpenDesk, readings: Sequence[Reading], jobs: int, *, quiet: bool) -> dict[int, Made]:
    every = [row for reading in readings for row in reading.rows]
    booked = {row.ref for row in every if row.verdict is not RowVerdict.SKIP}
    # Rows that cannot be built are asked for too: an earlier list may have given them a link. Not the
    # second of two equal rows: the first answers for both.
    rows = [row for row in every if row.verdict is not RowVerdict.SKIP or row.ref not in booked]
    outcomes = made_rows(opened, rows, jobs)
    few = quiet or len(rows) < 5
    with click.progressbar(
        outcomes, length=len(rows), label="Making plans", file=sys.stderr, hidden=few
    ) as bar:
        return {id(row): made for row, made in zip(rows, bar, strict=True)}


def _after(reading: Reading, outcomes: dict[int, Made]) -> Reading:
    """The reading with what the later stages found in each row, and the verdict that follows."""
    rows = []
    for row in reading.rows:
        made = outcomes.get(id(row), Made(None, ()))
        findings = (*row.findings, *made.findings)
        rows.append(replace(row, findings=findings, verdict=_verdict_after(row, made)))
    return replace(reading, rows=tuple(rows))


def _verdict_after(row: RowReading, made: Made) -> RowVerdict:
    """A stage that refused makes it a reject, a later warning a warn."""
    severities = {finding.severity for finding in made.findings}
    if Severity.REFUSE in severities:
        return RowVerdict.REJECT
    if Severity.WARN in severities and row.verdict is RowVerdict.ACCEPT:
        return RowVerdict.WARN
    return row.verdict


def _up(readings: Sequence[Reading], outcomes: dict[int, Made]) -> dict[str, Made]:
    """Reference -> what was made, for each plan that is up now."""
    made = [(row.ref, outcomes.get(id(row))) for reading in readings for row in reading.rows]
    return {ref: outcome for ref, outcome in made if outcome and outcome.link}


def _file_json(reading: Reading, up: dict[str, Made]) -> dict[str, object]:
    rows = [
        row.as_json() | (_up_json(up[row.ref]) if row.booking and row.ref in up else {})
        for row in reading.rows
    ]
    return {**reading.as_json(), "rows": rows}


def _up_json(made: Made) -> dict[str, object]:
    return {"link": made.link} | ({"copies": list(made.copies)} if made.copies else {})
