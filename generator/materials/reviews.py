"""The files of a folder of languages: words, ledgers of reviews, and what translators are asked to change.

    <tag>.po  reviews/<tag>.csv  todo/<tag>.csv

To a ledger and a list of changes lines are only ever added.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from generator.errors import BadMaterials
from generator.materials.whole_files import alone_in, replace_file
from generator.words.reviews import Review, ledger_lines
from generator.words.todo import Todo, todo_lines

REVIEWS, TODO = "reviews", "todo"


def language_files(locales: Path) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """The .po files and the ledgers of a folder, both by language tag."""
    words = {path.stem: path.read_bytes() for path in sorted(locales.glob("*.po"))}
    return words, _by_tag(locales / REVIEWS)


def todo_files(locales: Path) -> dict[str, bytes]:
    """What translators are asked to change, by language tag."""
    return _by_tag(locales / TODO)


def _by_tag(folder: Path) -> dict[str, bytes]:
    return {path.stem: path.read_bytes() for path in sorted(folder.glob("*.csv"))}


def add_reviews(locales: Path, tag: str, reviews: Iterable[Review]) -> None:
    """Adds lines to a language's ledger.

    Raises:
        BadMaterials: if it cannot be written; it stays as it was.
    """
    _add(locales / REVIEWS / f"{tag}.csv", partial(ledger_lines, [*reviews]))


def add_todo(locales: Path, tag: str, asked: Iterable[Todo]) -> None:
    """Adds lines to what a language's translator is asked to change.

    Raises:
        BadMaterials: if it cannot be written; it stays as it was.
    """
    _add(locales / TODO / f"{tag}.csv", partial(todo_lines, [*asked]))


def _add(file: Path, written: Callable[..., str]) -> None:
    """Adds what `written(headed=…)` gives; nothing is touched where that is no line."""
    if not written(headed=False):
        return
    with _added(file) as (path, old):
        replace_file(path, (old + written(headed=not old)).encode())


@contextmanager
def _added(path: Path) -> Iterator[tuple[Path, str]]:
    """The file's path and what it holds, while nobody else may add to it."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with alone_in(path.parent):
            old = path.read_text("utf-8-sig") if path.exists() else ""
            yield Path(os.path.realpath(path)), old if old.endswith("\n") or not old else f"{old}\n"
    except (OSError, UnicodeError) as error:
        reason = (isinstance(error, OSError) and error.strerror) or "it is not UTF-8"
        raise BadMaterials(
            f"{path.parent.name}/{path.name} cannot be read or written: {reason}.",
            remedy="See that the folder may be written, then accept the sheet again; nothing was added twice.",
        ) from None
