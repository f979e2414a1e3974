"""The command line. A command's module is loaded only when it is called, so that help stays quick."""

from __future__ import annotations

import importlib
import sys
from importlib.metadata import version
from pathlib import Path
from traceback import walk_tb

import click

from generator import __version__
from generator.errors import BadMaterials, DaybeforeError

_COMMANDS = {
    "timetable": ("generator.cli.timetable", "The steps of one appointment, with the reasons."),
    "read": ("generator.cli.read", "What each row of a booking list means; writes nothing."),
    "build": ("generator.cli.build", "Makes the plans of a booking list and prints the links."),
    "decide": ("generator.cli.decide", "Records what a nurse decided about a row."),
    "prepare": ("generator.cli.prepare", "Puts a booking on the desk, to be cleared."),
    "clear": ("generator.cli.prepare", "Clears a patient and publishes the plan that waited."),
    "move": ("generator.cli.life", "Gives a booking another start, protocol or way."),
    "change": ("generator.cli.change", "Gives a plan other answers about the patient's medicines."),
    "hold": ("generator.cli.life", "Takes a plan down until a nurse releases it."),
    "release": ("generator.cli.life", "Publishes the plan that waits behind a held page."),
    "cancel": ("generator.cli.life", "Takes a plan down for good."),
    "end": ("generator.cli.life", "Leaves after-care alone on a page."),
    "expire": ("generator.cli.life", "Says farewell where after-care is over, and forgets the details."),
    "republish": ("generator.cli.life", "Brings plans up to the unit's changed files, when asked."),
    "repair": ("generator.cli.life", "Finishes what a crash broke off."),
    "list": ("generator.cli.overview", "Every booking with its state, version and plan code."),
    "calls": ("generator.cli.overview", "Who must be phoned, why, by when, and what to say."),
    "called": ("generator.cli.overview", "Records what came of a call."),
    "messages": ("generator.cli.handing", "Text messages to patients: what is due, and which words."),
    "handout": ("generator.cli.handing", "Printed sheets for patients, all of a day in one print job."),
    "audit": ("generator.cli.overview", "Checks the trail of what was done."),
    "account": ("generator.cli.account", "Who may sign in to the console."),
    "slots": ("generator.cli.slots", "Which starts of the day a protocol can be prepared for."),
    "protocol": ("generator.cli.protocol", "Checks and signs a unit's protocols."),
    "unit": ("generator.cli.unit", "Begins a unit's folder."),
    "language": ("generator.cli.language", "Adds, updates and checks a language."),
    "serve": ("generator.console.serve", "Serves the console, and the plans of a data folder."),
}


class _Lazy(click.Group):
    def list_commands(self, _: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, _: click.Context, name: str) -> click.Command | None:
        if name not in _COMMANDS:
            return None
        command = getattr(importlib.import_module(_COMMANDS[name][0]), {"list": "list_"}.get(name, name))
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, _: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in _COMMANDS.items()])


@click.group(cls=_Lazy)
@click.version_option(f"{__version__}, zone data {version('tzdata')}", prog_name="daybefore")
def daybefore() -> None:
    """From a booking to a plan that a patient can follow on a phone, offline."""


def main() -> None:
    """Runs a command; what goes wrong is told with its next step, never as a traceback."""
    try:
        daybefore.main(standalone_mode=False, prog_name="daybefore")
    except click.exceptions.Exit as stop:
        sys.exit(stop.exit_code)
    except click.ClickException as wrong:
        wrong.show()
        sys.exit(2)
    except click.Abort:
        sys.exit(130)
    except DaybeforeError as error:
        click.echo(f"{error.problem}\n  Next: {error.remedy}", err=True)
        for finding in error.findings if isinstance(error, BadMaterials) else ():
            click.echo(f"  {finding.where}: {finding.problem}\n    Next: {finding.remedy}", err=True)
        sys.exit(1)
    except Exception as error:
        click.echo(_unexpected(error), err=True)
        sys.exit(1)


def _unexpected(error: Exception) -> str:
    """A defect of ours in words: its place, never what it says, which may hold a value of a list."""
    package = Path(__file__).parent.parent
    places = [(Path(frame.f_code.co_filename), line) for frame, line in walk_tb(error.__traceback__)]
    file, line = [(file, line) for file, line in places if file.is_relative_to(package)][-1]
    return (
        f"Something went wrong inside daybefore ({type(error).__name__} in {file.name} line {line}).\n"
        "  Next: Run the command again; if it says the same, report the words in brackets to whoever looks "
        "after daybefore."
    )
