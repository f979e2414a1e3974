"""`daybefore list, calls, called, audit`: what stands in the records, for people."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import click

from generator.cli.desk_option import desk_at
from generator.cli.life import ref_option, role_option
from generator.cli.options import data_option, json_option, now_option, print_json, unit_option
from generator.errors import BadRecords
from generator.materials.unit_folder import read_unit_folder
from generator.plan.moment_text import moment_text
from generator.plan.moments import in_zone
from generator.records import Records, trail
from generator.records import calls as call_list
from generator.records.calls import OUTCOMES


@contextmanager
def _records(out_dir: Path) -> Iterator[Records]:
    """The records of a data folder that has some: looking makes none."""
    if not (out_dir / "records.sqlite").is_file():
        raise BadRecords(
            "There are no records in this data folder.", remedy="Name the folder that build wrote with --out."
        )
    with closing(Records(out_dir)) as records:
        yield records


@click.command("list")
@unit_option
@data_option
@json_option
def list_(unit_dir: Path, out_dir: Path, as_json: bool) -> None:
    """Every booking with its state, version and plan code. Links are not listed: whoever has one can open it."""
    zone = read_unit_folder(unit_dir).unit.zone
    with _records(out_dir) as records:
        found = [record for record in records.every() if record.ref]
    rows = [
        {
            "ref": one.ref,
            "state": "prepared" if one.is_prepared else one.life,
            "version": one.identity.version,
            "code": one.identity.code,
            "start": one.start,
            "waits_for": one.pending.booking.start.isoformat() if one.pending else None,
            "whole": one.state in ("published", "opened"),
        }
        for one in found
    ]
    if as_json:
        print_json({"bookings": rows})
        return
    for one in found:
        start = moment_text(in_zone(one.inputs.booking.start, zone)) if one.inputs else "-"
        waits = (
            f"  waits for a nurse: {moment_text(in_zone(one.pending.booking.start, zone))}"
            if one.pending
            else ""
        )
        broken = "" if one.state in ("published", "opened") else "  not whole: daybefore repair"
        state = "waits to be cleared" if one.is_prepared else one.life if one.was_given else "not made yet"
        click.echo(
            f"{one.ref}  {state}  v{one.identity.version}  code {one.identity.code}  {start}{waits}{broken}"
        )
    click.echo(f"{len(found)} booking(s).")


@click.command("calls")
@unit_option
@data_option
@json_option
def calls(unit_dir: Path, out_dir: Path, as_json: bool) -> None:
    """Who must be phoned, why, by when, and what to say; the most urgent first."""
    zone = read_unit_folder(unit_dir).unit.zone
    with _records(out_dir) as records:
        waiting = call_list.waiting(records)
    if as_json:
        print_json(
            {
                "calls": [
                    {
                        "ref": call.ref,
                        "why": call.why,
                        "due": in_zone(call.due, zone).isoformat(timespec="minutes"),
                        "script": call.script.split("\n"),
                        "tries": [
                            {"at": in_zone(at, zone).isoformat(timespec="minutes"), "outcome": outcome}
                            for at, outcome in call.tries
                        ],
                    }
                    for call in waiting
                ]
            }
        )
        return
    for call in waiting:
        click.echo(f"{call.ref}  {call.why}  phone before {moment_text(in_zone(call.due, zone))}")
        for line in call.script.split("\n"):
            click.echo(f"    {line}")
        for at, outcome in call.tries:
            click.echo(f"    tried {moment_text(in_zone(at, zone))}: {outcome}")
    click.echo(f"{len(waiting)} call(s) to make.")


@click.command("called")
@ref_option
@click.option("--outcome", required=True, type=click.Choice(OUTCOMES), help="What came of the try.")
@role_option
@unit_option
@data_option
@now_option
def called(unit_dir: Path, out_dir: Path, ref: str, outcome: str, role: str, now: str | None) -> None:
    """Records what came of a call. One that reached the patient or companion is taken off the list."""
    with desk_at(unit_dir, out_dir, None, now) as desk:
        done = call_list.tried(desk.records, ref, outcome, role, desk.now)
    click.echo("Recorded." if done else "No call to this booking waits. Next: look them up: daybefore calls")
    if not done:
        sys.exit(1)


@click.command("audit")
@data_option
@json_option
def audit(out_dir: Path, as_json: bool) -> None:
    """Checks that no line of the trail was changed or taken out, and prints it: ids and actions, nothing else."""
    with _records(out_dir) as records:
        broken, lines = trail.broken_line(records), trail.lines(records)
    if as_json:
        print_json({"whole": broken is None, "broken_line": broken, "lines": lines})
    else:
        for line in lines:
            click.echo(
                f"{line['number']}  {line['at']}  booking {line['booking']} v{line['version']}  "
                f"{line['action']}  {line['role']}"
            )
        told = (
            "The trail is whole."
            if broken is None
            else f"Line {broken} was changed, or one before it is gone."
        )
        click.echo(f"{len(lines)} line(s). {told}")
    if broken is not None:
        sys.exit(1)
