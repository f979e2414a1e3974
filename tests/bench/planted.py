"""How many planted faults the checks find, beside what other tools say of the same files.

    python -m tests.bench.planted [--each]

Counts per language: faults that must stop a sentence and are found, those that are only to be told and are told,
and what is said of the sound twins. Other tools judge each on its own terms: msgfmt stops at the whole file (lines
it names are counted), Babel's check and pofilter name entries. `--each` prints what is missed.
"""

from __future__ import annotations

import argparse
import csv
import io
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from babel.messages.pofile import PoFileError, read_po

from generator.finding import Severity
from generator.words.message import Message
from generator.words.po import read_po_file
from generator.words.whole_file import file_findings, remarks_on

FOLDER = Path(__file__).parent.parent / "examples" / "words"
TAGS = ("pl", "ar", "bn")
# pofilter's tests that are of use for sentences; the others are about menus, paths and spelling.
POFILTERS = (
    "pythonbraceformat,xmltags,nplurals,untranslated,isfuzzy,blank,unchanged,numbers,brackets,endpunc,doublewords,"
    "newlines,endwhitespace,startwhitespace,sentencecount"
)


@dataclass(frozen=True, slots=True)
class Planted:
    """A fault that was planted: where, and what a check owes for it."""

    id: str
    kind: str
    must: str
    what: str


def planted(tag: str) -> list[Planted]:
    """The faults of a language's file."""
    with (FOLDER / f"{tag}.faults.csv").open(encoding="utf-8", newline="") as file:
        return [Planted(**row) for row in csv.DictReader(file)]


def messages_of(tag: str) -> dict[str, Message]:
    """The messages that the sound file holds, in its own English: the program's may have changed since."""
    po, _ = read_po_file((FOLDER / f"{tag}.clean.po").read_bytes(), tag)
    return {
        entry.id: Message(entry.id, entry.english[0], "As in the file.", *entry.english[1:])
        for entry in po.entries
    }


def ours(path: Path, tag: str) -> dict[str, Severity]:
    """The worst that our checks say of each id."""
    assert file_findings(path.read_bytes(), tag, path.name) == []
    told = remarks_on(path.read_bytes(), tag, path.name, messages_of(tag))
    worst: dict[str, Severity] = {}
    for remarks in told:
        severities = {finding.severity for finding in remarks.findings}
        worst[remarks.id] = Severity.REFUSE if Severity.REFUSE in severities else Severity.WARN
    return worst


def by_msgfmt(path: Path, tag: str) -> set[str]:
    """Ids of entries on whose lines `msgfmt -c` has something to say."""
    run = subprocess.run(["msgfmt", "-c", "-o", "/dev/null", path], capture_output=True, check=False)
    lines = {int(found) for found in re.findall(r":(\d+):", run.stderr.decode("utf-8", "replace"))}
    po, _ = read_po_file(path.read_bytes(), path.name)
    begun = [(int(entry.where.rpartition(":")[2]), entry.id) for entry in po.entries]
    return {max(at for at in begun if at[0] <= line)[1] for line in lines if line >= begun[0][0]}


def by_babel(path: Path, tag: str) -> set[str]:
    """Ids of entries that Babel's reader drops or its check names."""
    try:
        catalog = read_po(io.BytesIO(path.read_bytes()), locale=tag, abort_invalid=True)
    except (PoFileError, ValueError):
        return set()
    return {str(message.context) for message, errors in catalog.check() if errors}


def by_pofilter(path: Path, tag: str) -> set[str]:
    """Ids of entries that pofilter writes out."""
    tool = shutil.which("pofilter") or str(Path(sys.executable).with_name("pofilter"))
    with tempfile.NamedTemporaryFile(suffix=".po") as out:
        arguments = ["--progress=none", f"--language={tag}", "-t", POFILTERS.split(",")[0]]
        for test in POFILTERS.split(",")[1:]:
            arguments += ["-t", test]
        subprocess.run([tool, *arguments, path, out.name], capture_output=True, check=False)
        return set(re.findall(r'^msgctxt "(.*)"', Path(out.name).read_text("utf-8"), re.MULTILINE))


OTHERS: dict[str, Callable[[Path, str], set[str]]] = {
    "msgfmt -c": by_msgfmt,
    "Babel check": by_babel,
    "pofilter": by_pofilter,
}


def main() -> None:
    """Prints the figures."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--each", action="store_true")
    each = parser.parse_args().each
    for tag in TAGS:
        faults = planted(tag)
        worst, quiet = ours(FOLDER / f"{tag}.faulty.po", tag), ours(FOLDER / f"{tag}.clean.po", tag)
        blocking = [fault for fault in faults if fault.must == "blocking"]
        warnings = [fault for fault in faults if fault.must == "warning"]
        stopped = [fault for fault in blocking if worst.get(fault.id) is Severity.REFUSE]
        told = [fault for fault in warnings if fault.id in worst]
        alarms = [f"{key} ({severity})" for key, severity in quiet.items()]
        print(
            f"{tag}: of {len(blocking)} that must stop, stopped {len(stopped)}; of {len(warnings)} to tell, told "
            f"{len(told)}; on the sound twin {alarms or 'nothing'}"
        )
        for name, tool in OTHERS.items():
            found, false = (tool(FOLDER / f"{tag}.{what}.po", tag) for what in ("faulty", "clean"))
            hit = [sum(fault.id in found for fault in group) for group in (blocking, warnings)]
            print(f"    {name}: {hit[0]} and {hit[1]}; on the sound twin {len(false)}")
        if each:
            for fault in (*blocking, *warnings):
                if fault not in stopped and fault not in told:
                    print(f"    missed: {fault.id}: {fault.kind} ({fault.must}): {fault.what}")


if __name__ == "__main__":
    main()
