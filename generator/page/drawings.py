"""Drawings: which of the drawings fit a plan, what each shows, and the plan's own version of it.

What a drawing shows stands in it nowhere as letters: it is the text beside the picture, in the page's language.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from generator.clinic.aftercare import WAITS
from generator.clinic.day import MAY_LEAVE_ALONE
from generator.page import drawing
from generator.page.bag_drawing import bag_drawing
from generator.page.night_drawing import night_drawing
from generator.page.plan import Plan
from generator.plan.alarms import alarm_steps
from generator.plan.timetable import Step
from generator.words.message import Message
from generator.words.speaker import Speaker

_NOTE = "Says what a drawing shows."
SHOWS = {
    name: Message(f"C.picture.{name}", english, _NOTE)
    for name, english in (
        ("read-through", "Print that can be read through one glass, not through another"),
        ("night", "The night: alarm clocks and a bed"),
        ("jug-glass", "A jug, and a glass with tape on it"),
        ("mix", "A box, powder in water, a spoon, the drink"),
        ("nothing-more", "A glass and a jug, both covered; a clock; water struck out"),
        ("way", "A bedroom from above, a free way to the toilet"),
        ("bag", "Things to bring"),
        ("table", "Somebody on the left side, covered"),
        ("clean", "A growth in the bowel, in sight and covered"),
        ("polyp", "A loop takes a growth away, in three views"),
        ("home", "Two people in a car, from the hospital to a house"),
    )
}
MESSAGES = tuple(SHOWS.values())
# The first step of each kind has the drawing.
_OF_STEPS = {
    "clear-fluids": "read-through",
    "mix": "mix",
    "drink": "jug-glass",
    "stop-drinking": "nothing-more",
}
_AS_SHIPPED = ("way", "table", "clean")
_DOSES = ("drink", "tablets", "enema")
_UP = ("wake", "mix", *_DOSES)
_JUG = 400  # millilitres: less is mixed in a cup


@dataclass(frozen=True)
class Drawing:
    """One drawing of a plan.

    Attributes:
        name: which of SHOWS it is.
        made: the plan's own version, or "" where the shipped file is shown as it is.
        turns: whether it runs in reading direction.
    """

    name: str
    made: str = ""
    turns: bool = False

    def file(self, direction: str) -> str:
        """The name of its file for a reading direction, "ltr" or "rtl"."""
        return self._files[direction][0] if self.made else f"{self.name}.svg"

    def content(self, direction: str) -> bytes:
        """Its file; only where it is `made`."""
        return self._files[direction][1]

    @cached_property
    def _files(self) -> dict[str, tuple[str, bytes]]:
        sides = {"ltr": self.made, "rtl": drawing.mirrored(self.made) if self.turns else self.made}
        return {
            direction: (drawing.file_name(self.name, made), made.encode())
            for direction, made in sides.items()
        }


@dataclass(frozen=True, slots=True)
class PictureView:
    """A picture's file, where it is, and what it shows."""

    file: str
    src: str
    alt: str


def picture_views(drawings: Mapping[str, Drawing], speaker: Speaker, assets: str) -> dict[str, PictureView]:
    """The drawings as the speaker's page shows them; `assets` is the path to the shared files."""
    files = {name: one.file(speaker.wording.direction) for name, one in drawings.items()}
    return {
        name: PictureView(file, f"{assets}pictures/{file}", speaker.plain(SHOWS[name]))
        for name, file in files.items()
    }


def step_pictures(steps: Sequence[Step]) -> dict[str, str]:
    """Step id -> name of its drawing."""
    pictures: dict[str, str] = {}
    for step in steps:
        name = _OF_STEPS.get(step.kind)
        one_glass = step.kind == "drink" and step.amounts.get("glasses", 0) < 2
        if name and name not in pictures.values() and not one_glass:
            pictures[step.id] = name
    return pictures


def drawings_of(plan: Plan, sources: Mapping[str, str]) -> dict[str, Drawing]:
    """The drawings of a plan by name.

    Args:
        sources: those of static/page/drawn/, by name.
    """
    return {one.name: one for one in _drawings(plan, sources)}


def drawing_files(drawings: Mapping[str, Drawing], directions: Collection[str]) -> dict[str, bytes]:
    """The drawings made for a plan, by their names among the shared files. The name tells the content."""
    return {
        f"pictures/{one.file(direction)}": one.content(direction)
        for one in drawings.values()
        if one.made
        for direction in directions
    }


def _drawings(plan: Plan, sources: Mapping[str, str]) -> Iterator[Drawing]:
    steps = {step.id: step for step in plan.timetable.steps}
    for step_id, name in step_pictures(plan.timetable.steps).items():
        match name:
            case "mix":
                yield Drawing(name, _mix(sources[name], steps[step_id], plan.protocol.pieces), turns=True)
            case "nothing-more":
                hour = drawing.hands(steps[step_id].start.time(), 26)
                yield Drawing(name, drawing.filled(sources[name], hands=hour))
            case _:
                yield Drawing(name)
    if moments := _night_moments(plan):
        yield Drawing("night", night_drawing(moments, _dark(plan)), turns=True)
    yield from (Drawing(name) for name in _AS_SHIPPED)
    yield Drawing("polyp", sources["polyp"], turns=True)
    if made := bag_drawing(plan, sources["bag"]):
        yield Drawing("bag", made, turns=True)
    if not _may_leave_alone(plan):
        yield Drawing("home", _home(plan, sources["home"]), turns=True)


def _mix(source: str, step: Step, pieces: int) -> str:
    """Box, packets and vessel as they are: a jug or a cup, to wait for or to drink from."""
    wait = step.amounts.get("wait_minutes", 0)
    parts = {"wait" if wait else "ready"}
    if step.amounts.get("mix_ml", _JUG) >= _JUG:
        parts.add("jug")
    share = drawing.sector(wait / 60, 26) if wait else ""
    return drawing.filled(drawing.with_parts(source, parts), packets=_packets(pieces), wait=share)


def _packets(count: int) -> str:
    """So many packets in a box of 96; of more than six the box shows none, for nobody could count them."""
    if not 1 <= count <= 6:
        return ""
    wide = min(24, 84 // count - 5)
    left = -(count * (wide + 5) - 5) / 2
    each = (f"M{left + index * (wide + 5):g} 4v-36h{wide}V4m0-28h-{wide}" for index in range(count))
    return f'<path fill="{drawing.TINT}" d="{"".join(each)}"/>'


def _night_moments(plan: Plan) -> list[dt.datetime]:
    """The evening's first dose, when to get up, when to leave; none where a plan has no such morning."""
    day = plan.timetable.procedure.date()
    alarms = alarm_steps(plan.timetable)
    eve = day - dt.timedelta(days=1)
    evening = [one.start for one in alarms if one.kind in _DOSES and one.start.date() == eve]
    morning = [one.start for one in alarms if one.kind in _UP and one.start.date() == day]
    leaving = plan.timetable.leaving
    if not morning or leaving <= morning[0]:
        return []
    return [*evening[:1], morning[0], leaving]


def _dark(plan: Plan) -> tuple[dt.datetime, dt.datetime]:
    """The unit's night before the examination."""
    night, procedure = plan.unit.night, plan.timetable.procedure
    day, zone = procedure.date(), procedure.tzinfo
    eve = day - dt.timedelta(days=1) if night.since > night.until else day
    return dt.datetime.combine(eve, night.since, zone), dt.datetime.combine(day, night.until, zone)


def _may_leave_alone(plan: Plan) -> bool:
    return plan.advice.day is not None and plan.booking.sedation in plan.advice.day.alone_after


def _home(plan: Plan, source: str) -> str:
    """With what has to wait; the round of the clock only where all of it waits for 24 hours."""
    after = plan.advice.aftercare
    waits = after.waits_for(plan.booking.sedation) if after else None
    names = [name for name in WAITS if name != "alone"]
    hours = {name: getattr(waits, name) for name in names} if waits else {}
    if not hours or plan.booking.sedation in MAY_LEAVE_ALONE:
        return drawing.with_parts(source, names)
    waiting = [name for name, count in hours.items() if count]
    whole_day = waiting and all(hours[name] == 24 for name in waiting)
    return drawing.with_parts(source, [*waiting, *(("day",) if whole_day else ())])
