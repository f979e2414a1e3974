"""`daybefore timetable`: the steps of one appointment, with the reasons."""

from __future__ import annotations

import datetime as dt
import sys
from itertools import groupby
from pathlib import Path

import click

from generator.cli.options import (
    json_option,
    moment_from,
    now_option,
    print_findings,
    print_json,
    unit_option,
)
from generator.cli.stopped import refused_timetable, stops_as_json
from generator.clinic.booking import Booking
from generator.errors import BadRequest
from generator.finding import Verdict
from generator.materials.unit_folder import read_unit_folder
from generator.plan.planning import timetable_for
from generator.plan.timetable import Step, Timetable


@click.command("timetable")
@unit_option
@click.option("--protocol", "protocol_id", required=True, help="Name of a file in the unit's protocols/.")
@click.option(
    "--procedure", required=True, metavar="ISO", help="Start of the procedure, e.g. 2026-12-03T14:00."
)
@click.option("--travel", type=click.IntRange(0, 720), help="Minutes to the unit.")
@click.option("--factor", "factors", multiple=True, help="Something about the patient (not yet supported).")
@now_option
@json_option
@stops_as_json(refused_timetable)
def timetable(
    unit_dir: Path,
    protocol_id: str,
    procedure: str,
    travel: int | None,
    factors: tuple[str, ...],
    now: str | None,
    as_json: bool,
) -> None:
    """The steps of one appointment, with the reasons."""
    folder = read_unit_folder(unit_dir)
    if factors:
        remedy = "Leave --factor out and let a nurse decide."
        raise BadRequest("Factors are not supported yet.", remedy=remedy, kind="factor-unsupported")
    if protocol_id not in folder.protocols:
        remedy = f"Use one of: {', '.join(folder.protocols)}."
        raise BadRequest(f"There is no protocol “{protocol_id}”.", remedy=remedy, kind="protocol-unknown")
    zone = folder.unit.zone
    start = moment_from(procedure, zone, "--procedure")
    booking = Booking("-", start, protocol_id, folder.unit.languages[:1], travel_minutes=travel)
    moment = moment_from(now, zone, "--now") if now else None
    planned = timetable_for(booking, folder.regimens[protocol_id], folder.unit, moment)
    if as_json:
        print_json(planned.as_json())
    else:
        _print(planned)
    if planned.verdict is Verdict.REFUSED:
        sys.exit(1)


def _print(planned: Timetable) -> None:
    click.echo(
        f"{planned.verdict.value.upper()}  procedure {planned.procedure:%A %d %B %Y, %H:%M} ({planned.zone})"
    )
    print_findings(planned.findings, "  ")
    for day, steps in groupby(planned.steps, key=lambda step: step.start.date()):
        click.echo(f"\n{day:%A %d %B}")
        for step in steps:
            _print_step(step)
    for yardstick in planned.yardsticks:
        told = {True: "kept", False: "departs", None: "does not apply"}[yardstick.met]
        click.echo(f"\n{yardstick.id}: {told}" + "".join(f"\n  {text}" for text in yardstick.departures))


def _print_step(step: Step) -> None:
    until = f"-{step.end:%H:%M}" if step.end and step.end.date() == step.start.date() else ""
    until = until or (f", until {step.end:%A %H:%M}" if step.end else "")
    amounts = ", ".join(f"{name} {value}" for name, value in step.amounts.items())
    night = f"  (night from {_eve(step.start):%A} to {_eve(step.start) + dt.timedelta(days=1):%A})"
    late = step.start.hour >= 21 or step.start.hour < 6
    click.echo(f"  {step.start:%H:%M}{until}  {step.id} [{step.kind}] {amounts}{night if late else ''}")
    for reason in step.because:
        click.echo(f"         {'because' if reason.binding else 'also'}: {reason.rule} — {reason.source}")


def _eve(moment: dt.datetime) -> dt.date:
    return moment.date() if moment.hour >= 21 else moment.date() - dt.timedelta(days=1)
