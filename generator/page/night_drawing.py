"""The night: a band from evening to morning, hatched where it is night, with the clock's hours to get up for below it.

Told from left to right; `drawing.mirrored` turns the band round, not the clock faces.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from itertools import pairwise

from generator.page.drawing import HEAD, TAIL, TINT, hands, hatching, spread

_LEFT, _RIGHT, _TOP, _BOTTOM = 10.0, 310.0, 60.0, 96.0
_AROUND = dt.timedelta(hours=1)  # before the first hour and after the last
_EVENING = dt.timedelta(hours=4)  # so much of the day before is seen, for its leaf of the calendar
_DIAL, _DIAL_Y, _BETWEEN, _EDGE = 21, 164, 58.0, 34.0
_BED = 76.0  # room that the bed takes between two clocks


def night_drawing(moments: Sequence[dt.datetime], dark: tuple[dt.datetime, dt.datetime]) -> str:
    """The drawing.

    Args:
        moments: two or three, in order, from the evening to the morning; all in one zone.
        dark: the unit's night between them.
    """
    day = dt.datetime.combine(dark[1].date(), dt.time(), dark[1].tzinfo)
    first = min(moments[0], dark[0], day - _EVENING) - _AROUND
    last = max(moments[-1], dark[1]) + _AROUND
    whole = last.timestamp() - first.timestamp()

    def place(moment: dt.datetime) -> float:
        return round(_LEFT + (_RIGHT - _LEFT) * (moment.timestamp() - first.timestamp()) / whole, 1)

    midnight = place(day)
    notches = [place(moment) for moment in moments]
    clocks = spread(notches, _BETWEEN, _EDGE, 320 - _EDGE)
    hatch = "".join(hatching(place(dark[0]), place(dark[1]), _TOP, _BOTTOM, 9))
    parts = [
        f'<path d="M{_LEFT:g} {_TOP:g}H{_RIGHT:g}V{_BOTTOM:g}H{_LEFT:g}z{hatch}"/>',
        _moon([place(dark[0]), *sorted([midnight, *notches]), place(dark[1])]),
        _days(midnight),
        *(
            _clock(notch, clock, moment.time())
            for notch, clock, moment in zip(notches, clocks, moments, strict=True)
        ),
        _bed(clocks),
    ]
    return HEAD + "".join(parts) + TAIL


def _moon(marks: Sequence[float]) -> str:
    """The moon where the night has most room between its ends and what is marked in it."""
    inside = [mark for mark in marks if marks[0] <= mark <= marks[-1]]
    x = max((b - a, (a + b) / 2) for a, b in pairwise(inside))[1]
    return (
        f'<circle cx="{x:g}" cy="78" r="15" fill="#fff" stroke="none"/>'
        f'<path fill="{TINT}" d="M{x + 3:g} 68a11 11 0 1 0 7 14a9 9 0 0 1-7-14z"/>'
    )


def _days(midnight: float) -> str:
    """The stroke at which the day changes, and a calendar's leaf for each of the two days."""
    leaf = "h40v32h-40zm0 10h40m-30-15v9m20-9v9"
    return (
        f'<path stroke-width="5" d="M{midnight:g} 10v108"/>'
        f'<path d="M{midnight - 52:g} 14{leaf}M{midnight + 12:g} 14{leaf}"/>'
    )


def _clock(notch: float, x: float, hour: dt.time) -> str:
    """A notch in the band, and below it an alarm clock that shows the hour."""
    return (
        f'<path stroke-width="5" d="M{notch:g} {_BOTTOM - 12:g}V{_BOTTOM + 12:g}"/>'
        f'<path d="M{notch:g} {_BOTTOM + 12:g}L{x:g} {_DIAL_Y - _DIAL - 12}"/>'
        f'<g class="k" transform="translate({x:g} {_DIAL_Y})"><circle r="{_DIAL}"/>'
        f'<path fill="{TINT}" d="M-19-14a8 8 0 0 1 11-9zM19-14a8 8 0 0 0-11-9z"/>'
        f'<path d="M-13 17l-5 8M13 17l5 8"/>{hands(hour, 15)}</g>'
    )


def _bed(clocks: Sequence[float]) -> str:
    """A bed in the widest room before or between the clocks, if one is wide enough."""
    room, x = max((b - a - 2 * _DIAL, (a + b) / 2) for a, b in pairwise([_LEFT - _DIAL, *clocks]))
    if room < _BED:
        return ""
    return (
        f'<path fill="{TINT}" d="M{x - 8:g} 158q22-14 38 4v8h-38z"/>'
        f'<path d="M{x - 32:g} 140v48m0-18h64m0-14v32m-60-22a8 6 0 0 1 20 0z"/>'
    )
