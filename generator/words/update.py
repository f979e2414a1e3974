"""Brings a translator's file up to date with the program's messages: by id only, never by likeness.

Similar sentences are the dangerous ones here: "Do not take …" is much like "Take …".
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from babel import Locale

from generator.words.message import Message
from generator.words.plurals import plural_categories, plural_header
from generator.words.po import Entry, PoFile

_NOISE = "POT-Creation-Date"  # another on each run, and a conflict in each merge


def updated(
    po: PoFile, messages: Mapping[str, Message], tag: str, locale: Locale, only: Collection[str] | None = None
) -> PoFile:
    """The file with an entry for every message; what is no longer used is kept at its end.

    Args:
        messages: all messages by id.
        locale: whose plural rule the entries follow.
        only: for a region variant, the ids that it says otherwise, besides those it has.
    """
    known = {entry.id: entry for entry in (*po.obsolete, *po.entries)}
    count = len(plural_categories(locale))
    entries = tuple(
        _entry(message, known.get(message.id), count)
        for message in messages.values()
        if only is None or message.id in known or message.id in only
    )
    gone = tuple(entry for entry in known.values() if entry.id not in messages and any(entry.texts))
    return PoFile(_header(po.header, tag, locale), entries, gone, po.comments)


def _header(old: Mapping[str, str], tag: str, locale: Locale) -> dict[str, str]:
    own = {
        "Project-Id-Version": "daybefore",
        "Language": tag,
        "MIME-Version": "1.0",
        "Content-Type": "text/plain; charset=UTF-8",
        "Content-Transfer-Encoding": "8bit",
        "Plural-Forms": plural_header(locale),
    }
    return own | {key: value for key, value in old.items() if key not in own and key != _NOISE}


def _entry(message: Message, old: Entry | None, categories: int) -> Entry:
    """The message with the words it had; words made for other English, or other forms, are unfinished."""
    count = 1 if message.other is None else categories
    if old is None or not any(old.texts):
        kept = old or Entry(message.id, message.forms, ())
        return replace(
            kept,
            english=message.forms,
            texts=("",) * count,
            note=message.note,
            fuzzy=False,
            previous=(),
            previous_id="",
        )
    texts = (old.texts + old.texts[-1:] * count)[:count]
    changed = old.english != message.forms
    previous = (old.previous or old.english) if changed else old.previous
    return replace(
        old,
        english=message.forms,
        texts=texts,
        note=message.note,
        fuzzy=old.fuzzy or changed or len(old.texts) != count,
        previous=previous if previous != message.forms else (),
    )
