"""`daybefore slots`: which starts of the day a protocol can be prepared for, and from how far away."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import click

from generator.cli.booking_options import known
from generator.cli.options import json_option, now_from, now_option, print_json, unit_option
from generator.cli.stopped import refused_slots, stops_as_json
from generator.clinic.signoff import validity
from generator.errors import BadRequest
from generator.materials.unit_folder import SignedProtocol, UnitFolder, read_unit_folder
from generator.materials.whole_files import replace_file
from generator.page.slot_picture import Stamp, slot_svg
from generator.plan.slots import NIGHT, NO, TRAVELS, SlotGuide, SlotRow, slot_guide
from generator.staff.step_names import in_words, names_of_rows

_COLUMN = 30


@click.command("slots")
@unit_option
@click.option("--protocol", required=True, metavar="ID", help="A protocol of the unit.")
@click.option(
    "--travel", "travels", multiple=True, type=click.IntRange(0, 720), metavar="MINUTES",
    help="A way to the unit; may be given several times. Without it: 0, 30, 60 and 90.",
)  # fmt: skip
@click.option(
    "--svg", type=click.Path(dir_okay=False, path_type=Path), help="Also writes a picture to print."
)
@now_option
@json_option
@stops_as_json(refused_slots)
def slots(
    unit_dir: Path,
    protocol: str,
    travels: tuple[int, ...],
    svg: Path | None,
    now: str | None,
    as_json: bool,
) -> None:
    """Every start of the day against ways to the unit: which fit, and which need a step in the night."""
    folder = read_unit_folder(unit_dir)
    signed = folder.protocols[known(protocol, folder.protocols, "protocol", "protocol-unknown")]
    guide = slot_guide(signed.protocol, folder.unit, travels or TRAVELS)
    stamp = _stamp(folder, signed, now_from(now, folder.unit.zone).date())
    if svg is not None:
        _write(svg, slot_svg(guide, stamp))
    if as_json:
        print_json(guide.as_json())
        return
    names = names_of_rows(signed.protocol.rows)
    for line in _lines(guide, stamp):
        click.echo(in_words(line, names))
    if svg is not None:
        click.echo(f"The picture is in {svg}.")


def _stamp(folder: UnitFolder, signed: SignedProtocol, today: dt.date) -> Stamp:
    unit = folder.unit
    return Stamp(
        signed.protocol.title,
        signed.digest,
        validity(signed.file, signed.digest, folder.signoffs, today),
        unit.name,
        f"{unit.night.since:%H:%M} to {unit.night.until:%H:%M}",
    )


def _write(path: Path, picture: bytes) -> None:
    try:
        replace_file(path, picture)
    except OSError as error:
        raise BadRequest(
            f"The picture cannot be written: {error.strerror or 'the disk failed'}.",
            remedy="Name a file in a folder that is there and may be written.",
        ) from None


def _lines(guide: SlotGuide, stamp: Stamp) -> Iterator[str]:
    yield stamp.title
    yield f"Protocol {guide.protocol}, version {stamp.version}. {stamp.valid_until}"
    yield ""
    yield "Start   Minutes' way to the unit"
    yield "        " + "".join(f"{travel:<{_COLUMN}}" for travel in guide.travels).rstrip()
    for time in guide.times:
        yield f"{time:%H:%M}   " + "".join(f"{_told(row):<{_COLUMN}}" for row in guide.at(time)).rstrip()
    yield ""
    yield "The hour is that of the first step from the night before on; “to”: the evening lasts until then."
    yield "min: what is left from the last glass to leaving home, where the unit wishes for more."
    yield f"night: a step lies in the unit's night ({stamp.night}); “or”: one that would leave more of those minutes."
    yield "no: no times keep every rule."
    yield from _reasons(guide)


def _told(row: SlotRow) -> str:
    if row.fits == NO:
        return "no"
    return f"{row.hours}{row.quiet}{' night' if row.fits == NIGHT else ''}"


def _reasons(guide: SlotGuide) -> Iterator[str]:
    """Why starts do not fit, each reason once, with the starts it is for."""
    found: dict[str, list[str]] = {}
    for row in guide.rows:
        if row.fits == NO:
            # Each start is told in its own reason; what is left is the same for all.
            reason = row.problem.partition("; this one is at")[0].rstrip(".")
            found.setdefault(reason, []).append(f"{row.time:%H:%M} ({row.travel_minutes})")
    for reason, starts in found.items():
        more = f" … {starts[-1]}" if len(starts) > 1 else ""
        yield f"no: {starts[0]}{more}: {reason}."
