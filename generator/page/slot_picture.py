"""The slot guide as a picture to print: one ink on white; a start that fits is plain, one that costs night is hatched,
one that cannot be prepared for is struck through. It says what it was made from, and until when that is signed.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from generator.plan.slots import NIGHT, NO, SlotGuide, SlotRow

_INK, _RULE = "#14493f", "#8d978f"
_WIDTH, _LEFT, _CELL, _ROW = 880, 92, 214, 20
_TOP = 176  # where the table begins
_KEY = 128  # height of the key below it
_SERIF = "Georgia, 'Noto Serif', serif"
_SANS = "'Noto Sans', 'DejaVu Sans', Arial, sans-serif"


@dataclass(frozen=True, slots=True)
class Stamp:
    """What a picture was made from: title and id of the protocol, its digest, until when it is signed, the unit."""

    title: str
    version: str
    valid_until: str
    unit: str
    night: str


def slot_svg(guide: SlotGuide, stamp: Stamp) -> bytes:
    """The guide as an SVG file, in the shape of a sheet of A4."""
    height = _TOP + _ROW * len(guide.times) + _KEY
    width = max(_WIDTH, _LEFT + _CELL * len(guide.travels) + 30)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'font-family="{_SANS}" font-size="13" fill="#1c2422" role="img" aria-labelledby="name">',
        f'<title id="name">{escape(f"Slots: {stamp.title}")}</title>',
        '<defs><pattern id="night" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        f'<path d="M0 0V6" stroke="{_INK}" stroke-width="1.6"/></pattern></defs>',
        f'<path fill="#fff" d="M0 0H{width}V{height}H0z"/>',
        *_head(guide, stamp),
        *(_line(guide, index) for index in range(len(guide.times))),
        *_key(_TOP + _ROW * len(guide.times), stamp),
        "</svg>\n",
    ]
    return "\n".join(parts).encode()


def _text(x: float, y: float, text: str, more: str = "") -> str:
    return f'<text x="{x:g}" y="{y:g}"{more}>{escape(text)}</text>'


def _head(guide: SlotGuide, stamp: Stamp) -> list[str]:
    right = _LEFT + _CELL * len(guide.travels)
    bold = f' font-family="{_SERIF}" font-weight="700" fill="{_INK}"'
    return [
        _text(24, 42, "Which start can be prepared for", f'{bold} font-size="23"'),
        _text(24, 68, stamp.title, ' font-size="15"'),
        _text(24, 90, f"Protocol {guide.protocol}, version {stamp.version}. {stamp.valid_until}"),
        _text(24, 110, f"{stamp.unit}. Hours on the unit's clock ({guide.zone})."),
        _text(24, _TOP - 14, "Start", ' font-weight="700"'),
        _text(_LEFT + 8, _TOP - 36, "Minutes' way to the unit", ' font-size="12"'),
        *(
            _text(_LEFT + _CELL * index + 8, _TOP - 14, str(travel), ' font-weight="700"')
            for index, travel in enumerate(guide.travels)
        ),
        f'<path stroke="{_INK}" stroke-width="1.5" d="M24 {_TOP - 4}H{right}"/>',
    ]


def _line(guide: SlotGuide, index: int) -> str:
    """One slot: its hour, and a cell for each way."""
    time, y = guide.times[index], _TOP + _ROW * index
    whole = time.minute == 0
    right = _LEFT + _CELL * len(guide.travels)
    parts = [
        _text(24, y + 14, f"{time:%H:%M}", ' font-weight="700"' if whole else ""),
        *(_cell(row, _LEFT + _CELL * number, y) for number, row in enumerate(guide.at(time))),
        f'<path stroke="{_RULE}" stroke-width="{0.9 if time.minute == 45 else 0.4}" d="M24 {y + _ROW - 2}H{right}"/>',
    ]
    return "".join(parts)


def _cell(row: SlotRow, x: int, y: int) -> str:
    """Plain with the hour of the first step; hatched with it; or struck through."""
    if row.fits == NO:
        return _text(x + 8, y + 14, "no") + _strike(x, y)
    told = row.hours + row.quiet
    if row.fits == NIGHT:
        room = _CELL - 16 - _room(told)
        hatch = f'<path fill="url(#night)" d="M{x + 8 + _room(told)} {y + 1}h{room}v{_ROW - 5}h-{room}z"/>'
        return _text(x + 8, y + 14, told) + hatch
    return _text(x + 8, y + 14, told)


def _strike(x: int, y: int) -> str:
    return f'<path stroke="{_INK}" stroke-width="1.4" d="M{x + 30} {y + 13}L{x + _CELL - 8} {y + 5}"/>'


def _room(text: str) -> int:
    """How wide a text is at most, in the picture's units: a little more than its letters."""
    return 15 * len(text) // 2 + 6


def _key(y: int, stamp: Stamp) -> list[str]:
    """What the marks mean, in words."""
    words = _LEFT + 104
    few = "“min”: so little is left from the last glass to leaving home; the unit wishes for more."
    costs = (
        f"A step lies in the unit's night ({stamp.night}); “or”: one that would leave more of those minutes."
    )
    whom = "For a patient without special circumstances. The plan itself is made for each booking."
    return [
        _text(_LEFT + 8, y + 32, "07:00"),
        _text(
            words,
            y + 32,
            "It fits. The hour: the first step from the night on. “to”: the evening lasts until then.",
        ),
        _text(words, y + 53, few),
        f'<path fill="url(#night)" d="M{_LEFT + 4} {y + 63}h84v15h-84z"/>',
        _text(words, y + 75, costs),
        _text(_LEFT + 8, y + 97, "no"),
        f'<path stroke="{_INK}" stroke-width="1.4" d="M{_LEFT + 30} {y + 96}L{_LEFT + 88} {y + 88}"/>',
        _text(words, y + 97, "No times keep every rule of the protocol: another start or protocol."),
        _text(24, y + 120, whom, ' font-size="12"'),
    ]
