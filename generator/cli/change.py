"""`daybefore change`: other answers about a patient whose plan was given: factors, own medicines, sedation."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from generator.cli.booking_options import ANSWER_OPTIONS, kinds_from, known
from generator.cli.desk_option import desk_at
from generator.cli.life import ref_option, role_option, shared_options, tell
from generator.desk import moving
from generator.desk.answers import Answers
from generator.materials.unit_folder import UnitFolder, read_unit_folder

_MORE_OPTIONS = (
    click.option(
        "--without",
        metavar="NAME",
        multiple=True,
        help="A factor or class of medicine that does not concern the patient: what was answered about it goes too. "
        "Or the id of an instruction.",
    ),
    click.option("--decided", metavar="KIND", multiple=True, help="A finding about which you have decided."),
)


def answer_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of what a person says of a patient."""
    for option in reversed((*ANSWER_OPTIONS, *_MORE_OPTIONS)):
        command = option(command)
    return command


@click.command("change")
@ref_option
@answer_options
@click.option("--cleared", is_flag=True, help="You checked that this patient may take this medicine.")
@role_option
@shared_options
def change(unit_dir: Path, out_dir: Path, ref: str, role: str, **asked: Any) -> None:
    """Gives a plan other answers about the patient: factors, the patient's own medicines, sedation.

    An instruction or a “call first” takes the place of what was answered about its class of medicine. A clerk may raise
    a factor, a class or the sedation, and chooses nothing: the plan is held until a nurse has decided.
    """
    folder = read_unit_folder(unit_dir)
    answers = answers_from_options(asked, folder)
    if answers == Answers():
        raise click.UsageError(
            "Say what has changed: --factor, --without, --instruction, --call-first, --agreed, --sedation, "
            "--decided or --cleared."
        )
    with desk_at(folder, out_dir, asked["base_url"], asked["now"]) as desk:
        tell(moving.change(desk, ref, answers, role), as_json=asked["as_json"])


def answers_from_options(asked: dict[str, Any], folder: UnitFolder) -> Answers:
    """The answers that the options state; a name that the unit does not state is told here, before anything is changed.

    Raises:
        BadRequest: if a name is none of the unit's.
    """
    stated = folder.stated
    return Answers(
        raised=tuple(kinds_from(asked["factor"], folder)),
        void=tuple(dict.fromkeys(asked["without"])),
        instructions=tuple(
            known(one, stated.instructions, "instruction", "instruction-unknown")
            for one in dict.fromkeys(asked["instruction"])
        ),
        call_first=tuple(dict.fromkeys(asked["call_first"])),
        agreed=tuple(known(one, stated.factors, "factor", "factor-unknown") for one in asked["agreed"]),
        decided=tuple(asked["decided"]),
        sedation=asked["sedation"],
        cleared=asked.get("cleared", False),
    )
