"""What the commands about protocols are given: files of the unit's folder, and the role of whoever answers for it."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from generator.clinic.signoff import role_is_visible
from generator.errors import BadRequest

LONGEST_ROLE = 100


def expanded(files: Iterable[str], unit_dir: Path) -> tuple[str, ...]:
    """The names with each pattern, such as protocols/*.toml, replaced by the files of the unit's folder it fits."""
    named: list[str] = []
    for name in files:
        found = sorted(unit_dir.glob(name)) if set("*?[") & set(name) and not Path(name).is_absolute() else []
        named += [path.relative_to(unit_dir).as_posix() for path in found] or [name]
    return tuple(dict.fromkeys(named))


def path_of(name: str, unit_dir: Path) -> Path:
    """The file as it is named from here, or else from inside the unit's folder."""
    return Path(name) if Path(name).is_file() else unit_dir / name


def name_inside(path: Path, unit_dir: Path) -> str:
    """The file's path inside the unit's folder, as signatures name it; a file elsewhere keeps its own."""
    file, folder = path.resolve(), unit_dir.resolve()
    return (file.relative_to(folder) if file.is_relative_to(folder) else path).as_posix()


def role_from(text: str) -> str:
    """A role in visible words.

    Raises:
        BadRequest: if it is none.
    """
    role = " ".join(text.split())
    if not role_is_visible(role) or len(role) > LONGEST_ROLE:
        raise BadRequest("That is no role.", remedy="Write a few words, such as --role “clinical lead”.")
    return role
