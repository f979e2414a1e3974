"""The command `serve`: the unit's console on one port, the plans on the next."""

from __future__ import annotations

import datetime as dt
from contextlib import closing
from pathlib import Path
from threading import Thread
from urllib.parse import urlsplit

import click
from flask import Flask
from waitress.server import create_server  # type: ignore[import-untyped]  # the package has no types

from generator.console.app import MOST_BYTES, console_app
from generator.console.listening import (
    THREADS,
    in_address,
    keep_paths_out_of_logs,
    listening_socket,
    serve_plans,
)
from generator.console.office import Office
from generator.console.plans import plans_app
from generator.desk.address import base_url_of
from generator.materials.unit_folder import read_unit

_NO_BODY = 1024  # bytes; nobody sends the plans anything


@click.command("serve")
@click.option(
    "--unit",
    envvar="DAYBEFORE_UNIT",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="The unit's folder; without it there is no console, only the plans.",
)
@click.option(
    "--data",
    envvar="DAYBEFORE_DATA",
    type=click.Path(path_type=Path),
    required=True,
    help="The folder that build wrote.",
)
@click.option(
    "--port",
    type=click.IntRange(1, 65534),
    default=8640,
    show_default=True,
    help="Port of the console; the plans are on the next one.",
)
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option(
    "--console-url",
    envvar="DAYBEFORE_CONSOLE_URL",
    metavar="URL",
    help="How the console is reached from other computers, such as https://desk.example.org/; by no other name.",
)
@click.option(
    "--base-url", envvar="DAYBEFORE_BASE_URL", help="Where the plans will be served, with the last slash."
)
def serve(
    unit: Path | None,
    data: Path,
    port: int,
    host: str,
    console_url: str | None,
    base_url: str | None,
) -> None:
    """Serve the console, and the published plans on the port after it, until stopped."""
    if unit is None:
        serve_plans(data, host, port + 1)
        return
    stated = read_unit(unit)
    here = f"http://{in_address(host)}:{port + 1}/"
    address = base_url_of(stated, base_url or stated.base_url or here)
    office = Office(unit, data, address, lambda: dt.datetime.now(dt.UTC))
    with closing(office):
        app = console_app(office, hosts=hosts_of(console_url, host), secure=is_secure(console_url))
        serve_both(app, data, host, port, secure=is_secure(console_url))


def hosts_of(console_url: str | None, host: str) -> tuple[str, ...]:
    """The names under which the console answers; no other, so that no foreign page can be made to be one."""
    named = urlsplit(console_url).hostname if console_url else None
    return tuple(
        dict.fromkeys(("localhost", "127.0.0.1", "[::1]", in_address(host), *((named,) if named else ())))
    )


def is_secure(console_url: str | None) -> bool:
    """Whether the console is reached by https alone."""
    return console_url is not None and console_url.startswith("https://")


def serve_both(console: Flask, data: Path, host: str, port: int, *, secure: bool = False) -> None:
    """Serves the console until interrupted, and the plans beside it: two ports are two origins to a browser.

    Args:
        secure: the console is reached by https, through another server that does that part.

    Raises:
        BadRequest: if nothing can listen on host and port, or the port after it.
    """
    with listening_socket(host, port) as desk, listening_socket(host, port + 1) as plans:
        keep_paths_out_of_logs()
        servers = [
            create_server(
                app, sockets=[listener], threads=THREADS, ident=None, max_request_body_size=most, url_scheme=scheme
            )
            for app, listener, most, scheme in (
                (console, desk, MOST_BYTES, "https" if secure else "http"),
                (plans_app(data / "public"), plans, _NO_BODY, "http"),
            )
        ]  # fmt: skip
        Thread(target=servers[1].run, daemon=True).start()
        click.echo(f"Console: http://{in_address(host)}:{port}/ (stop with Ctrl-C)")
        click.echo(f"Plans:   http://{in_address(host)}:{port + 1}/p/<token>/")
        try:
            servers[0].run()
        finally:
            for server in servers:
                server.close()
