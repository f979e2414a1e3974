"""What one appointment is made from on the command line: its options, and the Booking they state."""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

import click

from generator.cli.options import moment_from
from generator.clinic.booking import Booking, OtherProcedure
from generator.clinic.instruction import MEDICINE_CLASSES
from generator.clinic.rows import SEDATIONS
from generator.errors import BadRequest
from generator.materials.unit_folder import UnitFolder
from generator.plan.moment_text import moment_text
from generator.plan.suited import factors_at_work
from generator.staff.step_names import names_of_rows

_OPTIONS = (
    click.option("--protocol", required=True, metavar="ID", help="Name of a file in the unit's protocols/."),
    click.option(
        "--procedure", required=True, metavar="ISO", help="Start of the procedure, e.g. 2026-12-03T14:00."
    ),
    click.option("--travel", type=click.IntRange(0, 720), help="Minutes to the unit."),
    click.option("--pick-up", metavar="ISO", help="When a fixed transport leaves from home."),
    click.option("--arrival", metavar="ISO", help="When to be at the unit, if not at its usual lead."),
    click.option("--latest", metavar="ISO", help="Latest start, where the list gives an order and no hour."),
    click.option("--provisional", is_flag=True, help="The time is not confirmed yet."),
    click.option(
        "--also", metavar="NAME=ISO", multiple=True, help="Another procedure of the visit, and its start."
    ),
)
ANSWER_OPTIONS = (
    click.option("--sedation", type=click.Choice(SEDATIONS), help="Unknown: the rules for every kind hold."),
    click.option(
        "--factor",
        metavar="KIND",
        multiple=True,
        help="A factor of the unit's factors.toml, or a class of medicine such as anticoagulant.",
    ),
    click.option(
        "--agreed",
        metavar="FACTOR",
        multiple=True,
        help="A factor whose question a nurse answered with yes: what it adds is in the plan.",
    ),
    click.option("--instruction", metavar="ID", multiple=True, help="An instruction a nurse picked."),
    click.option(
        "--call-first",
        metavar="CLASS",
        multiple=True,
        type=click.Choice(tuple(MEDICINE_CLASSES)),
        help="A nurse chose the line: call the unit before you change it.",
    ),
)


def booking_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of one appointment."""
    for option in reversed((*_OPTIONS, *ANSWER_OPTIONS)):
        command = option(command)
    return command


def booking_from(asked: dict[str, Any], folder: UnitFolder) -> Booking:
    """The booking the options state.

    Raises:
        BadRequest: if a name is not one of the unit's, or a moment does not exist or occurs twice.
        click.UsageError: if a moment is none.
    """
    zone, stated = folder.unit.zone, folder.stated

    def moment(name: str) -> dt.datetime | None:
        text = asked[name]
        return moment_from(text, zone, f"--{name.replace('_', '-')}") if text else None

    start = moment("procedure")
    assert start is not None, "the option is required"
    protocol = known(asked["protocol"], folder.protocols, "protocol", "protocol-unknown")
    kinds = kinds_from(asked["factor"], folder)
    return Booking(
        "-",
        start,
        protocol,
        folder.unit.languages[:1],
        arrival=moment("arrival"),
        travel_minutes=asked["travel"],
        call_first=tuple(dict.fromkeys(asked["call_first"])),
        latest_start=moment("latest"),
        provisional=asked["provisional"],
        pick_up=moment("pick_up"),
        sedation=asked["sedation"],
        others=tuple(OtherProcedure(name, at) for name, at in named_moments(asked["also"], zone, "--also")),
        factors=tuple(one for one in dict.fromkeys(kinds) if one in stated.factors),
        agreed=tuple(
            known(one, kinds, "--factor", "factor-unknown") for one in dict.fromkeys(asked["agreed"])
        ),
        medicines=tuple(one for one in dict.fromkeys(kinds) if one not in stated.factors),
        instructions=tuple(dict.fromkeys(asked["instruction"])),
    )


def kinds_from(names: Iterable[str], folder: UnitFolder) -> list[str]:
    """Factors of the unit and classes of medicine.

    Raises:
        BadRequest: if a name is neither.
    """
    return [
        known(one, [*folder.stated.factors, *MEDICINE_CLASSES], "factor", "factor-unknown") for one in names
    ]


def former_booking(booking: Booking, start: dt.datetime, protocol: str) -> Booking:
    """The same appointment before it was moved, as far as it is known: at its former start."""
    return replace(
        booking, start=start, protocol=protocol, arrival=None, pick_up=None, latest_start=None, others=()
    )


def named_moments(texts: Iterable[str], zone: str, option: str) -> list[tuple[str, dt.datetime]]:
    """Names and moments written NAME=ISO."""
    made = []
    for text in texts:
        name, sign, at = text.partition("=")
        if not name or not sign:
            raise click.UsageError(
                f"{option} {text} is not a name and a moment. Write NAME=2026-12-03T14:00."
            )
        made.append((name, moment_from(at, zone, option)))
    return made


def begun_from(
    texts: Iterable[str], booking: Booking, former: str, folder: UnitFolder, now: dt.datetime
) -> dict[str, dt.datetime]:
    """What the patient began already, by row of the booking's protocol.

    Args:
        former: the protocol before a move.
        now: the present moment, zone-aware; nothing was begun after it.

    Raises:
        BadRequest: if a row is not one of the protocol's, or its moment is still to come.
    """
    rows = [row.id for row in folder.regimens[booking.protocol].rows]
    rows += [added.row.id for factor in factors_at_work(booking, folder.stated) for added in factor.rows]
    done: dict[str, dt.datetime] = {}
    for name, at in named_moments(texts, folder.unit.zone, "--begun"):
        if name not in rows:
            _stop_at_another_protocols_row(name, booking.protocol, former, folder)
        row = known(name, rows, "row", "row-unknown")
        if at > now:
            raise BadRequest(
                f"“{name}” cannot have been begun on {moment_text(at)}: now it is {moment_text(now)}.",
                remedy="Mend the day or time of --begun, or of --now.",
                kind="begun-in-future",
            )
        if done.setdefault(row, at) != at:
            raise BadRequest(
                f"“{name}” is said to have been begun at two moments: {moment_text(done[row])} and {moment_text(at)}.",
                remedy="Keep one --begun for each step.",
                kind="begun-twice",
            )
    return done


def _stop_at_another_protocols_row(name: str, protocol: str, former: str, folder: UnitFolder) -> None:
    """Names no step of this protocol instead: one regimen's dose is none of another's."""
    for other in (former, *folder.regimens):
        rows = folder.regimens[other].rows
        if any(row.id == name for row in rows):
            raise BadRequest(
                f"“{name}” ({names_of_rows(rows)[name]}) is a step of the {'former ' if other == former else ''}"
                f"protocol {other}; {protocol} has no such step.",
                remedy="A nurse or doctor speaks with the patient and decides what is still taken; no plan of this "
                "protocol knows what was taken under another.",
                kind="row-of-former-protocol",
            )


def known(name: str, names: Iterable[str], what: str, kind: str) -> str:
    """The name, if it is one of these.

    Raises:
        BadRequest: if it is not, with the near miss.
    """
    listed = list(names)
    if name in listed:
        return name
    near = difflib.get_close_matches(name, listed, 1)
    hint = f"Did you mean “{near[0]}”? " if near else ""
    raise BadRequest(
        f"There is no {what} “{name}”.",
        remedy=f"{hint}Use one of: {', '.join(listed) or 'none yet'}.",
        kind=kind,
    )
