"""`daybefore move, hold, release, cancel, end, expire, republish, repair`: the life of a booking."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from generator.cli.booking_options import known, named_moments
from generator.cli.desk_option import base_url_option, desk_at
from generator.cli.options import (
    data_option,
    json_option,
    moment_from,
    now_option,
    print_findings,
    print_json,
    unit_option,
)
from generator.desk import Made, moving, parting, upkeep
from generator.materials.unit_folder import read_unit_folder

ROLES = ("clerk", "nurse", "doctor", "lead")


def shared_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of every command that changes what is up."""
    for option in (json_option, now_option, base_url_option, data_option, unit_option):
        command = option(command)
    return command


ref_option = click.option("--ref", required=True, help="Reference of the booking.")
role_option = click.option("--role", required=True, type=click.Choice(ROLES), help="In which role you do it.")


@click.command("move")
@ref_option
@click.option("--procedure", metavar="ISO", help="The new start.")
@click.option("--arrival", metavar="ISO", help="When to be there instead.")
@click.option("--protocol", metavar="ID", help="Another protocol.")
@click.option("--travel", metavar="MINUTES", type=click.IntRange(0, 1440), help="The way to the unit.")
@role_option
@shared_options
def move(unit_dir: Path, out_dir: Path, ref: str, role: str, **asked: Any) -> None:
    """Gives a booking another start, protocol or way.

    The old plan is never left up: where the new one cannot take its place at once, the page says that the
    appointment has changed and to call, and a nurse releases the new plan.
    """
    folder = read_unit_folder(unit_dir)
    zone = folder.unit.zone
    changed: dict[str, object] = {}
    if asked["procedure"]:
        # The arrival that was stated belongs to the former start.
        changed |= {"start": moment_from(asked["procedure"], zone, "--procedure"), "arrival": None}
        changed |= {"latest_start": None, "pick_up": None, "provisional": False}
    if asked["arrival"]:
        changed["arrival"] = moment_from(asked["arrival"], zone, "--arrival")
    if asked["protocol"]:
        changed["protocol"] = known(asked["protocol"], folder.protocols, "protocol", "protocol-unknown")
    if asked["travel"] is not None:
        changed["travel_minutes"] = asked["travel"]
    if not changed:
        raise click.UsageError("Say what has changed: --procedure, --arrival, --protocol or --travel.")
    with desk_at(folder, out_dir, asked["base_url"], asked["now"]) as desk:
        tell(moving.move(desk, ref, changed, role), as_json=asked["as_json"])


@click.command("hold")
@ref_option
@role_option
@shared_options
def hold(unit_dir: Path, out_dir: Path, ref: str, role: str, **asked: Any) -> None:
    """Takes a plan down until a nurse releases it: the page says to call, and not to follow the old times."""
    with desk_at(unit_dir, out_dir, asked["base_url"], asked["now"], taking_down=True) as desk:
        tell(moving.hold(desk, ref, role), as_json=asked["as_json"])


@click.command("release")
@ref_option
@click.option("--begun", metavar="ROW=ISO", multiple=True, help="A dose the patient began, and when.")
@click.option("--decided", metavar="KIND", multiple=True, help="A finding about which you have decided.")
@click.option("--cleared", is_flag=True, help="You checked that this patient may take this medicine.")
@role_option
@shared_options
def release(
    unit_dir: Path,
    out_dir: Path,
    ref: str,
    begun: tuple[str, ...],
    decided: tuple[str, ...],
    cleared: bool,
    role: str,
    **asked: Any,
) -> None:
    """Publishes the plan that waits behind a held page, after you have spoken with the patient."""
    folder = read_unit_folder(unit_dir)
    doses = dict(named_moments(begun, folder.unit.zone, "--begun"))
    with desk_at(folder, out_dir, asked["base_url"], asked["now"]) as desk:
        made = moving.release(desk, ref, role, doses, decided, cleared=cleared)
        tell(made, as_json=asked["as_json"])


@click.command("cancel")
@ref_option
@role_option
@shared_options
def cancel(unit_dir: Path, out_dir: Path, ref: str, role: str, **asked: Any) -> None:
    """Takes a plan down for good: the page says to take no more of the medicine, and to eat and drink again."""
    with desk_at(unit_dir, out_dir, asked["base_url"], asked["now"], taking_down=True) as desk:
        tell(parting.cancel(desk, ref, role), as_json=asked["as_json"])


@click.command("end")
@ref_option
@role_option
@shared_options
def end(unit_dir: Path, out_dir: Path, ref: str, role: str, **asked: Any) -> None:
    """Leaves after-care alone on a page, once the examination has begun."""
    with desk_at(unit_dir, out_dir, asked["base_url"], asked["now"], taking_down=True) as desk:
        tell(parting.end(desk, ref, role), as_json=asked["as_json"])


@click.command("expire")
@role_option
@shared_options
def expire(unit_dir: Path, out_dir: Path, role: str, **asked: Any) -> None:
    """Says farewell on every page whose after-care is over, and forgets those patients' details."""
    with desk_at(unit_dir, out_dir, asked["base_url"], asked["now"], taking_down=True) as desk:
        _tell_all([made for _, made in parting.expire(desk, role)], "said farewell", as_json=asked["as_json"])


@click.command("repair")
@shared_options
def repair(unit_dir: Path, out_dir: Path, **asked: Any) -> None:
    """Finishes what a crash broke off: every page that is up is what the records say of it."""
    with desk_at(unit_dir, out_dir, asked["base_url"], asked["now"]) as desk:
        _tell_all([made for _, made in upkeep.repair(desk)], "repaired", as_json=asked["as_json"])


@click.command("republish")
@click.option("--wording", is_flag=True, help="Bring up those in which only words or looks change; silent.")
@click.option(
    "--changed", is_flag=True, help="Bring up those with another fact too: new versions, to be told."
)
@role_option
@shared_options
def republish(unit_dir: Path, out_dir: Path, wording: bool, changed: bool, role: str, **asked: Any) -> None:
    """Says how many plans change in each way, now that files of the unit have; and writes what is asked for.

    Without --wording or --changed nothing is written.
    """
    wanted = {upkeep.Now.WORDING: wording, upkeep.Now.CHANGED: changed, upkeep.Now.REFUSED: changed}
    with desk_at(unit_dir, out_dir, asked["base_url"], asked["now"]) as desk:
        found = list(upkeep.differences(desk))
        made = {id(one): upkeep.republish(desk, one, role) for one in found if wanted.get(one.now, False)}
    rows = [
        {
            "ref": one.record.ref,
            "change": one.now.value,
            "written": id(one) in made and made[id(one)].was_changed,
            "findings": [
                finding.as_json()
                for finding in dict.fromkeys(
                    (*one.findings, *(made[id(one)].findings if id(one) in made else ()))
                )
            ],
        }
        for one in found
    ]
    counts = {kind.value: sum(one.now is kind for one in found) for kind in upkeep.Now}
    if asked["as_json"]:
        print_json({"counts": counts, "plans": rows})
    else:
        click.echo(", ".join(f"{count} {name}" for name, count in counts.items()))
        for row in rows:
            if row["change"] != upkeep.Now.SAME.value:
                click.echo(f"  {row['ref']}: {row['change']}{', written' if row['written'] else ''}")
        told = [*(one.findings for one in found), *(one.findings for one in made.values())]
        print_findings(dict.fromkeys(finding for findings in told for finding in findings), indent="  ")
        if not made and len(found) > counts["same"]:
            click.echo("Nothing was written. To write: --wording, or --changed as well.")
    if any(not one.was_changed for one in made.values()):
        sys.exit(1)


def tell(made: Made, *, as_json: bool) -> None:
    """Prints what came of one booking; exit 1 where nothing was done."""
    if as_json:
        told = {"findings": [finding.as_json() for finding in made.findings]}
        print_json({"done": made.was_changed, "link": made.link, **told})
    else:
        print_findings(made.findings, indent="")
        click.echo(f"Done. {made.link}" if made.link else "Nothing was changed.")
    if not made.was_changed:
        sys.exit(1)


def _tell_all(outcomes: list[Made], what: str, *, as_json: bool) -> None:
    findings = [finding for made in outcomes for finding in made.findings]
    done = sum(made.was_changed for made in outcomes)
    if as_json:
        print_json({"count": done, "findings": [finding.as_json() for finding in findings]})
    else:
        print_findings(findings, indent="")
        click.echo(f"{done} {what}.")
    if done < len(outcomes):
        sys.exit(1)
