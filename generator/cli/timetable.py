"""`daybefore timetable`: the steps of one appointment, with the reasons."""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path
from typing import Any

import click

from generator.cli.booking_options import (
    begun_from,
    booking_from,
    booking_options,
    former_booking,
    known,
)
from generator.cli.options import json_option, moment_from, now_from, now_option, print_json, unit_option
from generator.cli.stopped import refused_timetable, stops_as_json
from generator.cli.timetable_text import timetable_lines
from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.finding import Verdict
from generator.materials.unit_folder import UnitFolder, read_unit_folder
from generator.plan.change import Change, change_findings, changes_between
from generator.plan.planning import timetable_for
from generator.plan.timetable import Timetable
from generator.staff.step_names import names_of_steps, names_of_unit


@click.command("timetable")
@unit_option
@booking_options
@click.option("--begun", metavar="ROW=ISO", multiple=True, help="A row the patient began, and when.")
@click.option("--moved-from", metavar="ISO", help="The former start: says what changes for the patient.")
@click.option("--former-protocol", metavar="ID", help="The protocol before the move, if it was another.")
@click.option(
    "--why", "every_rule", is_flag=True, help="Print every rule of a step, not only those that hold it."
)
@now_option
@json_option
@stops_as_json(refused_timetable)
def timetable(
    unit_dir: Path,
    begun: tuple[str, ...],
    moved_from: str | None,
    former_protocol: str | None,
    every_rule: bool,
    now: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """The steps of one appointment, with the reasons."""
    folder = read_unit_folder(unit_dir)
    zone = folder.unit.zone
    booking = booking_from(asked, folder)
    moment = moment_from(now, zone, "--now") if now else None
    before = known(former_protocol or booking.protocol, folder.protocols, "protocol", "protocol-unknown")
    done = begun_from(begun, booking, before, folder, now_from(now, zone))
    protocol = folder.regimens[booking.protocol]
    planned = timetable_for(booking, protocol, folder.unit, moment, folder.stated, done)
    changes: tuple[Change, ...] = ()
    if moved_from:
        former = former_booking(booking, moment_from(moved_from, zone, "--moved-from"), before)
        planned, changes = _changed(former, planned, folder, moment or now_from(None, zone))
    if as_json:
        told = {"changes": [change.as_json() for change in changes]} if moved_from else {}
        print_json(planned.as_json() | told)
    else:
        names = _names(planned, changes, folder, protocol, folder.regimens[before])
        for line in timetable_lines(planned, booking, folder, names, changes, every_rule=every_rule):
            click.echo(line)
    if planned.verdict is Verdict.REFUSED:
        sys.exit(1)


def _changed(
    former: Booking, planned: Timetable, folder: UnitFolder, now: dt.datetime
) -> tuple[Timetable, tuple[Change, ...]]:
    """The new timetable with what a nurse must settle first, and what became of each step."""
    old = timetable_for(former, folder.regimens[former.protocol], folder.unit, None, folder.stated)
    changes = changes_between(old, planned, now)
    return planned.with_findings(change_findings(old, changes)), changes


def _names(
    planned: Timetable, changes: tuple[Change, ...], folder: UnitFolder, *protocols: Protocol
) -> dict[str, str]:
    """What each step is called: those of the new timetable first, then what only the old one or the files have."""
    old = [change.old for change in changes if change.old is not None]
    stated = folder.stated
    return (
        names_of_unit(stated, *protocols)
        | names_of_steps(old, stated)
        | names_of_steps(planned.steps, stated)
    )
