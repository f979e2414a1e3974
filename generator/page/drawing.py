"""Drawing: a source from static/page/drawn/ made into one plan's picture: parts left out, hands set, sides changed.

Sources have optional parts `<g id="name">…</g>`, blanks `{name}`, and parts that are never mirrored
`<g class="k" transform="translate(x y)">…</g>`, drawn about their own middle.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import math
import re
from collections.abc import Collection, Iterator

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 200" fill="none" stroke="#1c2422" stroke-width="3" '
    'stroke-linecap="round" stroke-linejoin="round">'
)
TINT = "#cfe0d3"
TAIL = "</svg>"
_KEPT = re.compile(r'<g class="k" transform="translate\(([-\d.]+) ([-\d.]+)\)">')
_PART = re.compile(r'<g id="([a-z-]+)">')
_TAGS = re.compile(r"<g[ >]|</g>")


def with_parts(source: str, names: Collection[str]) -> str:
    """The drawing with only those of its optional parts; all else stands."""
    while found := _PART.search(source):
        begin, inside = found.span()
        end = _end_of(source, inside)
        part = source[inside : end - len("</g>")] if found[1] in names else ""
        source = source[:begin] + part + source[end:]
    return source


def parts_of(source: str) -> dict[str, str]:
    """Each optional part's own drawing, by name."""
    return {
        found[1]: source[found.end() : _end_of(source, found.end()) - len("</g>")]
        for found in _PART.finditer(source)
    }


def _end_of(source: str, inside: int) -> int:
    """Where the group ends whose content begins at `inside`."""
    depth = 1
    for tag in _TAGS.finditer(source, inside):
        depth += 1 if tag[0] != "</g>" else -1
        if depth == 0:
            return tag.end()
    raise ValueError("a part of a drawing does not end")


def filled(source: str, **blanks: str) -> str:
    """The drawing with its blanks filled in."""
    for name, text in blanks.items():
        source = source.replace(f"{{{name}}}", text)
    return source


def mirrored(source: str) -> str:
    """The drawing for languages that run from right to left: sides change, what must not be mirrored stays upright."""
    begin, end = source.index(">") + 1, source.rindex(TAIL)
    upright = _KEPT.sub(r'<g transform="translate(\1 \2)scale(-1 1)">', source[begin:end])
    return f'{source[:begin]}<g transform="matrix(-1 0 0 1 320 0)">{upright}</g>{source[end:]}'


def hands(hour: dt.time, length: float) -> str:
    """The two hands of a clock face about (0, 0), the hour's thick; `length` of the other, in its units."""
    minutes = hour.hour % 12 * 60 + hour.minute
    short, long = _at(minutes / 720, length * 0.55), _at(hour.minute / 60, length)
    return f'<path d="M0 0L{long}"/><path stroke-width="6" d="M0 0L{short}"/>'


def sector(share: float, radius: float) -> str:
    """A share of a clock face about (0, 0), from the top on, filled with the tint: how long something takes."""
    if share >= 1:
        return f'<circle r="{radius:g}" fill="{TINT}"/>'
    large = int(share > 0.5)
    return (
        f'<path fill="{TINT}" d="M0 0V{-radius:g}A{radius:g} {radius:g} 0 {large} 1 {_at(share, radius)}z"/>'
    )


def _at(share: float, length: float) -> str:
    """The point so far round a clock face, from the top on."""
    turn = 2 * math.pi * share
    return f"{length * math.sin(turn):.1f} {-length * math.cos(turn):.1f}"


def spread(wished: list[float], least: float, low: float, high: float) -> list[float]:
    """Places as near to the wished ones as at least `least` between neighbours allows, from `low` to `high`.

    Args:
        wished: in ascending order; there is room for all of them.
    """
    places = list(wished)
    for index in range(len(places)):
        places[index] = max(places[index], low if index == 0 else places[index - 1] + least)
    for index in reversed(range(len(places))):
        places[index] = min(places[index], high if index == len(places) - 1 else places[index + 1] - least)
    return places


def file_name(name: str, drawing: str) -> str:
    """A name that another drawing never has, so that plans with the same drawing share one file."""
    return f"{name}-{hashlib.sha256(drawing.encode()).hexdigest()[:8]}.svg"


def hatching(left: float, right: float, top: float, bottom: float, pitch: float) -> Iterator[str]:
    """Slanting lines within a box, cut off at its sides: subpaths."""
    deep = bottom - top
    x = left - deep + pitch
    while x < right:
        x1, x2 = max(x, left), min(x + deep, right)
        yield f"M{x1:g} {bottom - (x1 - x):g}L{x2:g} {bottom - (x2 - x):g}"
        x += pitch
