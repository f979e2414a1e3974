"""How early and how late rows may start, by hand from the rows below; the clocks go forward in between."""

from __future__ import annotations

import datetime as dt
import tomllib

from generator.clinic.protocol import protocol_from
from generator.clinic.unit import unit_from
from generator.plan.fixed import fixed_for
from generator.plan.moments import instants_of
from generator.plan.reach import reaches_for
from tests.command import DEMO_UNIT

PROTOCOL = """
title = "t"
composition = "c"
product = "p"
pieces = 1
sources = ["s"]
slots = { since = "00:00", until = "23:59" }
row = [
  { id = "a", source = "s", kind = "mix", at = "18:00", day = -1 },
  { id = "b", source = "s", kind = "drink", glasses = 4, ml = 250, minutes = 9, after = AFTER_A },
  { id = "c", source = "s", kind = "check", after = { row = "b", at_least = 1, counted_from = "end" } },
  { id = "d", source = "s", kind = "tablets", tablets = 4, before = "leaving", hours = 1.5 },
  { id = "f", source = "s", kind = "call", windows = [{ until = { before = "a", hours = -1 } }] },
]
""".replace("AFTER_A", '{ row = "a", at_least = 0.5, at_most = 2 }')


def test_rows_are_bounded_by_what_they_count_from() -> None:
    """Procedure at 09:00 on 29 March 2026 in London; be there at 08:30; 30 minutes' way, so leave at 08:00."""
    protocol, findings = protocol_from(tomllib.loads(PROTOCOL), "p", "p.toml")
    unit, _ = unit_from(tomllib.loads((DEMO_UNIT / "unit.toml").read_text("utf-8")), "unit.toml")
    assert findings == []
    start = instants_of("Europe/London", dt.date(2026, 3, 29), dt.time(9))[0]
    told = {
        name: (f"{reach.earliest:%d %H:%M}", f"{reach.latest:%d %H:%M}")
        for name, reach in reaches_for(protocol, fixed_for(start, None, None, unit)).items()
    }
    assert told == {
        "a": ("28 18:00", "28 18:00"),
        "b": ("28 18:30", "28 20:00"),
        "c": ("28 20:06", "28 21:36"),  # an hour after the 36 minutes of “b”, as soon as it may
        "d": ("29 06:30", "29 06:30"),
        "f": ("28 19:00", "28 19:00"),
    }
