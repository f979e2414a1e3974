"""Several clerks at once: no write is lost, no token is given twice, nothing fails, and whoever is late is told."""

from __future__ import annotations

import re
import threading
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

import pytest
from flask.testing import FlaskClient

from generator.plan.cases import Cases
from tests.desks import FRIDAY, Desks, desks, key_of, known, published
from tests.lives import assert_in_step, every_record

SHARED = ("RACE-1", "RACE-2", "RACE-3")
HOURS = ("08:30", "09:00", "09:30", "10:00", "10:30", "11:00")
DAYS = ("2026-03-23", "2026-03-24", "2026-03-25")


@dataclass
class Clerk:
    """One clerk at one browser, and what came of each thing they did."""

    desk: Desks
    number: int
    client: FlaskClient
    key: str
    random: Random
    came: Counter[str] = field(default_factory=Counter)
    made: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    def work(self) -> None:
        """Makes a booking, or moves one that all of them move; sometimes on a page that was opened long ago."""
        if self.random.random() < 0.3:
            self._make()
        else:
            self._move()

    def _make(self) -> None:
        ref = f"NEW-{self.number}-{len(self.made)}"
        path = "/bookings/new/clear" if self.random.random() < 0.5 else "/bookings/new/keep"
        language = self.random.choice(("en", "es", "ar"))
        if (
            self._send(path, ref=ref, **{**FRIDAY, "time": self.random.choice(HOURS), "language": language})
            == 302
        ):
            self.made.append(ref)
            self.came["made"] += 1

    def _move(self) -> None:
        ref = self.random.choice(SHARED)
        record = known(self.desk, ref)
        page = self.client.get(f"/bookings/{record.id}/move").text
        seen = re.search(r'name="seen" value="(.*?)"', page)
        assert seen
        time.sleep(self.random.random() / 50)  # reads it, while others are at work
        form = {
            "seen": seen[1], "date": self.random.choice(DAYS), "time": self.random.choice(HOURS),
            "protocol": "peg-ascorbate-split", "travel": str(self.random.randrange(5, 60)), "pick_up": "",
        }  # fmt: skip
        status = self._send(f"/bookings/{record.id}/move/now", **form)
        what = {302: f"moved {ref}", 409: "told", 422: "as it was"}.get(status)
        assert what, status
        self.came[what] += 1

    def _send(self, path: str, **form: str) -> int:
        answer = self.client.post(path, data={"csrf_token": self.key, **form})
        if answer.status_code >= 500:
            self.faults.append(f"{path}: {answer.status_code}")
        if answer.status_code == 409 and "seen" in form:
            # Told, with all that was typed.
            kept = all(f'value="{form[name]}"' in answer.text for name in ("date", "time", "travel"))
            if not kept or "changed this plan meanwhile" not in answer.text:
                self.faults.append(f"{path}: told nothing, or lost what was typed")
        return answer.status_code


def together(desk: Desks, count: int, goes_on: Callable[[int], bool]) -> list[Clerk]:
    """So many clerks at once, each for as long as it goes on (which is asked with what they have done)."""
    clerks = []
    for number in range(count):
        client = desk.browser("nurse")  # a nurse may make and clear in one go
        clerks.append(Clerk(desk, number, client, key_of(client.get("/card").text), Random(number)))

    def working(clerk: Clerk) -> None:
        try:
            while goes_on(clerk.came.total()):
                clerk.work()
        except Exception as error:  # told by the test, not lost with its thread
            clerk.faults.append(repr(error))

    threads = [threading.Thread(target=working, args=(clerk,)) for clerk in clerks]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return clerks


def assert_nothing_lost(desk: Desks, clerks: list[Clerk]) -> None:
    """Each write that was answered with yes is there, and only those."""
    assert [fault for clerk in clerks for fault in clerk.faults] == []
    came = sum((clerk.came for clerk in clerks), Counter[str]())
    for ref in SHARED:
        record = known(desk, ref)
        with desk.office.records.change() as connection:
            moves = connection.exec_driver_sql(
                "SELECT count(*) FROM trail WHERE booking = ? AND action LIKE 'moved%'", (record.id,)
            ).scalar()
        assert moves == came[f"moved {ref}"], (
            ref
        )  # a move that leaves the page as it is has no version of its own
    records = every_record(desk.data)
    assert {one.ref for one in records} == {*SHARED, *(ref for clerk in clerks for ref in clerk.made)}
    assert len({one.identity.token for one in records}) == len(records)
    assert len({one.identity.call_number for one in records}) == len(records)
    assert_in_step(desk.data)
    # Each plan is the one that somebody who works alone would get.
    folder = desk.office.materials.folder
    alone = Cases(folder.unit, folder.regimens, folder.stated)
    for one in records:
        if one.was_given and one.inputs and one.inputs.given:
            steps = alone.timetable(one.inputs.booking, one.identity.made).steps
            assert [step[:4] for step in steps] == [step[:4] for step in one.inputs.given.steps]


def race(data: Path, count: int, goes_on: Callable[[int], bool]) -> Counter[str]:
    """Runs it, and what came of it."""
    with desks(data) as desk:
        for ref in SHARED:
            published(desk, ref)
        clerks = together(desk, count, goes_on)
        assert_nothing_lost(desk, clerks)
        return sum((clerk.came for clerk in clerks), Counter[str]())


def test_three_clerks_at_once_lose_nothing(tmp_path: Path) -> None:
    came = race(tmp_path, 3, lambda done: done < 6)
    assert came.total() == 18


@pytest.mark.long
@pytest.mark.timeout(900)
def test_eight_clerks_for_a_minute_lose_nothing(tmp_path: Path) -> None:
    until = time.monotonic() + 60
    came = race(tmp_path, 8, lambda _: time.monotonic() < until)
    assert came["told"] > 0  # they did meet
    assert came["made"] > 0
