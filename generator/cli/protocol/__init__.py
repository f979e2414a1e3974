"""`daybefore protocol`: checks, prints and signs a unit's protocols, and accepts what departs from published rules."""

from __future__ import annotations

import click

from generator.cli.protocol.accept import accept
from generator.cli.protocol.check import check
from generator.cli.protocol.page import page
from generator.cli.protocol.sign import sign


@click.group("protocol")
def protocol() -> None:
    """Checks, prints and signs a unit's protocols."""


for _command in (check, page, accept, sign):
    protocol.add_command(_command)
