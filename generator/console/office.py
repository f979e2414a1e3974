"""Office: what the console works with: the unit's files as they are now, the records, and a desk for each request."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from threading import Lock, local

from generator.clinic.unit import Unit
from generator.desk import Desk
from generator.errors import BadMaterials, BadRecords
from generator.finding import Finding
from generator.materials.languages import wordings_of_unit
from generator.materials.shipped import locales_folder, read_shipped
from generator.materials.unit_folder import UnitFolder, read_unit_folder
from generator.page.booklet import Parts, parts_from
from generator.plan.cases import Cases
from generator.plan.moments import in_zone
from generator.records import Records
from generator.shelves import FolderShelf, plans_without_records
from generator.words.wording import Wording

_MOST_CASES = 500  # a thread keeps: some ten megabytes; a console runs for weeks


@dataclass(frozen=True, slots=True)
class Materials:
    """The unit's files and ours, read together."""

    folder: UnitFolder
    wordings: Mapping[str, Wording]
    parts: Parts


class Office:
    """One unit over one data folder, for as long as the console runs. Safe for several threads."""

    def __init__(self, unit_dir: Path, data: Path, base_url: str, clock: Callable[[], dt.datetime]) -> None:
        """Reads everything once, so that what is amiss is told before anybody signs in.

        Args:
            base_url: where the plans are served, with its last slash.
            clock: the present moment, zone-aware.

        Raises:
            BadMaterials: if a file of the unit, or a language, has faults.
            BadRecords: if the records cannot be used, or are gone while plans are up.
        """
        if plans_without_records(data):
            raise BadRecords(
                "Plans are up in this data folder, and the records of their bookings are gone.",
                remedy="Restore records.sqlite from the last copy.",
            )
        self.data, self.base_url, self._unit_dir, self._clock = data, base_url, unit_dir, clock
        self._lock, self._mine = Lock(), local()
        self._stamp, self.materials = _stamp(unit_dir), _read(unit_dir)
        self.faults: tuple[Finding, ...] = ()
        self.records, self.shelf = Records(data), FolderShelf(data)

    def close(self) -> None:
        """Lets go of the records."""
        self.records.close()

    def look_again(self) -> None:
        """Reads the unit's files anew where one has changed; while they have faults those of before hold."""
        stamp = _stamp(self._unit_dir)
        with self._lock:
            if stamp != self._stamp:
                self._stamp = stamp
                try:
                    self.materials, self.faults = _read(self._unit_dir), ()
                except BadMaterials as error:
                    self.faults = error.findings

    @property
    def unit(self) -> Unit:
        """The unit."""
        return self.materials.folder.unit

    def now(self) -> dt.datetime:
        """The present moment on the unit's clocks, in whole seconds."""
        return in_zone(self._clock(), self.unit.zone).replace(microsecond=0)

    def desk(self, seen: str | None = None) -> Desk:
        """A desk at this moment.

        Args:
            seen: what the person had before them (PlanRecord.seen).
        """
        materials = self.materials
        return Desk(
            materials.folder, materials.wordings, materials.parts, self.records, self.shelf, self.base_url,
            self.now(), self._cases(materials), seen=seen or None,
        )  # fmt: skip

    def _cases(self, materials: Materials) -> Cases:
        """Solved cases, a store for each thread: one store must not be used by two at once."""
        kept: tuple[Materials, Cases] | None = getattr(self._mine, "cases", None)
        if kept is None or kept[0] is not materials or len(kept[1]) > _MOST_CASES:
            folder = materials.folder
            kept = self._mine.cases = (materials, Cases(folder.unit, folder.regimens, folder.stated))
        return kept[1]


def _read(unit_dir: Path) -> Materials:
    folder, shipped = read_unit_folder(unit_dir), read_shipped()
    wordings, faults = wordings_of_unit(shipped, folder)
    if faults:
        remedy = "Mend the findings below."
        raise BadMaterials("A language file has faults.", remedy=remedy, findings=tuple(faults))
    return Materials(
        folder,
        wordings,
        parts_from(shipped.templates, shipped.style, shipped.assets, shipped.drawn, shipped.worker),
    )


def _stamp(unit_dir: Path) -> tuple[tuple[str, int, int], ...]:
    """Another value as soon as a file of the unit or of the languages is another."""
    found = []
    for folder in (unit_dir, locales_folder()):
        for path in sorted(folder.rglob("*")):
            if path.suffix in (".toml", ".csv", ".po", ".json"):
                stat = path.stat()
                found.append((str(path), stat.st_mtime_ns, stat.st_size))
    return tuple(found)
