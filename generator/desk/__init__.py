"""The desk: what may be done with a booking, in plain calls: make, move, change, hold, release, cancel, end, expire.

Each may be done again without harm, and each is refused, with a finding, where another command was quicker.
"""

from __future__ import annotations

from generator.desk.making import make_rows, read
from generator.desk.moving import change, hold, move, release
from generator.desk.parting import cancel, end, expire
from generator.desk.publishing import Made
from generator.desk.rendering import Desk
from generator.desk.upkeep import repair, republish

__all__ = [
    "Desk",
    "Made",
    "cancel",
    "change",
    "end",
    "expire",
    "hold",
    "make_rows",
    "move",
    "read",
    "release",
    "repair",
    "republish",
]
