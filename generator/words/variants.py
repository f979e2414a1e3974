"""Region variants: a file such as en-US.po holds only what differs; the rest is its base language's.

Which language a variant builds on is CLDR's parent locale, never one in another script, and never one that writes
its everyday words otherwise.
"""

from __future__ import annotations

import re
from collections.abc import Collection

from babel.core import get_global

from generator.words.message import SOURCE_TAG

TAG = re.compile(r"(?P<language>[a-z]{2,3})(-(?P<script>[A-Z][a-z]{3}))?(-(?P<region>[A-Z]{2}|\d{3}))?")
# Two languages of their own as far as food and medicine go, whatever CLDR says of their dates.
_APART = frozenset({"pt-PT", "pt-BR"})
# Near in grammar, far in words: only headings and buttons are taken over (Dari from Persian).
_ONLY_REST = frozenset({"fa-AF"})


def tag_written(tag: str) -> str:
    """The tag as BCP 47 recommends to write it, such as zh-Hans for zh_hans; "" if it is none of this shape.

    Shape: a language of two or three letters, then perhaps a script, then perhaps a region (RFC 5646, 2.1.1).
    """
    language, *rest = re.split("[-_]", tag)
    parts = [language.lower(), *(part.title() if len(part) == 4 else part.upper() for part in rest)]
    written = "-".join(parts)
    return written if TAG.fullmatch(written) else ""


def base_tag(tag: str, known: Collection[str]) -> str | None:
    """The nearest language among the known ones that a variant builds on; None for a language by itself."""
    parents = get_global("parent_exceptions")
    name = tag.replace("-", "_")
    while tag not in _APART:
        name = parents.get(name) or _without_region(name)
        found = name.replace("_", "-")
        if not found or found == "root":
            return None
        if found in known or found == SOURCE_TAG:
            return found
    return None


def _without_region(name: str) -> str:
    found = TAG.fullmatch(name.replace("_", "-"))
    return name.rpartition("_")[0] if found and found["region"] else ""


def may_inherit(tag: str, message_id: str) -> bool:
    """Whether a variant may say this message in its base language's words."""
    return tag not in _ONLY_REST or message_id.startswith("C")
