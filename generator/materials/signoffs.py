"""Adds lines to a unit's signoffs.csv and accepted.csv; each file is wholly old or wholly new at every moment."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypeVar

from generator.clinic.acceptance import ACCEPTED_FILE, Acceptance, acceptances_from, acceptances_text
from generator.clinic.signoff import SignOff, signoffs_from, signoffs_text
from generator.errors import BadMaterials
from generator.finding import Finding
from generator.materials.unit_folder import SIGNOFF_FILE
from generator.materials.whole_files import alone_in, replace_file

Line = TypeVar("Line")
_Read = Callable[[str], tuple[tuple[Line, ...], list[Finding]]]


def add_signoffs(folder: Path, added: Iterable[SignOff]) -> None:
    """Adds signatures after those that the file holds at this moment.

    Raises:
        BadMaterials: if the file cannot be read or written, or holds a line that is no signature; it stays as it was.
    """
    _add(folder / SIGNOFF_FILE, [*added], lambda text: signoffs_from(text, SIGNOFF_FILE), signoffs_text)


def add_acceptances(folder: Path, added: Iterable[Acceptance]) -> None:
    """Adds accepted departures after those that the file holds at this moment.

    Raises:
        BadMaterials: as for add_signoffs.
    """
    _add(folder / ACCEPTED_FILE, [*added], acceptances_from, acceptances_text)


def read_signoffs(folder: Path) -> tuple[SignOff, ...]:
    """The unit's signatures.

    Raises:
        BadMaterials: if the file cannot be read, or holds a line that is no signature.
    """
    return _read(folder / SIGNOFF_FILE, lambda text: signoffs_from(text, SIGNOFF_FILE))


def read_acceptances(folder: Path) -> tuple[Acceptance, ...]:
    """What the unit has accepted.

    Raises:
        BadMaterials: if the file cannot be read, or holds a line that accepts nothing.
    """
    return _read(folder / ACCEPTED_FILE, acceptances_from)


def _add(path: Path, added: list[Line], read: _Read[Line], text: Callable[[Iterable[Line]], str]) -> None:
    try:
        with alone_in(path.parent):
            old = _read(path, read)
            replace_file(Path(os.path.realpath(path)), text((*old, *added)).encode())
    except OSError as error:
        raise _unusable(path, error) from None


def _read(path: Path, read: _Read[Line]) -> tuple[Line, ...]:
    try:
        text = path.read_text("utf-8-sig") if path.exists() else ""
    except (OSError, UnicodeError) as error:
        raise _unusable(path, error) from None
    lines, findings = read(text) if text else ((), [])
    if findings:
        raise BadMaterials(
            f"{path.name} has faults.", remedy="Mend the findings below.", findings=tuple(findings)
        )
    return lines


def _unusable(path: Path, error: OSError | UnicodeError) -> BadMaterials:
    reason = (isinstance(error, OSError) and error.strerror) or "it is not UTF-8"
    return BadMaterials(
        f"{path.name} in the folder “{path.parent.name}” cannot be read or written: {reason}.",
        remedy="See that it is a file and may be written, then give the command again; nothing was added.",
    )
