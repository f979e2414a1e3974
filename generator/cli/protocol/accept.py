"""`daybefore protocol accept`: the clinical lead's word that a departure from a published rule is meant."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from generator.cli.options import now_from, now_option, unit_option
from generator.cli.protocol.named import expanded, role_from
from generator.cli.protocol.standing import Standing, kept_in, standing_of
from generator.clinic.acceptance import Acceptance
from generator.clinic.signoff import role_is_visible
from generator.errors import BadMaterials, BadRequest
from generator.finding import Finding
from generator.materials.signoffs import add_acceptances
from generator.plan.departures import DepartedRule

_LONGEST_REASON = 500


@click.command("accept")
@click.argument("files", nargs=-1, required=True)
@unit_option
@click.option(
    "--yardstick", required=True, metavar="ID", help="Whose rule: as `protocol check` names it, esge-2019."
)
@click.option(
    "--rule", default="", metavar="WORDS", help="Only the rules with these words, if not all of them."
)
@click.option("--reason", required=True, help="Why the unit does so all the same.")
@click.option(
    "--role", required=True, help="Role of whoever accepts it, such as “clinical lead”; never a name."
)
@now_option
def accept(
    files: tuple[str, ...], unit_dir: Path, yardstick: str, rule: str, reason: str, role: str, now: str | None
) -> None:
    """Accepts what FILES depart from in a published rule, as it is now.

    From then on `protocol check` only counts it. A departure with other figures has to be accepted anew.
    """
    kept = kept_in(unit_dir)
    role, reason = role_from(role), _reason_from(reason)
    standings = _readable([standing_of(name, kept) for name in expanded(files, unit_dir)])
    meant = [
        (standing, departed)
        for standing in standings
        for departed in standing.departed
        if departed.yardstick == yardstick and rule.casefold() in departed.rule.casefold()
    ]
    if not meant:
        raise BadRequest(
            f"Nothing departs from {yardstick}{f' with the words “{rule}”' if rule else ''}.",
            remedy=f"Departures there are: {'; '.join(_there(standings)) or 'none'}.",
        )
    today = now_from(now, kept.unit.zone).date()
    new = [(standing, departed) for standing, departed in meant if departed.accepted is None]
    add_acceptances(
        unit_dir, [_line(standing.file, departed, reason, role, today) for standing, departed in new]
    )
    for standing, departed in meant:
        done = "Accepted" if departed.accepted is None else "Accepted before"
        click.echo(f"{done}: {standing.file} differs from {yardstick}: {departed.rule}.")


def _reason_from(text: str) -> str:
    reason = " ".join(text.split())
    if not role_is_visible(reason) or len(reason) > _LONGEST_REASON:
        raise BadRequest(
            f"A reason is a sentence of up to {_LONGEST_REASON} characters.",
            remedy="Write why the unit does so all the same: --reason “…”.",
        )
    return reason


def _readable(found: Sequence[tuple[Standing | None, tuple[Finding, ...]]]) -> list[Standing]:
    """The protocols, all of which must be readable."""
    faults = [fault for standing, findings in found if standing is None for fault in findings]
    if faults:
        raise BadMaterials(
            "Nothing was accepted: a protocol has faults.",
            remedy="Mend the findings below.",
            findings=tuple(faults),
        )
    return [standing for standing, _ in found if standing is not None]


def _there(standings: Sequence[Standing]) -> Iterator[str]:
    rules = [(one.yardstick, one.rule) for standing in standings for one in standing.departed]
    for yardstick, rule in dict.fromkeys(rules):
        yield f"{yardstick} ({rule})"


def _line(file: str, departed: DepartedRule, reason: str, role: str, day: dt.date) -> Acceptance:
    return Acceptance(file, departed.yardstick, departed.rule, departed.figures, reason, role, day)
