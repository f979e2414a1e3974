"""Bookings over their whole life, at a desk at any moment; and what must hold of a data folder whatever happened."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from random import Random
from typing import Any

import pytest
import sqlalchemy as sa

from generator.desk import Desk, Made, make_rows, read
from generator.materials.languages import wordings_of_unit
from generator.materials.shipped import read_shipped
from generator.materials.unit_folder import read_unit_folder
from generator.page.booklet import digest_of, parts_from
from generator.page.life import Life
from generator.plan.cases import Cases
from generator.plan.moments import zone_named
from generator.records import MADE, PlanRecord, Records, drawn, trail
from generator.records.tables import calls
from generator.shelves import FolderShelf
from tests.command import DEMO_UNIT

HEADING = "Appt Ref,Appt Date,Appt Time,Adm Time,Procedure,Prep Code,Lang,Transport,Comments\n"
ROWS = (
    "DEMO-101,18/03/2026,09:30,09:00,COLON,PEGASC2,en,20,\n",
    "DEMO-102,18/03/2026,14:00,13:30,COLON,PEGASC2,es,45,\n",
    "DEMO-103,19/03/2026,10:15,09:45,COLON,PEGASC2,ar,,\n",
)


class Office:
    """A unit's folder and our own materials, read once; a desk over a data folder whenever one is asked for."""

    def __init__(self, unit: Path = DEMO_UNIT) -> None:
        """Reads them."""
        self.folder, shipped = read_unit_folder(unit), read_shipped()
        self.wordings, faults = wordings_of_unit(shipped, self.folder)
        assert faults == []
        self.parts = parts_from(
            shipped.templates, shipped.style, shipped.assets, shipped.drawn, shipped.worker
        )
        self.cases = Cases(self.folder.unit, self.folder.regimens, self.folder.stated)

    def moment(self, now: str) -> dt.datetime:
        """A wall-clock moment of the unit."""
        return dt.datetime.fromisoformat(now).replace(tzinfo=zone_named(self.folder.unit.zone))

    @contextmanager
    def desk(self, data: Path, now: str) -> Iterator[Desk]:
        """The desk at a moment."""
        with closing(Records(data)) as records:
            url, shelf = "http://localhost:8641/", FolderShelf(data)
            moment = self.moment(now)
            yield Desk(self.folder, self.wordings, self.parts, records, shelf, url, moment, self.cases)


def build(desk: Desk, rows: tuple[str, ...] = ROWS) -> list[Made]:
    """Makes the plan of each row of a list."""
    reading = read(desk.folder, (HEADING + "".join(rows)).encode(), "list.csv", desk.now)
    return make_rows(desk, reading.rows)


def draw_alike(patch: pytest.MonkeyPatch, seed: str) -> None:
    """From now on the same tokens, call numbers and codes are drawn in the same order."""

    class Drawn(Random):
        def randbelow(self, limit: int) -> int:
            return self.randrange(limit)

    patch.setattr(drawn, "secrets", Drawn(seed))


def served(data: Path) -> dict[str, dict[str, bytes]]:
    """Token -> name -> bytes: what a web server gives out of each plan; no name with a leading dot."""
    return {
        folder.name: {path.name: path.read_bytes() for path in folder.iterdir() if path.name[0] != "."}
        for folder in (data / "public" / "p").iterdir()
        if folder.is_dir() and folder.name[0] != "."
    }


def every_record(data: Path) -> list[PlanRecord]:
    """What the records say of each booking."""
    with closing(Records(data)) as records:
        return records.every()


def assert_in_step(data: Path) -> None:
    """What is up is what the records say, whole; nothing else is up; the trail is whole; nobody is called twice."""
    up, known = served(data), every_record(data)
    assert len({record.ref for record in known if record.ref}) == sum(bool(record.ref) for record in known)
    assert set(up) == {record.identity.token for record in known if record.content is not None}
    for record in known:
        if record.content is not None:
            files = up[record.identity.token]
            assert record.state == "published"
            assert digest_of(files) == record.content
            assert_shows(files, record)
    with closing(Records(data)) as records:
        assert trail.broken_line(records) is None
        with records.change() as connection:
            waiting = connection.execute(sa.select(calls.c.booking).where(calls.c.open)).scalars()
            assert all(number == 1 for number in Counter(waiting).values())


def assert_shows(files: dict[str, bytes], record: PlanRecord) -> None:
    """Each document bears the mark, and the version, code and state of the record."""
    for name, content in files.items():
        if not name.endswith(".html"):
            continue
        page = content.decode()
        assert f'data-mark="{record.identity.mark}"' in page
        block = block_of(page)
        if record.life == MADE:
            assert (block["code"], block["version"]) == (record.identity.code, record.identity.version), name
        else:
            assert block["what"] == record.life, name


def block_of(page: str) -> Any:
    """The page's data: of a plan, or of the notice in its place."""
    found = re.search(r'<script type="application/json" id="(?:plan|notice)">(.*?)</script>', page, re.DOTALL)
    assert found is not None
    return json.loads(found[1])


def outcome_of(record: PlanRecord) -> tuple[str, str, int, str]:
    """What a person would say of a booking."""
    start = "" if record.life == Life.FAREWELL else record.start
    return record.ref, record.life, record.identity.version, start
