"""Reads and writes .po files: strictly, so that a hand-edited file never loses or cuts a sentence unseen.

Format: GNU gettext manual, "The Format of PO Files". The id is the msgctxt, the English the msgid.
"""

from __future__ import annotations

import codecs
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass

from babel.messages.pofile import PoFileError, read_po

from generator.finding import Finding, refusal

_STRING = r'"(?:[^"\\]|\\[ntr"\\])*"'
_LINE = re.compile(
    rf"\s*|\s*#.*|(?:#~ )?\s*(?:msgctxt|msgid|msgid_plural|msgstr(?:\[\d\])?)\s+{_STRING}\s*|(?:#~ )?\s*{_STRING}\s*"
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry: id, English forms, translated forms ("" where there is none), note, and whether it is unfinished."""

    id: str
    english: tuple[str, ...]
    texts: tuple[str, ...]
    note: str = ""
    fuzzy: bool = False
    previous: str | None = None


@dataclass(frozen=True, slots=True)
class PoFile:
    """A file's header fields and entries, in file order."""

    header: dict[str, str]
    entries: tuple[Entry, ...]


def read_po_file(raw: bytes, file: str) -> tuple[PoFile, list[Finding]]:
    """The file's content, and every defect with line and remedy; with a refusal the content must not be used."""
    nothing = PoFile({}, ())
    try:
        text = raw.removeprefix(codecs.BOM_UTF8).decode("utf-8").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        at = raw[: error.start].count(b"\n") + 1
        remedy = "Save it as UTF-8 in your editor."
        return nothing, [refusal("po-encoding", f"{file}:{at}", "The file is not UTF-8.", remedy)]
    findings = _line_findings(text, file)
    if findings:
        return nothing, findings
    try:
        catalog = read_po(io.StringIO(text), abort_invalid=True)
    except (PoFileError, ValueError) as error:
        return nothing, [refusal("po-line", file, f"The file cannot be read: {error}.", "Mend that entry.")]
    entries = tuple(
        Entry(
            id=message.context or "",
            english=_forms(message.id),
            texts=_forms(message.string),
            note=" ".join(message.auto_comments),
            fuzzy=message.fuzzy,
        )
        for message in catalog
        if message.id
    )
    return PoFile(dict(_header_of(text)), entries), [*_doubled(text, file), *_without_id(entries, file)]


def _forms(texts: object) -> tuple[str, ...]:
    return tuple(texts) if isinstance(texts, tuple | list) else (str(texts or ""),)


def _line_findings(text: str, file: str) -> list[Finding]:
    """Every line that is not exactly a line of such a file: a lost quote would silently cut a sentence."""
    return [
        refusal(
            "po-line",
            f"{file}:{number}",
            "This line cannot be read.",
            'Each text needs straight quotes at both ends; write \\" for a quote inside.',
        )
        for number, line in enumerate(text.split("\n"), 1)
        if not _LINE.fullmatch(line)
    ]


def _without_id(entries: Iterable[Entry], file: str) -> list[Finding]:
    return [
        refusal(
            "po-no-id",
            file,
            f"An entry has no id (msgctxt): “{entry.english[0][:40]}”.",
            "Restore the msgctxt line above it, or take the file from the last version.",
        )
        for entry in entries
        if not entry.id
    ]


def _header_of(text: str) -> Iterable[tuple[str, str]]:
    """The header's fields; Babel drops those it does not know, and the direction of writing may stand there."""
    block = re.search(r'^msgid ""\nmsgstr ""\n((?:".*"\n)+)', text, re.MULTILINE)
    yield from re.findall(r'"([A-Za-z-]+): (.*?)\\n"', block[1] if block else "")


def _doubled(text: str, file: str) -> list[Finding]:
    """Ids that occur twice; Babel would silently keep the first."""
    seen: dict[str, int] = {}
    findings = []
    for number, line in enumerate(text.split("\n"), 1):
        found = re.fullmatch(r'msgctxt\s+"(.*)"\s*', line)
        if found and found[1] in seen:
            findings.append(
                refusal(
                    "po-doubled",
                    f"{file}:{number}",
                    f"The id {found[1]} stands on line {seen[found[1]]} already.",
                    "Keep one of the two entries.",
                )
            )
        elif found:
            seen[found[1]] = number
    return findings


def po_text(header: dict[str, str], entries: Iterable[Entry]) -> str:
    """The file's text: entries by id, one text a line, no line numbers and no date that would only make noise."""
    lines = ['msgid ""', 'msgstr ""', *(f'"{key}: {value}\\n"' for key, value in header.items()), ""]
    for entry in sorted(entries, key=lambda entry: entry.id):
        lines.append(f"#. {entry.note}")
        flags = ["fuzzy"] if entry.fuzzy else []
        if any("{" in form for form in entry.english):
            flags.append("python-brace-format")
        if flags:
            lines.append(f"#, {', '.join(flags)}")
        if entry.previous:
            lines.append(f"#| msgid {_quoted(entry.previous)}")
        lines += [f"msgctxt {_quoted(entry.id)}", f"msgid {_quoted(entry.english[0])}"]
        if len(entry.english) > 1:
            lines.append(f"msgid_plural {_quoted(entry.english[1])}")
            lines += [f"msgstr[{index}] {_quoted(text)}" for index, text in enumerate(entry.texts)]
        else:
            lines.append(f"msgstr {_quoted(entry.texts[0] if entry.texts else '')}")
        lines.append("")
    return "\n".join(lines)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t")
    return f'"{escaped}"'
