"""Servers for browser tests: the real one in a process that can be killed, and misbehaving ones."""

from __future__ import annotations

import contextlib
import gzip
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from types import TracebackType
from typing import Any

STARTED_WITHIN = 60.0  # seconds; a busy machine takes its time
TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css",
    ".js": "text/javascript",
    ".ics": "text/calendar",
    ".webmanifest": "application/manifest+json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
}

# `serve`, with answers that say nothing of the time of day (RFC 9111, 5.1): most pages here have a clock of their own.
PROGRAM = """
import sys
from pathlib import Path
import generator.console.listening as listening
made = listening.plans_app
def aged(public):
    app = made(public)
    app.after_request(lambda answer: answer.headers.set("Age", "1") or answer)
    return app
listening.plans_app = aged
listening.serve_plans(Path(sys.argv[1]), "127.0.0.1", int(sys.argv[2]))
"""

Answer = Callable[[str], bytes]


def free_port() -> int:
    """A port that nothing listens on at this moment."""
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port: int = probe.getsockname()[1]
        return port


def two_free_ports() -> int:
    """The lower of two neighbouring ports that nothing listens on at this moment."""
    while True:
        with socket.create_server(("127.0.0.1", 0)) as probe, contextlib.suppress(OSError, OverflowError):
            port: int = probe.getsockname()[1]
            with socket.create_server(("127.0.0.1", port + 1)):
                return port


@contextlib.contextmanager
def group_of(command: list[str], **more: Any) -> Iterator[subprocess.Popen[bytes]]:
    """A running program; at the end it is killed together with every process it started.

    Args:
        command: the program and its arguments.
        more: for `Popen`; what is not said of its output goes nowhere.
    """
    silent: dict[str, Any] = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    process = subprocess.Popen(command, start_new_session=True, **(silent | more))
    try:
        yield process
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()


class PlansServer:
    """`serve` for DATA/public in its own process; killing it cuts every open connection, as a dead link does."""

    def __init__(self, data: Path, port: int) -> None:
        self._data = data
        self._port = port
        self._process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> PlansServer:
        command = [sys.executable, "-c", PROGRAM, str(self._data), str(self._port)]
        top = Path(__file__).resolve().parents[2]
        self._process = subprocess.Popen(command, cwd=top, stdout=subprocess.DEVNULL)
        deadline = time.monotonic() + STARTED_WITHIN
        while time.monotonic() < deadline and self._process.poll() is None:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self._port), 1):
                return self
            time.sleep(0.02)
        self.stop()
        raise RuntimeError("the plans' server did not start")

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def stop(self) -> None:
        """Kills the process; harmless when it is dead already."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None


class RawServer:
    """A server that sends exactly the bytes it is told to.

    Args:
        port: where it listens on 127.0.0.1.
        answer: path of a request -> bytes to send; may sleep; nothing is sent for b"".
        hang: keep each connection open and silent afterwards, as a weak link does, instead of closing it.
    """

    def __init__(self, port: int, answer: Answer, *, hang: bool = False) -> None:
        self._listener = socket.create_server(("127.0.0.1", port))
        self._answer = answer
        self._hang = hang
        self._over = threading.Event()
        self._threads: list[threading.Thread] = []
        self.paths: list[str] = []

    def __enter__(self) -> RawServer:
        self._start(self._accept)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._over.set()
        # Closing alone does not wake a thread that waits in accept().
        self._listener.shutdown(socket.SHUT_RDWR)
        for thread in self._threads:
            thread.join()
        self._listener.close()

    def _start(self, work: Callable[[], None]) -> None:
        thread = threading.Thread(target=work, daemon=True)
        self._threads.append(thread)
        thread.start()

    def _accept(self) -> None:
        while not self._over.is_set():
            try:
                connection, _ = self._listener.accept()
            except OSError:
                return
            self._start(lambda connection=connection: self._serve(connection))  # type: ignore[misc]

    def _serve(self, connection: socket.socket) -> None:
        with connection, contextlib.suppress(OSError):
            connection.settimeout(0.1)
            path = self._path_of_request(connection)
            if path is None:
                return
            self.paths.append(path)
            connection.sendall(self._answer(path))
            if self._hang:
                self._over.wait()

    def _path_of_request(self, connection: socket.socket) -> str | None:
        head = b""
        while b"\r\n\r\n" not in head:
            if self._over.is_set():
                return None
            try:
                part = connection.recv(65536)
            except TimeoutError:
                continue
            if not part:
                return None
            head += part
        return head.split(b" ", 2)[1].decode("ascii")


def answer_of(status: str, body: bytes, *, content_type: str = TYPES[".html"], more: str = "") -> bytes:
    """A whole answer: `status` as in "200 OK", `more` as whole header lines with their line ends."""
    head = f"HTTP/1.1 {status}\r\nContent-Type: {content_type}\r\nContent-Length: {len(body)}\r\n"
    return f"{head}{more}Cache-Control: no-cache\r\nConnection: close\r\n\r\n".encode() + body


def file_answer(public: Path, path: str) -> bytes:
    """What a simple server answers for a path of the folder."""
    bare = path.split("?")[0]
    file = public / (bare.lstrip("/") + ("index.html" if bare.endswith("/") else ""))
    if not file.is_file():
        return answer_of("404 Not Found", b"")
    return answer_of("200 OK", file.read_bytes(), content_type=TYPES[file.suffix])


def packed_answer(public: Path, path: str) -> bytes:
    """The same from a server that compresses what it sends, as most do (RFC 9110, 8.4.1.3)."""
    head, _, body = file_answer(public, path).partition(b"\r\n\r\n")
    small = gzip.compress(body)
    length = b"Content-Encoding: gzip\r\nContent-Length: %d" % len(small)
    return re.sub(rb"(?i)content-length: \d+", length, head) + b"\r\n\r\n" + small
