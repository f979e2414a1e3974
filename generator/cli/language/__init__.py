"""`daybefore language`: the words of the pages, from a translator's file to reviews."""

from __future__ import annotations

import importlib

import click

from generator.cli.language.files import add, check, update
from generator.cli.language.pseudo import pseudo
from generator.cli.language.sheets import accept, sheet
from generator.cli.language.status import status


class _Group(click.Group):
    """The preview is the console's, which the command line knows by name alone; it is loaded when it is called."""

    def list_commands(self, context: click.Context) -> list[str]:
        return sorted([*super().list_commands(context), "preview"])

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        if name == "preview":
            command = importlib.import_module("generator.console.preview").preview
            assert isinstance(command, click.Command)
            return command
        return super().get_command(context, name)


@click.group("language", cls=_Group)
def language() -> None:
    """Adds, updates, checks and reviews a language."""


for _command in (add, update, check, pseudo, sheet, accept, status):
    language.add_command(_command)
