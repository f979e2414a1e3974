"""Listening on a port, and serving the plans alone: it needs nothing of the console, and starts without it."""

from __future__ import annotations

import errno
import logging
import socket
from pathlib import Path

import click
from waitress.server import create_server  # type: ignore[import-untyped]  # the package has no types

from generator.console.plans import plans_app
from generator.errors import BadRequest

THREADS = 8


def serve_plans(data: Path, host: str, port: int) -> None:
    """Serves DATA/public until interrupted.

    Args:
        data: the folder that `build` wrote.
        host: name or address to listen on.
        port: the port of the plans.

    Raises:
        BadRequest: if there is no DATA/public, or nothing can listen on host and port.
    """
    public = data / "public"
    if not public.is_dir():
        raise BadRequest(
            f"The folder {data} holds no published plans: it has no folder public.",
            remedy="Build the plans into it first (daybefore build ... --out), or name another with --data.",
        )
    with listening_socket(host, port) as listener:
        keep_paths_out_of_logs()
        server = create_server(plans_app(public), sockets=[listener], threads=THREADS, ident=None)
        click.echo(f"Plans: http://{in_address(host)}:{port}/p/<token>/ (stop with Ctrl-C)")
        try:
            server.run()
        finally:
            server.close()


def listening_socket(host: str, port: int) -> socket.socket:
    """A socket that listens on host and port.

    Raises:
        BadRequest: if the port is taken or not allowed, or the host is not of this machine.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family, backlog=1024)
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            problem, remedy = f"Port {port} is taken.", "Stop what uses it, or choose another with --port."
        elif error.errno == errno.EACCES:
            problem, remedy = f"Port {port} is not allowed here.", "Choose one above 1024 with --port."
        else:
            problem, remedy = f"Nothing can listen on {host}.", "Give --host an address of this machine."
        raise BadRequest(problem, remedy=remedy) from None


def in_address(host: str) -> str:
    """A host as it stands in an address."""
    return f"[{host}]" if ":" in host else host


def keep_paths_out_of_logs() -> None:
    """A path holds a token, and waitress writes the path into its messages about broken answers."""
    for name in ("waitress", "werkzeug"):
        logger = logging.getLogger(name)
        if _without_path not in logger.filters:
            logger.addFilter(_without_path)


def _without_path(record: logging.LogRecord) -> bool:
    if record.exc_info or "/" in record.getMessage():
        cause = record.exc_info[0] if record.exc_info else None
        record.msg = f"An answer was not finished ({cause.__name__ if cause else record.levelname.lower()})."
        record.args, record.exc_info, record.exc_text, record.stack_info = (), None, None, None
    return True
