"""`daybefore account add, role, remove, list`: who may sign in to the console, and in which role."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import click

from generator.cli.options import data_option
from generator.errors import BadRequest
from generator.records import Records, accounts
from generator.records.drawn import drawn_password

_role_option = click.option(
    "--role", required=True, type=click.Choice(accounts.ROLES), help="What they may do."
)


@click.group("account")
def account() -> None:
    """Who may sign in to the console. There is no account and no password until one is made here."""


@account.command("add")
@click.argument("name")
@_role_option
@click.option("--draw", is_flag=True, help="Draw a password and print it, instead of asking for one.")
@data_option
def add(name: str, role: str, draw: bool, out_dir: Path) -> None:
    """Adds the account NAME, or gives it a new password: whoever is signed in with it is signed out."""
    password = (
        drawn_password() if draw else click.prompt("Password", hide_input=True, confirmation_prompt=True)
    )
    with _records(out_dir) as records:
        accounts.set_account(records, name, role, password, dt.datetime.now(dt.UTC))
    click.echo(f"{name} may sign in as {role}." + (f" Password: {password}" if draw else ""))


@account.command("role")
@click.argument("name")
@_role_option
@data_option
def role_(name: str, role: str, out_dir: Path) -> None:
    """Gives the account NAME another role, at once."""
    with _records(out_dir) as records:
        _there(accounts.set_role(records, name, role))
    click.echo(f"{name} is a {role} now.")


@account.command("remove")
@click.argument("name")
@data_option
def remove(name: str, out_dir: Path) -> None:
    """Removes the account NAME; whoever is signed in with it is signed out."""
    with _records(out_dir) as records:
        _there(accounts.remove_account(records, name))
    click.echo(f"{name} may not sign in any more.")


@account.command("list")
@data_option
def list_(out_dir: Path) -> None:
    """All accounts."""
    with _records(out_dir) as records:
        found = accounts.every_account(records)
    for one in found:
        click.echo(f"{one.name}  {one.role}  password of {one.changed[:10]}")
    click.echo(f"{len(found)} account(s).")


@contextmanager
def _records(out_dir: Path) -> Iterator[Records]:
    with closing(Records(out_dir)) as records:
        yield records


def _there(done: bool) -> None:
    if not done:
        raise BadRequest("There is no account of that name.", remedy="Look them up: daybefore account list")
