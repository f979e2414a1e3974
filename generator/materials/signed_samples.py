"""Signed samples: the timetables that a clinical lead saw when signing, kept beside the signature.

A later version of the software that gives another timetable from the same signed rules is found by them: what it
plans is not what was signed. The unit's own settings are kept too, so that a changed night is not taken for it.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from generator.clinic.protocol import Protocol
from generator.clinic.unit import Night, Unit
from generator.errors import BadMaterials
from generator.finding import Finding, refusal, warning
from generator.materials.whole_files import replace_file
from generator.plan.samples import SAMPLE_DAY, Sample, samples_of
from generator.plan.spoken import spoken_day

FOLDER = "signed"
_MOST_TOLD = 4  # steps of one sample; the file holds all
_Told = Mapping[str, Sequence[Sequence[str]]]  # slot and way -> steps: id, start, end, amounts


def _file(folder: Path, protocol_id: str, digest: str) -> Path:
    return folder / FOLDER / f"{protocol_id}-{digest}.json"


def kept_samples(folder: Path, protocol_id: str, digest: str) -> str | None:
    """What keep_samples wrote for a protocol as it stands, or None; "{}" where it cannot be read."""
    path = _file(folder, protocol_id, digest)
    try:
        return path.read_text("utf-8") if path.exists() else None
    except (OSError, UnicodeError):
        return "{}"


def keep_samples(folder: Path, protocol: Protocol, digest: str, unit: Unit) -> None:
    """Writes the samples of a protocol as it is signed.

    Raises:
        BadMaterials: if they cannot be written.
    """
    path = _file(folder, protocol.id, digest)
    kept = {"unit": _settings(unit), "samples": _told(samples_of(protocol, unit))}
    try:
        path.parent.mkdir(exist_ok=True)
        replace_file(path, (json.dumps(kept, indent=1, ensure_ascii=False) + "\n").encode())
    except OSError as error:
        raise BadMaterials(
            f"The sample timetables cannot be written: {error.strerror or 'the disk failed'}.",
            remedy=f"See that the folder {FOLDER}/ may be written, then sign again; nothing was signed.",
        ) from None


def sample_differences(protocol: Protocol, file: str, unit: Unit, kept: str) -> list[Finding]:
    """A refusal for each sample that the software plans otherwise than when the protocol was signed.

    Args:
        kept: what keep_samples wrote.
    """
    try:
        signed = json.loads(kept)
        settings, samples = signed["unit"], signed["samples"]
        now = _as_signed(protocol, json.dumps(settings, sort_keys=True), _Rest(unit))
        return [_moved(file, name, *told) for name, *told in _differences(samples, now)]
    except (ValueError, TypeError, KeyError, AttributeError):
        return [
            refusal(
                "samples-unreadable",
                file,
                f"The sample timetables that were signed with {file} cannot be read.",
                f"Put the file in {FOLDER}/ back from a copy. Or: {_sign(file)}",
            )
        ]


def settings_differences(protocol: Protocol, file: str, unit: Unit, kept: str) -> list[Finding]:
    """A warning when unit.toml states another night, or the like, so that the samples that were signed moved."""
    signed = json.loads(kept)
    changed = [name for name, value in _settings(unit).items() if signed["unit"].get(name) != value]
    names = [name for name, *_ in _differences(signed["samples"], _told(samples_of(protocol, unit)))]
    if not (changed and names):
        return []
    return [
        warning(
            "samples-moved",
            file,
            f"unit.toml has another {' and '.join(changed)} than when {file} was signed, which moves: "
            f"{'; '.join(names)}.",
            f"Have the clinical lead look: daybefore protocol page {file}. If the times are meant: {_sign(file)}",
        )
    ]


def _sign(file: str) -> str:
    return f"have the clinical lead sign anew: daybefore protocol sign {file}"


def _settings(unit: Unit) -> dict[str, Any]:
    """What of unit.toml has a say in the samples."""
    return {
        "zone": unit.zone,
        "arrival_lead_minutes": unit.arrival_lead_minutes,
        "quiet_minutes": unit.quiet_minutes,
        "night": [unit.night.since.isoformat("minutes"), unit.night.until.isoformat("minutes")],
        "working_days": sorted(unit.working_days),
        "closed_days": sorted(day.isoformat() for day in unit.closed_days),
    }


@dataclass(frozen=True, slots=True)
class _Rest:
    """All else that a unit states. It has no say in the samples, and so tells no two of them apart."""

    unit: Unit = field(compare=False)


@lru_cache(maxsize=64)  # asked for with every booking
def _as_signed(protocol: Protocol, settings: str, rest: _Rest) -> _Told:
    """The samples as the software plans them now for a unit that states what it stated when it signed."""
    stated = json.loads(settings)
    since, until = map(dt.time.fromisoformat, stated["night"])
    then = replace(
        rest.unit,
        zone=stated["zone"],
        arrival_lead_minutes=stated["arrival_lead_minutes"],
        quiet_minutes=stated["quiet_minutes"],
        night=Night(since, until),
        working_days=frozenset(stated["working_days"]),
        closed_days=frozenset(map(dt.date.fromisoformat, stated["closed_days"])),
    )
    return _told(samples_of(protocol, then))


def _told(samples: Sequence[Sample]) -> dict[str, list[list[str]]]:
    return {
        sample.name: [
            [
                step.id,
                step.start.isoformat(timespec="minutes"),
                step.end.isoformat(timespec="minutes") if step.end else "",
                json.dumps(step.amounts, sort_keys=True),
            ]
            for step in sample.timetable.steps
        ]
        for sample in samples
    }


def _differences(signed: _Told, now: _Told) -> Iterator[tuple[str, list[str]]]:
    """Each sample that is another now, and in what; a sample that is made only now, or no more, is another."""
    for name in dict.fromkeys((*signed, *now)):
        if name not in now:
            yield name, ["it is no longer a sample"]
        elif name not in signed:
            yield name, ["it is a sample only now"]
        elif told := list(_step_differences(signed[name], now[name])):
            yield name, told


def _step_differences(signed: Sequence[Sequence[str]], now: Sequence[Sequence[str]]) -> Iterator[str]:
    old, new = ({step[0]: step[1:] for step in steps} for steps in (signed, now))
    for step in dict.fromkeys((*old, *new)):
        if step not in new:
            yield f"“{step}” at {_clock(old[step][0])} is left out"
        elif step not in old:
            yield f"“{step}” at {_clock(new[step][0])} is added"
        elif old[step][:2] != new[step][:2]:
            yield f"“{step}” is {_span(*new[step][:2])} instead of {_span(*old[step][:2])}"
        elif old[step] != new[step]:
            yield f"“{step}” has other amounts: {new[step][2]} instead of {old[step][2]}"


def _moved(file: str, name: str, told: Sequence[str]) -> Finding:
    more = f"; and {len(told) - _MOST_TOLD} more" if len(told) > _MOST_TOLD else ""
    return refusal(
        "samples-differ",
        file,
        f"The software plans {file} otherwise than when it was signed. {name}: "
        f"{'; '.join(told[:_MOST_TOLD])}{more}.",
        f"Have the clinical lead look: daybefore protocol page {file}. If the times are right: {_sign(file)}",
    )


def _span(start: str, end: str) -> str:
    return f"{_clock(start)} to {_clock(end)}" if end else _clock(start)


def _clock(moment: str) -> str:
    at = dt.datetime.fromisoformat(moment)
    days = (at.date() - SAMPLE_DAY).days
    return f"{at:%H:%M} {spoken_day(days)}" if days else f"{at:%H:%M}"
