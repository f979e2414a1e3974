"""The drawings as files: light, in one ink and at most one tint, without letters, lines that are seen when small."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from generator.materials.shipped import read_shipped, shipped_folder

DRAWINGS = sorted((shipped_folder("static") / "page" / "pictures").glob("*.svg"))


BOWLS = {f"bowl-{one}.svg" for one in ("seen", "hidden", "flecks", "bits", "pale", "brown")}


def test_these_are_the_same_in_every_plan() -> None:
    """The others are made for each plan: tests/test_drawings.py."""
    names = BOWLS | {"read-through.svg", "jug-glass.svg", "way.svg", "table.svg", "clean.svg"}
    assert {path.name for path in DRAWINGS} == names
    assert {name for name in read_shipped().assets if name.startswith("pictures/")} == {
        f"pictures/{name}" for name in names
    }


@pytest.mark.parametrize("path", DRAWINGS, ids=[path.stem for path in DRAWINGS])
def test_a_drawing_keeps_the_rules(path: Path) -> None:
    """Common practice, no source: 3 KiB, 3 px lines with round ends, one ink, one tint, nothing to read, no shades."""
    text = path.read_text("utf-8")
    assert len(text.encode()) <= 3072
    root = ElementTree.fromstring(text)
    assert root.attrib["viewBox"] == "0 0 320 200"
    assert (root.attrib["stroke"], root.attrib["stroke-linecap"]) == ("#1c2422", "round")
    widths = [float(width) for width in re.findall(r'stroke-width="([\d.]+)"', text)]
    assert widths[0] == 3
    assert min(widths) == 3
    assert {element.tag.rpartition("}")[2] for element in root.iter()} <= {
        "svg",
        "path",
        "g",
        "clipPath",
        "circle",
        "ellipse",
    }
    tints = set(re.findall(r"#[0-9a-f]{3,6}\b", text)) - {"#1c2422", "#fff"}
    assert len(tints) == (0 if path.name in BOWLS - {"bowl-pale.svg", "bowl-brown.svg"} else 1)
    assert not re.search(r"gradient|opacity|filter|href|style=|<text|<script", text, re.IGNORECASE)
