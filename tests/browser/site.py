"""A unit at work, its published plans and the server that gives them out: all a test does to a plan on a phone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from generator.desk import Desk, Made
from generator.desk.moving import hold, move
from generator.desk.parting import cancel
from tests.browser.served import Answer, PlansServer, RawServer, file_answer, free_port
from tests.lives import ROWS, Office, build, every_record

BUILT, CHANGED = "2026-03-16T08:00", "2026-03-16T09:00"


@dataclass
class Site:
    """The plans of a list at an address of this machine, in DATA/public.

    Attributes:
        links: reference -> link.
    """

    office: Office
    data: Path
    port: int = field(default_factory=free_port)
    links: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        with self.office.desk(self.data, BUILT) as desk:
            assert all(made.was_changed for made in build(desk, ROWS[:2]))
        for record in every_record(self.data):
            self.links[record.ref] = f"http://127.0.0.1:{self.port}/p/{record.identity.token}/"

    @contextmanager
    def serving(self) -> Iterator[PlansServer]:
        """The plans are given out."""
        with PlansServer(self.data, self.port) as server:
            yield server

    def answering(self, answer: Answer, *, hang: bool = False) -> RawServer:
        """Another server stands at the plans' address."""
        return RawServer(self.port, answer, hang=hang)

    def file(self, path: str) -> bytes:
        """What a simple server answers for a path of this site."""
        return file_answer(self.data / "public", path)

    def folder(self, ref: str) -> Path:
        """The folder of a plan."""
        return self.data / "public" / "p" / self.links[ref].split("/")[-2]

    def code(self, ref: str) -> str:
        """The code of the plan that is up."""
        [record] = [one for one in every_record(self.data) if one.ref == ref]
        return record.identity.code

    def mark(self, ref: str) -> str:
        """The mark of the plan."""
        [record] = [one for one in every_record(self.data) if one.ref == ref]
        return record.identity.mark

    def move(self, ref: str, start: str) -> None:
        """Gives a booking another time, in good time: the new plan takes the old one's place."""
        changed = {"start": self.office.moment(start), "arrival": None}
        self._do(lambda desk: move(desk, ref, changed, "clerk"))

    def hold(self, ref: str) -> None:
        """Takes a plan down: its appointment has changed."""
        self._do(lambda desk: hold(desk, ref, "nurse"))

    def cancel(self, ref: str) -> None:
        """Takes a plan down: its appointment is cancelled."""
        self._do(lambda desk: cancel(desk, ref, "clerk"))

    def _do(self, act: Callable[[Desk], Made]) -> None:
        with self.office.desk(self.data, CHANGED) as desk:
            made = act(desk)
        assert made.was_changed, made.findings
