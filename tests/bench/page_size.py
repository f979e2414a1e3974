"""What a page weighs, with the screen's style sheet in it, gzipped, for each language that is whole; the style sheet of
paper; the scripts; and all that a phone fetches to keep a plan in one language offline.

Limits: 28 KiB in Latin letters, 36 KiB in any other; 2 KiB for paper; 12 KiB for the scripts; 100 KiB for one language
with its pictures. Exit 1 if anything is heavier.
"""

from __future__ import annotations

import gzip
import json
import re
import sys
import tempfile
from pathlib import Path

from babel import Locale

from generator.words.letters import script_of_language
from tests.command import run_json
from tests.languages import HEADING, SHIPPED, whole

LATIN, OTHER = 28 * 1024, 36 * 1024
PAPER, SCRIPTS, OFFLINE = 2 * 1024, 12 * 1024, 100 * 1024


def gzipped(*files: Path) -> int:
    """Bytes on the way to the phone; an icon is compressed in itself already."""
    return sum(
        path.stat().st_size if path.suffix == ".png" else len(gzip.compress(path.read_bytes(), 9))
        for path in files
    )


def kept(folder: Path) -> set[Path]:
    """The worker, and all files that it fetches for a plan; the shared ones are those that its pages name."""
    worker = folder / "sw.js"
    list_of = json.loads(worker.read_text("utf-8").partition("=")[2].partition(";\n")[0])
    names = [*list_of["pages"], *list_of["files"]]
    shared = re.findall(r'"(../../a/[^"]+)"', (folder / "index.html").read_text("utf-8"))
    ours = ("index.html" if name == "./" else name for name in names)
    return {worker, *(folder / name for name in (*ours, *shared))}


def line(what: str, weight: int, limit: int) -> bool:
    """Says it, and whether it is too heavy."""
    print(f"{what:8} {weight:6} bytes of {limit}{'' if weight <= limit else '  TOO MUCH'}")
    return weight > limit


def main() -> None:
    """Prints a line for each language, the heaviest of all protocols."""
    place = Path(tempfile.mkdtemp())
    tags = whole(SHIPPED)
    codes = ("PEGASC2", "PICOMG")
    rows = [f"{tag}-{code},18/03/2026,11:30,11:00,COLON,{code},{tag},,\n" for tag in tags for code in codes]
    (place / "list.csv").write_text(HEADING + "".join(rows), "utf-8")
    words = ("--unit", Path("demo/unit"), "--out", place / "out", "--now", "2026-03-10T08:00")
    said = run_json("build", place / "list.csv", *words)
    [script] = (place / "out/public/a").glob("*/page.js")
    weights: dict[str, int] = {}
    offline = 0
    for row in said["files"][0]["rows"]:
        page = place / "out/public/p" / row["link"].split("/")[-2] / "index.html"
        tag = row["ref"].rpartition("-")[0]
        weight = gzipped(page)
        weights[tag] = max(weight, weights.get(tag, 0))
        offline = max(offline, gzipped(*kept(page.parent)))
    over = False
    for tag, weight in sorted(weights.items(), key=lambda one: one[1]):
        latin = script_of_language(tag, Locale.parse(tag, sep="-")) == "LATIN"
        over |= line(tag, weight, LATIN if latin else OTHER)
    over |= line("paper", gzipped(script.parent / "paper.css"), PAPER)
    over |= line("scripts", gzipped(script, page.parent / "sw.js"), SCRIPTS)
    over |= line("offline", offline, OFFLINE)
    sys.exit(over)


if __name__ == "__main__":
    main()
