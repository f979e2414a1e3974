"""What the commands share: options, the present moment, the printing of findings."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import click

from generator.errors import BadRequest
from generator.finding import Finding
from generator.plan.moments import instants_of, zone_named
from generator.staff.step_names import NO_NAMES, Names, finding_in_words

_MOMENT = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d")
_SIGNS = {"note": "note", "warn": "CHECK", "refuse": "REFUSED"}


def unit_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """--unit DIR"""
    return click.option(
        "--unit",
        "unit_dir",
        envvar="DAYBEFORE_UNIT",
        required=True,
        help="The unit's folder.",
        type=click.Path(exists=True, file_okay=False, path_type=Path),
    )(command)


def unit_if_any_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """--unit DIR, where a command also makes sense without a unit."""
    return click.option(
        "--unit",
        "unit_dir",
        envvar="DAYBEFORE_UNIT",
        help="The unit's folder, for its own words and its own reviews.",
        type=click.Path(exists=True, file_okay=False, path_type=Path),
    )(command)


def data_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """--out DIR: the data folder, also called --data, as by serve."""
    return click.option(
        "--out",
        "--data",
        "out_dir",
        envvar="DAYBEFORE_DATA",
        required=True,
        type=click.Path(file_okay=False, path_type=Path),
        help="The data folder: plans in public/, records beside it.",
    )(command)


def now_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """--now ISO"""
    return click.option(
        "--now",
        metavar="ISO",
        help="Work as if it were this moment; the unit's wall clock when it has no offset.",
    )(command)


def json_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """--json"""
    return click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")(
        command
    )


def moment_from(text: str, zone: str, option: str) -> dt.datetime:
    """An ISO 8601 moment; without offset it is the zone's wall clock.

    Raises:
        click.UsageError: if it is no day and time between 1970 and 2099.
        BadRequest: if it is a wall-clock time that does not exist or occurs twice; both readings are named.
    """
    try:
        moment = dt.datetime.fromisoformat(text) if _MOMENT.match(text) else None
    except ValueError:
        moment = None
    if moment is None or not 1970 <= moment.year <= 2099:
        raise click.UsageError(f"{option} {text} is not a day and time. Write it as 2026-12-03T14:00.")
    if moment.tzinfo is not None:
        return moment.astimezone(zone_named(zone))
    found = instants_of(zone, moment.date(), moment.time())
    if len(found) == 1:
        return found[0]
    near = found or [
        reading
        for minutes in (-60, 60)
        for reading in instants_of(zone, *_parted(moment + dt.timedelta(minutes=minutes)))
    ]
    readings = " or ".join(reading.isoformat(timespec="minutes") for reading in near)
    what = "occurs twice" if found else "does not exist: the clocks go forward"
    raise BadRequest(
        f"{text} in {zone} {what}.",
        remedy=f"Write {option} {readings}.",
        kind="time-ambiguous" if found else "time-nonexistent",
    )


def _parted(moment: dt.datetime) -> tuple[dt.date, dt.time]:
    return moment.date(), moment.time()


def now_from(text: str | None, zone: str) -> dt.datetime:
    """The moment of --now, or the present one."""
    if text is not None:
        return moment_from(text, zone, "--now")
    return dt.datetime.now(dt.UTC).astimezone(zone_named(zone))


def print_json(value: object) -> None:
    """One JSON document on standard output."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=2))


def finding_lines(
    findings: Iterable[Finding], indent: str = "    ", names: Names = NO_NAMES
) -> Iterator[str]:
    """Each finding in two lines: what is wrong, and the next step.

    Args:
        names: what steps are called; ids of steps are told in these words.
    """
    for finding in findings:
        told = finding_in_words(finding, names)
        place = f"{told.where}: " if told.where else ""
        yield f"{indent}{_SIGNS[told.severity.value]}  {place}{told.problem}"
        yield f"{indent}      Next: {told.remedy}"


def print_findings(findings: Iterable[Finding], indent: str = "    ", names: Names = NO_NAMES) -> None:
    """Prints the findings."""
    for line in finding_lines(findings, indent, names):
        click.echo(line)
