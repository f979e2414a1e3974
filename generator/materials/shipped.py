"""The files that come with the program: templates, words, and what the phone gets."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from generator.errors import BadMaterials
from generator.materials.reviews import language_files
from generator.page.lean import lean_style
from generator.page.phone_places import PLACES
from generator.page.shortened import shortened
from generator.words.message import SOURCE_TAG
from generator.words.sheet_page import SheetParts

_PACKAGE = Path(__file__).resolve().parent.parent
# The order in which the phone's scripts are joined: `block.js` reads the page, `app.js` starts; else the one that packs
# best, for within one function none has to come before another.
SCRIPTS = (
    "diary.js", "finding.js", "pace.js", "due.js", "clock.js", "offline.js", "memory.js", "change.js", "keeping.js",
    "dayline.js", "clarity.js", "dom.js", "drinking.js", "questions.js", "sharing.js", "food.js", "block.js", "now.js",
    "looking.js", "confirm.js", "starting.js", "size.js", "app.js",
)  # fmt: skip
ICONS = ("icon-180.png", "icon-512.png")


@dataclass(frozen=True, slots=True)
class Shipped:
    """Texts and bytes that every booklet is made from.

    Attributes:
        templates: path inside templates/ -> text.
        style: the style sheet of the screen, which stands in each document.
        assets: file name under /a/<digest>/ -> bytes.
        drawn: name -> source of a drawing that is made for each plan.
        worker: the body of sw.js.
        words: language tag -> bytes of its .po file.
        reviews: language tag -> bytes of the ledger of its reviews.
    """

    templates: dict[str, str]
    style: str
    assets: dict[str, bytes]
    drawn: dict[str, str]
    worker: str
    words: dict[str, bytes]
    reviews: dict[str, bytes]


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


def locales_folder() -> Path:
    """The folder of the languages: the one that is shipped, or DAYBEFORE_LOCALES for whoever works on a copy.

    Raises:
        BadMaterials: if this installation lacks it.
    """
    place = os.environ.get("DAYBEFORE_LOCALES")
    return Path(place) if place else shipped_folder("locales")


def language_tags() -> tuple[str, ...]:
    """The tags of all languages that there are: English, and one for each file."""
    return tuple(sorted({SOURCE_TAG, *(path.stem for path in locales_folder().glob("*.po"))}))


def read_shipped(locales: Path | None = None) -> Shipped:
    """Everything that is shipped; `locales` takes the place of the languages' folder.

    Raises:
        BadMaterials: if a file is missing or not UTF-8.
    """
    templates, static = shipped_folder("templates"), shipped_folder("static") / "page"
    try:
        words, reviews = language_files(locales or locales_folder())
        return Shipped(
            templates={
                path.relative_to(templates).as_posix(): path.read_text("utf-8")
                for folder in ("page", "parts", "handout")
                for path in sorted((templates / folder).glob("*.*"))
            },
            style=lean_style((static / "page.css").read_text("utf-8")),
            assets={
                "page.js": shortened(
                    tuple((static / name).read_text("utf-8") for name in SCRIPTS), PLACES
                ).encode(),
                "paper.css": lean_style((static / "paper.css").read_text("utf-8")).encode(),
                **{name: (static / name).read_bytes() for name in ICONS},
                **{
                    f"pictures/{path.name}": path.read_bytes()
                    for path in sorted((static / "pictures").glob("*.svg"))
                },
            },
            drawn={
                path.stem: path.read_text("utf-8").strip()
                for path in sorted((static / "drawn").glob("*.svg"))
            },
            worker=shortened(((static / "sw.js").read_text("utf-8"),)),
            words=words,
            reviews=reviews,
        )
    except (OSError, UnicodeDecodeError) as error:
        raise _unreadable(error) from None


def read_sheet_parts() -> SheetParts:
    """What a reviewer's sheet is made from.

    Raises:
        BadMaterials: if a file is missing or not UTF-8.
    """
    static = shipped_folder("static") / "sheet"
    try:
        return SheetParts(
            template=(shipped_folder("templates") / "sheet" / "sheet.html").read_text("utf-8"),
            style=(static / "sheet.css").read_text("utf-8"),
            script=(static / "sheet.js").read_text("utf-8"),
        )
    except (OSError, UnicodeDecodeError) as error:
        raise _unreadable(error) from None


def read_rule_page_parts() -> tuple[str, str]:
    """The template and the style of a protocol's rules in words.

    Raises:
        BadMaterials: if a file is missing or not UTF-8.
    """
    try:
        return (
            (shipped_folder("templates") / "protocol" / "rules.html").read_text("utf-8"),
            (shipped_folder("static") / "protocol" / "rules.css").read_text("utf-8"),
        )
    except (OSError, UnicodeDecodeError) as error:
        raise _unreadable(error) from None


def _unreadable(error: OSError | UnicodeDecodeError) -> BadMaterials:
    return BadMaterials(
        f"A file of this installation cannot be read: {error}.",
        remedy="Install again, or run from the top of a fresh checkout.",
    )
