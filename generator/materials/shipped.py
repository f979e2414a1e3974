"""The files that come with the program: templates, words, and what the phone gets."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from generator.errors import BadMaterials

_PACKAGE = Path(__file__).resolve().parent.parent
# The order in which the phone's scripts are joined: each may use the ones before it.
SCRIPTS = ("clock.js", "due.js", "diary.js", "offline.js", "app.js")
STATIC_FILES = ("page.css", "icon-180.png", "icon-512.png")


@dataclass(frozen=True, slots=True)
class Shipped:
    """Texts and bytes that every booklet is made from.

    Attributes:
        templates: path inside templates/ -> text.
        assets: file name under /a/<digest>/ -> bytes.
        worker: the body of sw.js.
        words: language tag -> bytes of its .po file.
    """

    templates: dict[str, str]
    assets: dict[str, bytes]
    worker: str
    words: dict[str, bytes]


def shipped_folder(name: str) -> Path:
    """The folder templates/, locales/ or static/: inside the package when installed, else beside it.

    Raises:
        BadMaterials: if this installation lacks it.
    """
    for place in (_PACKAGE / name, _PACKAGE.parent / name):
        if place.is_dir():
            return place
    raise BadMaterials(
        f"The folder {name}/ is missing from this installation.",
        remedy="Install again, or run from the top of a fresh checkout.",
    )


def read_shipped(locales: Path | None = None) -> Shipped:
    """Everything that is shipped; `locales` takes the place of the shipped words (a translator's folder).

    Raises:
        BadMaterials: if a file is missing or not UTF-8.
    """
    templates, static = shipped_folder("templates"), shipped_folder("static") / "page"
    try:
        return Shipped(
            templates={
                path.relative_to(templates).as_posix(): path.read_text("utf-8")
                for folder in ("page", "parts")
                for path in sorted((templates / folder).glob("*.html"))
            },
            assets={
                "page.js": b"\n".join((static / name).read_bytes() for name in SCRIPTS),
                **{name: (static / name).read_bytes() for name in STATIC_FILES},
            },
            worker=(static / "sw.js").read_text("utf-8"),
            words={
                path.stem: path.read_bytes()
                for path in sorted((locales or shipped_folder("locales")).glob("*.po"))
            },
        )
    except (OSError, UnicodeDecodeError) as error:
        raise BadMaterials(
            f"A file of this installation cannot be read: {error}.",
            remedy="Install again, or run from the top of a fresh checkout.",
        ) from None
