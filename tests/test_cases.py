"""Equal cases are solved once: what comes out is what each booking alone would get."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from generator.clinic.booking import Booking, OtherProcedure
from generator.clinic.protocol import MedicineGap
from generator.materials.unit_folder import read_unit_folder
from generator.plan.cases import Cases
from generator.plan.moments import instants_of, later
from generator.plan.planning import timetable_for
from tests.command import DEMO_UNIT

FOLDER = read_unit_folder(DEMO_UNIT)
CASES = Cases(FOLDER.unit, FOLDER.regimens, FOLDER.stated)
# Around the clock changes of 29 March and 25 October 2026 in London, Easter, Christmas, and between them.
DAYS = st.one_of(
    st.dates(dt.date(2026, 3, 20), dt.date(2026, 4, 10)),
    st.dates(dt.date(2026, 10, 20), dt.date(2026, 11, 3)),
    st.dates(dt.date(2026, 1, 1), dt.date(2027, 12, 31)),
)


@settings(max_examples=150)
@given(
    day=DAYS,
    slot=st.integers(30, 73),
    travel=st.sampled_from([None, 20, 75]),
    factors=st.sampled_from([(), ("constipation",)]),
    instructions=st.sampled_from([(), ("iron-week",)]),
    ahead=st.sampled_from([None, 20, 40, 200, 400]),
    data=st.data(),
)
def test_a_shifted_case_is_the_case_solved_anew(
    day: dt.date,
    slot: int,
    travel: int | None,
    factors: tuple[str, ...],
    instructions: tuple[str, ...],
    ahead: int | None,
    data: st.DataObject,
) -> None:
    clock = dt.time(slot // 4, slot % 4 * 15)
    fitting = [name for name, protocol in FOLDER.regimens.items() if protocol.slots.hold(clock)]
    assume(fitting)
    name = data.draw(st.sampled_from(fitting))
    start = instants_of(FOLDER.unit.zone, day, clock)[0]
    booking = Booking(
        "r", start, name, ("en",), travel_minutes=travel, factors=factors, instructions=instructions
    )
    now = None if ahead is None else later(start, -60 * ahead)
    alone = timetable_for(booking, FOLDER.regimens[name], FOLDER.unit, now, FOLDER.stated)
    assert CASES.timetable(booking, now) == alone
    assert CASES.timetable(booking, now) == alone  # and again, now that it is known


def test_what_differs_in_anything_is_another_case() -> None:
    start = instants_of(FOLDER.unit.zone, dt.date(2026, 6, 16), dt.time(9))[0]
    plain = Booking("r", start, "peg-ascorbate-split", ("en",))
    others = [
        Booking("r", start, "peg-ascorbate-split", ("en",), **more)
        for more in (
            {"travel_minutes": 30},
            {"arrival": later(start, -45)},
            {"pick_up": later(start, -90)},
            {"latest_start": later(start, 60)},
            {"provisional": True},
            {"sedation": "none"},
            {"factors": ("low-sodium-risk",)},
            {"medicines": ("iron",), "call_first": ("iron",)},
            {"medicines": ("iron",)},
            {"instructions": ("iron-week",)},
            {"others": (OtherProcedure("gastroscopy", later(start, -30)),)},
        )
    ]
    for booking in (plain, *others, plain):
        alone = timetable_for(booking, FOLDER.regimens[booking.protocol], FOLDER.unit, None, FOLDER.stated)
        assert CASES.timetable(booking, None) == alone


def test_the_gap_of_ones_own_medicines_may_reach_behind_a_clock_change() -> None:
    """72 hours before 18:00 on Tuesday 31 March 2026 is 17:00 on Saturday: the clocks went forward on Sunday."""
    name = "peg-ascorbate-split"
    protocol = FOLDER.regimens[name]
    wide = replace(protocol, usual_medicines=MedicineGap(72 * 60, 0, "s"))
    cases = Cases(FOLDER.unit, {name: wide}, FOLDER.stated)
    for day in (dt.date(2026, 6, 16), dt.date(2026, 4, 1)):
        start = instants_of(FOLDER.unit.zone, day, dt.time(9))[0]
        found = cases.timetable(Booking("r", start, name, ("en",)), None)
    assert f"{found.step('usual-medicines-evening-dose').start:%d %H:%M}" == "28 17:00"
