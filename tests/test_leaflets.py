"""Thirty-three sheets that units hand out: each is a protocol file, stands where the sheet says, and departs as told.

What a sheet says was written down first: tests/examples/leaflets, whose README explains the values. Departures are
held literally against `protocol check`; what a sheet contradicts in itself is a fault or a refusal.
"""

from __future__ import annotations

import datetime as dt
import json
import shutil
import zoneinfo
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from generator.clinic.booking import Booking, OtherProcedure
from generator.clinic.protocol import Protocol
from generator.finding import Severity, Verdict
from generator.materials.unit_folder import UnitFolder, read_protocol, read_unit_folder
from generator.plan.planning import timetable_for
from generator.plan.timetable import Step, Timetable
from tests.command import EXAMPLES, run_json

LEAFLETS = EXAMPLES / "leaflets"
Value = dict[str, Any]
UNIT = """name = "Unit"
place = "here"
zone = "{zone}"
demonstration = true
languages = ["en"]
arrival_lead_minutes = {lead}
travel_minutes = 0

[[line]]
id = "a"
shown = "1"
dial = "01632960001"
open = ["mon-sun 00:00-24:00"]
on_closed_days = true

[emergency]
shown = "9"
dial = "01632960999"
"""
COLUMNS = {
    "slot", "regimen", "special", "last_solid", "clear_fluids", "dose_1", "dose_2", "stop", "clash",
}  # fmt: skip


def expected(leaflet: str) -> Value:
    return json.loads((LEAFLETS / f"{leaflet}.expected.json").read_text("utf-8"))  # type: ignore[no-any-return]


IDS = sorted(path.name.partition(".")[0] for path in LEAFLETS.glob("*.expected.json"))


@dataclass(frozen=True)
class Leaflet:
    """One row of the table: what it says, and the folder of a unit that hands out its sheets."""

    said: Value
    folder: Path
    unit: UnitFolder

    def protocol(self, file: str) -> Protocol:
        return self.unit.regimens[file.removesuffix(".toml")]

    def plan(self, file: str, plan: Value) -> Timetable:
        """The timetable of a start of one of its sheets."""

        def moment(text: str) -> dt.datetime:
            return dt.datetime.fromisoformat(text).replace(tzinfo=zoneinfo.ZoneInfo(self.said["zone"]))

        def one(name: str) -> dt.datetime | None:
            return moment(plan[name]) if name in plan else None

        booking = Booking(
            "r", moment(plan["procedure"]), file.removesuffix(".toml"), ("en",), one("arrival"),
            plan.get("travel_minutes", 0), provisional=plan.get("provisional", False),
            factors=tuple(plan.get("factors", ())), agreed=tuple(plan.get("agreed", ())),
            others=tuple(OtherProcedure(name, moment(at)) for name, at in plan.get("others", {}).items()),
        )  # fmt: skip
        begun = {row: moment(at) for row, at in plan.get("begun", {}).items()}
        return timetable_for(
            booking, self.protocol(file), self.unit.unit, one("now"), self.unit.stated, begun
        )


def folder_of(leaflet: str, into: Path) -> Path:
    """A unit's folder with every sheet of a leaflet that can be read, its foods and its factors."""
    said = expected(leaflet)
    visits = said["unit"].get("visit_procedure", [])
    text = UNIT.format(zone=said["zone"], lead=said["unit"].get("arrival_lead_minutes", 0))
    for visit in visits:
        text += "\n[[visit_procedure]]\n" + "".join(
            f"{key} = {json.dumps(of)}\n" for key, of in visit.items()
        )
    (into / "protocols").mkdir(parents=True)
    (into / "unit.toml").write_text(text, "utf-8")
    for path in sheets_of(leaflet):
        if not read_protocol(path, path.name)[1]:
            shutil.copy(path, into / "protocols")
    for part in ("food", "factors"):
        if (LEAFLETS / f"{leaflet}.{part}.toml").is_file():
            shutil.copy(LEAFLETS / f"{leaflet}.{part}.toml", into / f"{part}.toml")
    return into


def sheets_of(leaflet: str) -> list[Path]:
    return [
        path for path in sorted(LEAFLETS.glob(f"{leaflet}*.toml")) if path.name.count(".") == 1
    ]  # not its foods, not its factors


@pytest.fixture(scope="module")
def leaflet_named(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Leaflet]:
    known: dict[str, Leaflet] = {}

    def named(leaflet: str) -> Leaflet:
        if leaflet not in known:
            folder = folder_of(leaflet, tmp_path_factory.mktemp(leaflet))
            known[leaflet] = Leaflet(expected(leaflet), folder, read_unit_folder(folder))
        return known[leaflet]

    return named


def wall(moment: dt.datetime | None) -> str:
    return "" if moment is None else f"{moment:%Y-%m-%dT%H:%M}"


def step_faults(value: Value, timetable: Timetable) -> Iterator[str]:
    """Where a step is not what the sheet says."""
    step = timetable.step(value["step"])
    start, end = wall(step.start), wall(step.end)
    if "at" in value and start != value["at"]:
        yield f"starts {start}"
    if "until" in value and end != value["until"]:
        yield f"ends {end}"
    if "on" in value and start[:10] != value["on"]:
        yield f"starts on {start}"
    if not value.get("earliest", "00:00") <= start[11:] <= value.get("latest", "23:59"):
        yield f"starts at {start}"
    if "ends_by" in value and end[11:] > value["ends_by"]:
        yield f"ends at {end}"
    if "window" in value:
        window = step.window
        assert window is not None
        if [wall(window.earliest), wall(window.latest)] != value["window"]:
            yield f"may start {window}"
    if value.get("kind", step.kind) != step.kind:
        yield f"is of kind {step.kind}"
    wrong = {name: step.amounts.get(name) for name, of in value.get("amounts", {}).items()}
    if wrong != value.get("amounts", {}):
        yield f"holds {wrong}"


def group_faults(value: Value, timetable: Timetable) -> Iterator[str]:
    """Where several steps together are not what the sheet says."""
    steps = {step.id: step for step in timetable.steps}
    if "sum" in value:
        total = sum(steps[name].amounts["total_ml"] for name in value["sum"])
        if total != value.get("total_ml", total) or total < value.get("least_ml", 0):
            yield f"{total} mL together"
    if "absent" in value:
        later = [step for step in timetable.steps if wall(step.start)[:10] >= value["on"]]
        if any(step.kind == value["absent"] for step in later):
            yield f"there is a {value['absent']}"
    if value.get("no_step") in steps:
        yield "the step is there"
    if "steps" in value:
        days = sorted(steps[name].start.date() for name in value["steps"])
        if [day - days[0] for day in days] != [dt.timedelta(days=n) for n in range(value["days"])]:
            yield f"on {days}"
    if "before" in value:
        sooner, later_step = (steps[name].start for name in value["before"])
        if later_step - sooner != dt.timedelta(minutes=value["minutes"]):
            yield f"{later_step - sooner} apart"
    if "order" in value:
        starts = [steps[name].start for name in value["order"]]
        if starts != sorted(starts):
            yield "in another order"
    if "hour" in value:
        yield from _hour_faults(value, steps[value["hour"]])
    for name in value.get("pace", ()):
        if steps[name].amounts["ml"] * 60 != value["ml_per_hour"] * steps[name].amounts["minutes"]:
            yield f"{name} at another pace"


def _hour_faults(value: Value, step: Step) -> Iterator[str]:
    took = step.end and step.end - step.start
    if (step.amounts["total_ml"], took) != (value["total_ml"], dt.timedelta(minutes=value["minutes"])):
        yield f"{step.amounts['total_ml']} mL in {took}"


def sheet_faults(value: Value, leaflet: Leaflet, file: str, timetable: Timetable | None) -> Iterator[str]:
    """Where the file, its slots, its foods or what is told with a plan are not what the sheet says."""
    if "composition" in value and value["composition"] not in leaflet.protocol(
        file
    ).composition.casefold().replace(" l", " L"):
        yield leaflet.protocol(file).composition
    if "pieces" in value and value["pieces"] != leaflet.protocol(file).pieces:
        yield f"{leaflet.protocol(file).pieces} pieces"
    if "slots" in value:
        slots = leaflet.protocol(file).slots
        if value["slots"] != [f"{slots.since:%H:%M}", f"{slots.until:%H:%M}"]:
            yield str(slots)
    if "refused" in value:
        refused = leaflet.plan(file, value)
        kinds = [one.kind for one in refused.findings if one.severity is Severity.REFUSE]
        if kinds != [value["refused"]] or refused.steps:
            yield f"refused for {kinds}"
    if "decision" in value:
        asked = {one.kind for one in leaflet.plan(file, value).findings if one.decision}
        if value["decision"] not in asked:
            yield f"decisions: {asked}"
    if "planned" in value and leaflet.plan(file, {"procedure": value["planned"]}).verdict is Verdict.REFUSED:
        yield "refused"
    if "food" in value:
        foods = {food.id: food for food in leaflet.unit.advice.foods}
        if getattr(foods.get(value["food"]), value["phase"], False) is not value["allowed"]:
            yield str(foods.get(value["food"]))
    if "finding" in value:
        told = [one.kind for one in timetable.findings] if timetable else []
        if value["finding"] not in told:
            yield f"told {told}"
    if "yardsticks" in value and timetable:
        met = {yardstick.id: yardstick.met for yardstick in timetable.yardsticks}
        if met != value["yardsticks"]:
            yield str(met)


def faults(value: Value, leaflet: Leaflet, file: str, timetable: Timetable | None) -> Iterator[str]:
    if "step" in value and timetable:
        yield from step_faults(value, timetable)
    elif timetable:
        yield from group_faults(value, timetable)
    yield from sheet_faults(value, leaflet, file, timetable)


def test_every_row_of_the_table_is_here() -> None:
    assert [f"a{number:02}" for number in range(2, 67, 2)] == IDS


@pytest.mark.parametrize("leaflet", IDS)
def test_every_step_stands_where_the_sheet_puts_it(
    leaflet: str, leaflet_named: Callable[[str], Leaflet]
) -> None:
    one = leaflet_named(leaflet)
    wrong = []
    for sheet in one.said["sheets"]:
        for plan in sheet["plans"]:
            timetable = one.plan(sheet["file"], plan)
            assert timetable.steps, [finding.problem for finding in timetable.findings]
            for column, values in plan["cells"].items():
                assert column in COLUMNS
                assert values
                wrong += [
                    (sheet["file"], plan["procedure"], column, value, fault)
                    for value in values
                    for fault in faults(value, one, sheet["file"], timetable)
                ]
    assert wrong == []


@pytest.mark.parametrize("leaflet", IDS)
def test_what_clashes_is_told(leaflet: str, leaflet_named: Callable[[str], Leaflet]) -> None:
    """Each thing that the table names under “clash”: in a plan, in `protocol check`, or as a fault of the file."""
    one = leaflet_named(leaflet)
    first = one.said["sheets"][0]
    assert one.said["clash"]["told"]
    for value in one.said["clash"]["told"]:
        file = value.get("file", first["file"])
        if "fault" in value:
            assert {finding.kind for finding in read_protocol(LEAFLETS / file, file)[1]} == {value["fault"]}
        elif "departs" in value:
            assert value["departs"] in checked(one, file)["departures"]
        elif "check_finding" in value:
            assert value["check_finding"] in checked(one, file)["findings"]
        else:
            sheet = next(sheet for sheet in one.said["sheets"] if sheet["file"] == file)
            plans = sheet["plans"]
            timetable = one.plan(file, plans[value.get("plan", 0)]) if plans else None
            assert list(faults(value, one, file, timetable)) == [], value


def checked(leaflet: Leaflet, file: str) -> dict[str, list[Any]]:
    """What `protocol check` says of a sheet at the start named for it (or at any), without a way."""
    [told] = run_json("protocol", "check", f"protocols/{file}", "--unit", leaflet.folder)["files"]
    sheet = next(sheet for sheet in leaflet.said["sheets"] if sheet["file"] == file)
    sample = f"A start at {sheet['check']['start']} with 0 minutes' way: " if "check" in sheet else ""
    departures = [
        [one["yardstick"], one["problem"].removeprefix(sample)]
        for one in told["departures"]
        if one["problem"].startswith(sample) or not one["problem"].startswith("A start at")
    ]
    return {"departures": departures, "findings": [one["kind"] for one in told["findings"]]}


@pytest.mark.parametrize("leaflet", IDS)
def test_departures_are_those_that_follow_from_the_table(
    leaflet: str, leaflet_named: Callable[[str], Leaflet]
) -> None:
    """All of them, in the words of `protocol check`: none is missing, none is there that the table does not bear."""
    one = leaflet_named(leaflet)
    for sheet in one.said["sheets"]:
        if "check" not in sheet:
            continue
        found = checked(one, sheet["file"])
        assert sorted(found["departures"]) == sorted(sheet["check"]["departures"]), sheet["file"]
        assert set(sheet["check"]["findings"]) <= set(found["findings"]), sheet["file"]


def test_no_sheet_has_a_fault_but_those_printed_with_one() -> None:
    broken = {
        path.name: {finding.kind for finding in read_protocol(path, path.name)[1]}
        for leaflet in IDS
        for path in sheets_of(leaflet)
    }
    assert {name: kinds for name, kinds in broken.items() if kinds} == {
        "a22-as-printed.toml": {"row-time"},
        "a24-as-printed.toml": {"key-missing"},
        "a40-as-printed.toml": {"amount-below-least"},
    }
