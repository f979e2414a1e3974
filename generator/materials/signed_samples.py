"""Signed samples: the timetables that a clinical lead saw when signing, kept beside the signature.

A later version of the program that gives another timetable from the same signed rules is found by them.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from generator.errors import BadMaterials
from generator.finding import Finding, warning
from generator.plan.samples import Sample

FOLDER = "signed"


def _file(folder: Path, protocol_id: str, digest: str) -> Path:
    return folder / FOLDER / f"{protocol_id}-{digest}.json"


def keep_samples(folder: Path, protocol_id: str, digest: str, samples: Sequence[Sample]) -> None:
    """Writes the samples of a protocol as it is signed.

    Raises:
        BadMaterials: if they cannot be written.
    """
    path = _file(folder, protocol_id, digest)
    try:
        path.parent.mkdir(exist_ok=True)
        path.write_text(json.dumps(_told(samples), indent=1, ensure_ascii=False) + "\n", "utf-8")
    except OSError as error:
        raise BadMaterials(
            f"The sample timetables cannot be written: {error.strerror or 'the disk failed'}.",
            remedy=f"See that the folder {FOLDER}/ may be written, then sign again; nothing was signed.",
        ) from None


def sample_differences(
    folder: Path, protocol_id: str, digest: str, samples: Sequence[Sample]
) -> list[Finding]:
    """A warning when the rules that were signed give other timetables now than when they were signed."""
    path = _file(folder, protocol_id, digest)
    if not path.is_file():
        return []
    try:
        signed = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError):
        signed = None
    now = _told(samples)
    if signed == now:
        return []
    changed = [name for name in now if not isinstance(signed, dict) or signed.get(name) != now[name]]
    return [
        warning(
            "samples-differ",
            protocol_id,
            "The same rules give other timetables now than when they were signed: "
            f"{'; '.join(changed) or 'a sample is no longer made'}.",
            f"Have the clinical lead look at them and sign again. What was signed stands in {FOLDER}/{path.name}.",
        )
    ]


def _told(samples: Sequence[Sample]) -> dict[str, list[list[str]]]:
    """Each slot and way: its steps with start and end on the wall, and the amounts."""
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
