"""The lines of a .po file: what one may be, and what is wrong with one that is something else."""

from __future__ import annotations

import re

from generator.finding import Finding, refusal

KEYWORD = re.compile(r"(msgctxt|msgid_plural|msgid|msgstr(?:\[(\d)\])?)[ \t]*(?=\W|$)(.*)")
STRING = re.compile(r'"((?:[^"\\\x00-\x08\x0a-\x1f\x7f]|\\[ntr"\\])*)"[ \t]*')
# An entry as `po_text` writes it: no remark of a translator, nothing that is escaped, one form, a blank line after it.
_PLAIN = r'"([^"\\\x00-\x08\x0a-\x1f\x7f]*)"'
_SOME = _PLAIN.replace("*)", "+)")
WHOLE_ENTRY = re.compile(
    r"(?:#\. ([^\n]*)\n)?(?:#, (python-brace-format)\n)?"
    rf"msgctxt {_SOME}\nmsgid {_SOME}\nmsgstr {_PLAIN}\n(?=\n|\Z)"
)
_CONFLICT = ("<<<<<<<", "|||||||", "=======", ">>>>>>>")
_CURLY = "“”„‟«»″＂"


def line_finding(line: str, where: str, *, known: bool) -> Finding:
    """What is wrong with a line, as a translator would say it.

    Args:
        known: the line is sound in itself, and stands where none like it may.
    """
    if line.startswith(_CONFLICT):
        problem = "Two versions of the file were put together and not settled here."
        remedy = (
            "Keep one of the two versions and delete the lines that begin with <<<<<<<, ======= and >>>>>>>."
        )
    elif known:
        problem = "This line does not belong to the entry above it."
        remedy = (
            "Each entry has one msgctxt, one msgid and one msgstr, in this order. Delete what is too much."
        )
    elif not KEYWORD.fullmatch(line) and not line.startswith(('"', *_CURLY)):
        problem = "This line begins with none of the words that such a file knows."
        remedy = (
            "Begin it with msgctxt, msgid or msgstr in small letters, a straight quote, or # for a remark."
        )
    elif any(mark in line for mark in _CURLY) and line.count('"') < 2:
        problem = "The quotes around the text are not straight ones."
        remedy = 'Write " at both ends of the text; other quotes may stand inside it.'
    elif line.count('"') - line.count('\\"') < 2:
        problem = "A straight quote is missing at an end of the text."
        remedy = 'Write " at both ends of the text, all on one line.'
    elif line.count('"') - line.count('\\"') > 2:
        problem = "A straight quote stands inside the text."
        remedy = 'Write \\" for a straight quote inside a text, or use the quotes of your language.'
    elif not line.endswith('"'):
        problem = "Something stands behind the text."
        remedy = "End the line after the closing quote; what follows goes on a line of its own."
    elif re.match(r"[a-z_\[\]\d]+[^\x00-\x7f]", line):
        problem = "Something that looks like a blank, and is none, stands before the text."
        remedy = "Delete it and type a blank."
    else:
        problem = "The text holds a sign that such a file cannot hold."
        remedy = "After a backslash only n, t, r, a quote or a backslash may stand. Delete other signs."
    return refusal("po-line", where, problem, remedy)


def note_of(lines: list[str]) -> str:
    """The note on one line again; some tools break lines at the hyphen of a word."""
    note = ""
    for line in map(str.strip, lines):
        glue = "" if not note or (note[-1] == "-" and note[-2:-1].isalpha()) else " "
        note += glue + line
    return note
