"""Which number now: at each hour of a week with a closed day the line offered is open, or the next opening is told."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, expect

from generator.plan.moments import zone_named
from tests.browser.served import PlansServer, free_port
from tests.browser.sources import sources
from tests.plans import built, copy_of_demo_unit

pytestmark = pytest.mark.browser
LONDON = zone_named("Europe/London")
# Good Friday and Easter Monday 2026, on which the demonstration's unit is closed; the clocks go forward on 29 March.
CLOSED = (dt.date(2026, 4, 3), dt.date(2026, 4, 6))
NURSES, WARD = "01632 960 145", "01632 960 182"
# Line -> (weekdays, first hour, hour after the last), as unit.toml below states them.
HOURS = {NURSES: [(range(5), 8, 17), (range(5, 6), 8, 12)], WARD: [(range(7), 6, 22)]}
LINES = """
[[line]]
id = "nurses"
shown = "01632 960 145"
dial = "+441632960145"
open = ["mon-fri 08:00-17:00", "sat 08:00-12:00"]
for = ["preparation", "illness"]

[[line]]
id = "ward"
shown = "01632 960 182"
dial = "+441632960182"
open = ["mon-sun 06:00-22:00"]
for = ["illness"]

"""


def is_open(line: str, moment: dt.datetime) -> bool:
    """By hand: weekday, hour, closed days."""
    if moment.date() in CLOSED:
        return False
    return any(moment.weekday() in days and first <= moment.hour < end for days, first, end in HOURS[line])


def test_the_line_offered_is_open_or_the_next_opening_is_told(pocket: BrowserContext, tmp_path: Path) -> None:
    unit, port = copy_of_demo_unit(tmp_path), free_port()
    text = (unit / "unit.toml").read_text("utf-8")
    before, rest = text[: text.index("[[line]]")], text[text.index("[emergency]") :]
    (unit / "unit.toml").write_text(before + LINES.lstrip() + rest, "utf-8")
    rows = tmp_path / "list.csv"
    rows.write_text(
        "Appt Ref,Appt Date,Appt Time,Adm Time,Procedure,Prep Code,Lang,Transport,Comments\n"
        "E-1,07/04/2026,14:00,13:30,COLON,PEGASC2,en,20,\n",
        "utf-8",
    )
    plans = built(
        tmp_path / "out",
        unit=unit,
        lists=(rows,),
        now="2026-03-27T08:00",
        base_url=f"http://localhost:{port}/",
    )
    first = dt.datetime(2026, 3, 31, tzinfo=LONDON)
    hours = [first + dt.timedelta(hours=hour) for hour in range(8 * 24)]
    with PlansServer(plans.data, port):
        page = pocket.new_page()
        page.goto(plans.links["E-1"])
        page.evaluate(sources("clock", "block", "due"))
        told = page.evaluate(
            """minutes => {
              const plan = daybefore.block.plan;
              return minutes.map(now => {
                const line = daybefore.due.line(plan, now);
                return [line === -1 ? '' : plan.lines[line][0], daybefore.due.opens(plan, now)];
              });
            }""",
            [int(moment.timestamp()) // 60 for moment in hours],
        )
        seen = {"nurses": 0, "ward": 0, "none": 0}
        for moment, (line, opens) in zip(hours, told, strict=True):
            expected = next((one for one in (NURSES, WARD) if is_open(one, moment)), "")
            assert line == expected, moment
            seen["nurses" if line == NURSES else "ward" if line else "none"] += 1
            if not line:
                later = next(
                    when
                    for step in range(1, 24 * 8)
                    if any(is_open(one, when := moment + dt.timedelta(hours=step)) for one in HOURS)
                )
                assert opens == int(later.timestamp()) // 60, moment
        assert min(seen.values()) > 20, seen

        # And so it stands on the page, on Easter Monday at three in the afternoon.
        page.close()
        page = pocket.new_page()
        page.clock.install(time=dt.datetime(2026, 4, 6, 15, tzinfo=LONDON))
        page.goto(plans.links["E-1"])
        page.locator("#first-yes").click()
        page.locator("#start-none").click()
        card = page.locator("#card-call")
        expect(card).to_contain_text("No line answers now. If you feel ill, ring 01632 960 999.")
        assert (
            card.inner_text()
            .translate(dict.fromkeys(range(0x2066, 0x206A)))
            .endswith("The next line opens on Tuesday, 06:00. Until then, keep to this page.")
        )
        expect(page.locator("#bar-phone")).to_be_hidden()
