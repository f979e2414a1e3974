"""Writes .po files: the same content gives the same bytes, and nothing that a translator wrote is lost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from generator.words.po import Entry, PoFile


def po_text(po: PoFile) -> str:
    """The file's text: entries by id, one text a line, no line numbers and no date that would only make noise."""
    lines = [_remark("#", comment) for comment in po.comments]
    lines += [
        'msgid ""',
        'msgstr ""',
        *(_quoted(f"{key}: {value}\n") for key, value in po.header.items()),
        "",
    ]
    for entry in _by_id(po.entries):
        lines += [*_remarks(entry), *_words(entry), ""]
    for entry in _by_id(po.obsolete):
        lines += [*_remarks(entry, "#~|"), *(f"#~ {line}" for line in _words(entry)), ""]
    return "\n".join(lines)


def _by_id(entries: Iterable[Entry]) -> list[Entry]:
    return sorted(entries, key=lambda entry: entry.id)


def _remarks(entry: Entry, was: str = "#|") -> Iterator[str]:
    """The lines above an entry's words, in the order that gettext writes them."""
    yield from (_remark("#", comment) for comment in entry.comments)
    if entry.note:
        yield _remark("#.", entry.note)
    if entry.references:
        yield f"#: {' '.join(entry.references)}"
    flags = ["fuzzy"] if entry.fuzzy else []
    if any("{" in form for form in entry.english):
        flags.append("python-brace-format")
    if flags or entry.flags:
        yield f"#, {', '.join([*flags, *entry.flags])}"
    if entry.previous_id:
        yield f"{was} msgctxt {_quoted(entry.previous_id)}"
    for keyword, form in zip(("msgid", "msgid_plural"), entry.previous, strict=False):
        yield f"{was} {keyword} {_quoted(form)}"


def _words(entry: Entry) -> Iterator[str]:
    yield f"msgctxt {_quoted(entry.id)}"
    yield f"msgid {_quoted(entry.english[0])}"
    if len(entry.english) > 1:
        yield f"msgid_plural {_quoted(entry.english[1])}"
        yield from (f"msgstr[{index}] {_quoted(text)}" for index, text in enumerate(entry.texts))
    else:
        yield f"msgstr {_quoted(entry.texts[0] if entry.texts else '')}"


def _remark(mark: str, text: str) -> str:
    return f"{mark} {text}"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + escaped.replace("\n", "\\n").replace("\t", "\\t").replace("\r", "\\r") + '"'
