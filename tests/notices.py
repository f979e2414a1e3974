"""The demonstration's plans as nouns, and the pages that take their place, for tests."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from generator.desk import Desk, read
from generator.desk.rendering import plan_of
from generator.materials.languages import wordings_of_unit
from generator.materials.shipped import read_shipped
from generator.materials.unit_folder import read_unit_folder
from generator.page.booklet import Booklet, life_booklet, parts_from
from generator.page.calendar_file import entries_of
from generator.page.life import Life, Notice
from generator.page.plan import Identity, Plan, Replaced
from generator.plan.cases import Cases
from generator.plan.moments import zone_named
from generator.records import Records
from generator.shelves import FolderShelf
from tests.command import DEMO_LIST, DEMO_NOW, DEMO_UNIT

CHANGED = dt.datetime(
    2026, 3, 17, 20, 30, tzinfo=dt.UTC
)  # the evening before: the first dose was due at 18:00


@dataclass(frozen=True)
class Office:
    """A desk over a data folder, and every plan of the demonstration's list by its reference."""

    desk: Desk
    plans: dict[str, Plan]

    def notice(self, what: Life, ref: str = "DEMO-101", **more: Any) -> Notice:
        """The page in the place of a plan of the demonstration: version 2, code 531, made when CHANGED."""
        plan = self.plans[ref]
        old = plan.identity
        identity = Identity(old.token, "531", 2, old.call_number, CHANGED)
        replaced = Replaced(old.code, plan.timetable.procedure, entries_of(plan.timetable))
        values: dict[str, Any] = {"replaces": replaced, **more}
        languages = tuple(plan.names.languages)
        return Notice(what, plan.unit, languages, identity, self.desk.base_url, **values)

    def booklet(self, notice: Notice) -> Booklet:
        """Its booklet."""
        return life_booklet(notice, self.desk.wordings, self.desk.parts)

    def put(self, notice: Notice) -> None:
        """Puts it up in the plan's place."""
        self.desk.shelf.put(notice.identity.token, self.booklet(notice))


@contextmanager
def office(data: Path, base_url: str = "http://localhost:8641/") -> Iterator[Office]:
    """The demonstration's unit at work over a data folder."""
    folder, shipped = read_unit_folder(DEMO_UNIT), read_shipped()
    wordings, faults = wordings_of_unit(shipped, folder)
    assert faults == []
    parts = parts_from(shipped.templates, shipped.style, shipped.assets, shipped.drawn, shipped.worker)
    now = dt.datetime.fromisoformat(DEMO_NOW).replace(tzinfo=zone_named(folder.unit.zone))
    with closing(Records(data)) as records:
        cases = Cases(folder.unit, folder.regimens, folder.stated)
        desk = Desk(folder, wordings, parts, records, FolderShelf(data), base_url, now, cases)
        plans = {}
        for row in read(folder, DEMO_LIST.read_bytes(), DEMO_LIST.name, now).rows:
            assert row.booking is not None
            # Drawn codes may be digits of a phone number, or of a digest: these are not.
            code = f"46{row.ref[-1]}"
            identity = replace(records.open(row.ref, row.booking.start, now).identity, code=code)
            plans[row.ref] = plan_of(desk, row.booking, cases.timetable(row.booking, now), identity)
        yield Office(desk, plans)
