"""Adds signatures to a unit's signoffs.csv; the file is wholly old or wholly new at every moment."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from generator.clinic.signoff import COLUMNS, SignOff, signoffs_from
from generator.errors import BadMaterials
from generator.materials.unit_folder import SIGNOFF_FILE


def add_signoffs(folder: Path, added: Iterable[SignOff]) -> None:
    """Adds signatures after those that the file holds at this moment.

    Raises:
        BadMaterials: if the file cannot be read or written, or holds a line that is no signature; it stays as it was.
    """
    path = Path(os.path.realpath(folder / SIGNOFF_FILE))
    try:
        old = path.read_text("utf-8-sig") if path.exists() else ""
        signoffs, findings = signoffs_from(old, SIGNOFF_FILE) if old else ((), [])
        if findings:
            raise BadMaterials(
                f"{SIGNOFF_FILE} has faults.", remedy="Mend the findings below.", findings=tuple(findings)
            )
        _replace(path, _text_of((*signoffs, *added)).encode())
    except (OSError, UnicodeError) as error:
        reason = (isinstance(error, OSError) and error.strerror) or "it is not UTF-8"
        raise BadMaterials(
            f"{SIGNOFF_FILE} in the folder “{folder.name}” cannot be read or written: {reason}.",
            remedy="See that it is a file and may be written, then sign again; nothing was signed.",
        ) from None


def _text_of(signoffs: Iterable[SignOff]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for line in signoffs:
        writer.writerow([line.file, line.digest, line.role, line.signed, line.review_by])
    return text.getvalue()


def _replace(path: Path, content: bytes) -> None:
    aside = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        with aside.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            aside.chmod(path.stat().st_mode & 0o777)
        aside.replace(path)
    except OSError:
        with suppress(OSError):
            aside.unlink()
        raise
