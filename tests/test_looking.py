"""At which moments what comes out means what: literal moments, from the demonstration's protocols as they plan them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.command import DEMO_UNIT, run
from tests.languages import HEADING
from tests.looks import PLANS, minute, times_of
from tests.plans import built, copy_of_demo_unit

BOOKED = {name: plan["booking"] for name, plan in PLANS.items() if "booking" in plan}


def looks(place: Path, unit: Path, booked: dict[str, list[str]]) -> Iterator[tuple[str, Any]]:
    """The moments that the pages of some bookings carry."""
    references = {f"R{number}": name for number, name in enumerate(booked)}
    rows = [
        f"{ref},{day},{start},{there},COLON,{code},en,,\n"
        for ref, (day, start, there, code) in zip(references, booked.values(), strict=True)
    ]
    (place / "list.csv").write_text(HEADING + "".join(rows), "utf-8")
    plans = built(place / "data", unit=unit, lists=(place / "list.csv",))
    for ref, name in references.items():
        page = (plans.folder(ref) / "index.html").read_text("utf-8")
        yield name, json.loads(page.split('id="plan">', 1)[1].split("</script>", 1)[0])["look"]


def test_the_page_carries_the_moments_of_its_own_protocol(tmp_path: Path) -> None:
    """Common practice, no source; by hand from the rows of the demonstration's protocols.

    Two litres at 09:30: last dose 05:30 to 06:30, drinks until 07:00, the look at once, for nothing may be taken
    from 07:30 and half an hour of room is stated. Three hours after 18:00 it is 21:00.
    """
    assert dict(looks(tmp_path, DEMO_UNIT, BOOKED)) == {name: times_of(name) for name in BOOKED}


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        # An hour of room is stated, and the day leaves half of it: less than stated from the look on.
        ("room_minutes = 30", "room_minutes = 60", {"counts": "07:00", "short": "07:00"}),
        # No look in the protocol: what comes out counts from the last clear drink.
        (
            'id = "look"\nkind = "check"',
            'id = "look"\nkind = "check"\ncheck = "movement"',
            {"counts": "07:00", "short": "07:30"},
        ),
    ],
)
def test_the_protocol_decides(tmp_path: Path, old: str, new: str, expected: dict[str, str]) -> None:
    unit = copy_of_demo_unit(tmp_path)
    path = unit / "protocols" / "peg-ascorbate-split.toml"
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), "utf-8")
    words = ("--unit", unit, "--role", "lead", "--review-by", "2036-01-05", "--now", "2026-01-05T08:00")
    signed = run("protocol", "sign", "protocols/peg-ascorbate-split.toml", *words)
    assert signed.exit_code == 0, signed.output
    [(_, look)] = looks(tmp_path, unit, {"split": BOOKED["split"]})
    assert {name: look[name] for name in expected} == {
        name: minute(f"2026-03-18T{time}+00:00") for name, time in expected.items()
    }
