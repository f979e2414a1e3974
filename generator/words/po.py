"""Reads .po files: strictly, so that a hand-edited file never loses or cuts a sentence unseen.

Format: GNU gettext manual, "The Format of PO Files". The id is the msgctxt, the English the msgid. No library is
used: those there are take some of the damage for text, and stop at the first of the rest.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from generator.finding import Finding, refusal
from generator.words.po_lines import KEYWORD, STRING, WHOLE_ENTRY, line_finding, note_of

_ESCAPE = re.compile(r"\\(.)")
_ESCAPED = {"n": "\n", "t": "\t", "r": "\r", '"': '"', "\\": "\\"}
_RANKS = {"msgctx": 0, "msgid": 1, "msgid_": 2, "msgstr": 3}  # the order of keywords, by their first letters


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a file.

    Attributes:
        id: the message's id.
        english: its English forms as they stand in the file.
        texts: the translated forms, "" where there is none.
        note: the program's note for the translator.
        fuzzy: unfinished, such as after the English has changed.
        previous: the English forms that the texts were made for, if the English has changed since.
        comments: the translator's own remarks, a line each.
        references: where it is shown, as some tools write it.
        flags: other marks that a tool set.
        previous_id: an id that a tool took the text from.
        where: file and line at which the entry begins; "" for one that was not read.
    """

    id: str
    english: tuple[str, ...]
    texts: tuple[str, ...]
    note: str = ""
    fuzzy: bool = False
    previous: tuple[str, ...] = ()
    comments: tuple[str, ...] = ()
    references: tuple[str, ...] = ()
    flags: tuple[str, ...] = ()
    previous_id: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class PoFile:
    """A file: header fields, entries, entries no longer used, and remarks above the header, in file order."""

    header: dict[str, str]
    entries: tuple[Entry, ...]
    obsolete: tuple[Entry, ...] = ()
    comments: tuple[str, ...] = ()


@dataclass
class _Draft:
    """An entry while its lines are read."""

    line: int = 0
    texts: dict[str, str] = field(default_factory=dict)
    rank: int = -1  # how far the entry has come: the rank of its last keyword
    was: dict[str, str] = field(default_factory=dict)
    comments: dict[str, list[str]] = field(default_factory=lambda: {".": [], ":": [], ",": [], "": []})
    obsolete: bool = False
    broken: bool = False
    entry: Entry | None = None  # of one that was read whole


def read_po_file(raw: bytes, file: str) -> tuple[PoFile, list[Finding]]:
    """The file's content, and every defect with line and remedy; with a refusal the content is left out."""
    try:
        text = raw.removeprefix(codecs.BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError as error:
        at = raw[: error.start].count(b"\n") + 1
        remedy = "Save it as UTF-8 in your editor. Look whether all letters are right before you do."
        return PoFile({}, ()), [refusal("po-encoding", f"{file}:{at}", "The file is not UTF-8.", remedy)]
    reader, text = _Reader(file), text.replace("\r\n", "\n").replace("\r", "\n")
    at, number = 0, 1
    while at <= len(text):
        whole = WHOLE_ENTRY.match(text, at) if reader.is_between else None
        if whole:
            reader.take(number, whole)
            end = whole.end()
            number += text.count("\n", at, end)
        else:
            end = text.find("\n", at) + 1 or len(text) + 1
            reader.read(number, text[at : end - 1].strip(" \t"))
            number += 1
        at = end
    return reader.finished()


class _Reader:
    """Takes a file line by line; a line that is not exactly one of such a file is a defect."""

    def __init__(self, file: str) -> None:
        self._file = file
        self._draft = _Draft()
        self._into: dict[str, str] | None = None  # what a line that holds only a text goes on with
        self._key = ""
        self._drafts: list[_Draft] = []
        self._findings: list[Finding] = []

    @property
    def is_between(self) -> bool:
        """Whether nothing has been begun that the next line could go on with, or that belongs to it."""
        return self._into is None and (not self._draft.line or bool(self._draft.texts))

    def take(self, number: int, whole: re.Match[str]) -> None:
        """Takes an entry as the program writes it, whole: most are so, and that is several times as quick."""
        self._opened(0, afresh=bool(self._draft.texts))
        note, flags, message_id, english, text = whole.groups()
        line = number + (note is not None) + (flags is not None)
        draft = _Draft(line, {"msgctxt": message_id, "msgid": english, "msgstr": text}, comments={})
        draft.entry = Entry(
            message_id, (english,), (text,), (note or "").strip(), where=f"{self._file}:{line}"
        )
        self._drafts.append(draft)

    def read(self, number: int, line: str) -> None:
        """Takes one line."""
        if not line:
            self._into = None
        elif not line.startswith("#"):
            self._words(number, line, self._draft.texts, obsolete=False)
        elif line.startswith("#|"):
            self._opened(number, afresh=bool(self._draft.texts))
            self._words(number, line[2:].strip(), self._draft.was, obsolete=False)
        elif line.startswith("#~|"):
            self._opened(number, afresh=bool(self._draft.texts))
            self._words(number, line[3:].strip(), self._draft.was, obsolete=True)
        elif line.startswith("#~"):
            self._words(number, line[2:].strip(), self._draft.texts, obsolete=True)
        else:
            self._opened(number, afresh=bool(self._draft.texts))
            kind = line[1:2] if line[1:2] in (".", ":", ",") else ""
            self._draft.comments[kind].append(line[1 + len(kind) :].removeprefix(" "))
            self._into = None

    def finished(self) -> tuple[PoFile, list[Finding]]:
        """What was read, once the last line is in."""
        self._opened(0, afresh=True)
        drafts = [draft for draft in self._drafts if draft.texts or draft.broken]
        header, *rest = drafts if drafts and _is_header(drafts[0]) else [_Draft(), *drafts]
        for draft in rest:
            self._findings += [] if draft.broken or draft.entry else _order_findings(draft, self._file)
        fields, faults = _header_from(header, self._file)
        faults += [] if header in drafts else [_no_header(self._file)]
        self._findings += faults + _doubled([draft for draft in rest if not draft.obsolete], self._file)
        if self._findings:
            return PoFile({}, ()), sorted(self._findings, key=_line_of)
        entries = tuple(draft.entry or _entry(draft, self._file) for draft in rest if not draft.obsolete)
        obsolete = tuple(_entry(draft, self._file) for draft in rest if draft.obsolete)
        return PoFile(fields, entries, obsolete, _without_empty(header.comments[""])), []

    def _opened(self, number: int, *, afresh: bool) -> None:
        if afresh:
            self._drafts.append(self._draft)
            self._draft = _Draft()
            self._into = None
        self._draft.line = self._draft.line or number

    def _words(self, number: int, line: str, into: dict[str, str], *, obsolete: bool) -> None:
        """A keyword with a text, or a text that goes on with the line above."""
        keyword = KEYWORD.fullmatch(line)
        key, quoted = (keyword[1], keyword[3]) if keyword else (self._key, line)
        if keyword and into is self._draft.texts:
            rank = _RANKS[key[:6]]
            begun = self._draft.rank
            again = begun >= 0 and (rank <= min(1, begun) or obsolete != self._draft.obsolete)
            self._opened(number, afresh=again)
            into = self._draft.texts
            self._draft.line = number if self._draft.rank < 0 else self._draft.line
            self._draft.obsolete, self._draft.rank = obsolete, max(rank, self._draft.rank)
        string = STRING.fullmatch(quoted)
        goes_on = not keyword and self._into is into and key in into
        if string and ((keyword and key not in into) or goes_on):
            into[key] = into.get(key, "") + _unescaped(string[1])
        else:
            self._draft.broken = True
            self._findings.append(line_finding(line, f"{self._file}:{number}", known=bool(string)))
            if keyword:
                into.setdefault(key, "")
        self._into, self._key = into, key


def _unescaped(text: str) -> str:
    return _ESCAPE.sub(lambda found: _ESCAPED[found[1]], text) if "\\" in text else text


def _is_header(draft: _Draft) -> bool:
    return "msgctxt" not in draft.texts and draft.texts.get("msgid") == "" and not draft.obsolete


def _order_findings(draft: _Draft, file: str) -> Iterator[Finding]:
    """What an entry lacks: id, English, or room for the translation."""
    where, texts = f"{file}:{draft.line}", draft.texts
    forms = sorted(key for key in texts if key.startswith("msgstr"))
    told = f" “{texts['msgid'][:40]}”" if texts.get("msgid") else ""
    again = "take the entry from the last version of the file."
    if "msgid" not in texts:
        yield refusal("po-order", where, "This entry has no msgid line.", f"Restore it, or {again}")
    elif not texts["msgid"]:
        yield refusal("po-order", where, "The English of this entry is empty.", f"Restore it, or {again}")
    elif not texts.get("msgctxt"):
        yield refusal("po-no-id", where, f"The entry{told} has no id (msgctxt).", f"Restore it, or {again}")
    if "msgid" in texts and not forms:
        yield refusal("po-order", where, f"The entry{told} has no msgstr line.", 'Add a line: msgstr ""')
    elif forms and forms != _wanted_forms(texts, len(forms)):
        problem = f"The forms of{told or ' this entry'} do not count msgstr[0], msgstr[1] and so on."
        yield refusal("po-forms", where, problem, f"Number them from 0 without a gap, or {again}")


def _wanted_forms(texts: dict[str, str], count: int) -> list[str]:
    return [f"msgstr[{index}]" for index in range(count)] if "msgid_plural" in texts else ["msgstr"]


def _no_header(file: str) -> Finding:
    """Without it an editor guesses how the file is written, and takes what it guessed for true."""
    remedy = "Put back its first lines from the last version, or from another language's file."
    return refusal("po-header", f"{file}:1", "The file has no header, an entry with an empty msgid.", remedy)


def _header_from(draft: _Draft, file: str) -> tuple[dict[str, str], list[Finding]]:
    """The header's fields, in file order."""
    where = f"{file}:{draft.line}"
    fields: dict[str, str] = {}
    findings = []
    for line in draft.texts.get("msgstr", "").split("\n"):
        name, colon, value = line.partition(":")
        if colon:
            fields[name.strip()] = value.strip()
        elif line.strip():
            problem = f"The header line “{line[:40]}” has no colon."
            findings.append(refusal("po-header", where, problem, "Write it as a name, a colon and a value."))
    charset = re.search(r"charset=([^\s;]+)", fields.get("Content-Type", ""))
    if charset and charset[1].lower() not in ("utf-8", "utf8"):
        problem = f"The header says that the file is written in {charset[1]}; it is written in UTF-8."
        findings.append(refusal("po-header", where, problem, "Write charset=UTF-8 there."))
    return fields, findings


def _doubled(drafts: list[_Draft], file: str) -> list[Finding]:
    """Ids that occur twice: readers differ in which one they take."""
    first: dict[str, _Draft] = {}
    findings = []
    for draft in drafts:
        message_id = draft.texts.get("msgctxt")
        before = first.setdefault(message_id, draft) if message_id else draft
        if before is draft:
            continue
        other = ", with other English" if before.texts.get("msgid") != draft.texts.get("msgid") else ""
        problem = f"The id {message_id} stands on line {before.line} already{other}."
        remedy = "Keep one of the two entries."
        findings.append(refusal("po-doubled", f"{file}:{draft.line}", problem, remedy))
    return findings


def _entry(draft: _Draft, file: str) -> Entry:
    flags = [flag.strip() for line in draft.comments[","] for flag in line.split(",")]
    english = [draft.texts["msgid"]]
    english += [draft.texts["msgid_plural"]] if "msgid_plural" in draft.texts else []
    return Entry(
        id=draft.texts["msgctxt"],
        english=tuple(english),
        texts=tuple(text for key, text in draft.texts.items() if key.startswith("msgstr")),
        note=note_of(draft.comments["."]),
        fuzzy="fuzzy" in flags,
        previous=tuple(draft.was[key] for key in ("msgid", "msgid_plural") if key in draft.was),
        comments=_without_empty(draft.comments[""]),
        references=tuple(place for line in draft.comments[":"] for place in line.split()),
        flags=tuple(flag for flag in flags if flag not in ("", "fuzzy", "python-brace-format")),
        previous_id=draft.was.get("msgctxt", ""),
        where=f"{file}:{draft.line}",
    )


def _without_empty(lines: list[str]) -> tuple[str, ...]:
    """Remarks without the empty ones that some tools put above a header."""
    return tuple(line for line in lines if line)


def _line_of(finding: Finding) -> int:
    return int(finding.where.rpartition(":")[2])
