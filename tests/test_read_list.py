"""A real-shaped list (cp1252, day first, no offsets) read with the demonstration unit's mapping.

The expected verdicts, starts and kinds are the list's correct reading, worked out by hand from the list, the
unit's hours and closed days (Good Friday 3 April 2026), and the clock change of 29 March 2026.
"""

from __future__ import annotations

from tests.command import DEMO_UNIT, EXAMPLES, run_json

LIST = EXAMPLES / "lists" / "02_uk_cp1252_ddmm.csv"

EXPECTED = {
    "EN-20881": ("accept", "2026-03-25T09:30+00:00", set()),
    "EN-20882": (
        "warn",
        "2026-04-04T09:15+01:00",
        {"needs-unit-instruction:anticoagulant", "weekend", "holiday-in-plan", "time-normalised"},
    ),
    "EN-20883": ("reject", None, {"date-invalid", "date-order-contradiction"}),
    "EN-20884": ("warn", "2026-04-05T09:15+01:00", {"weekend", "combined-procedure", "time-normalised"}),
    "EN-20885": ("reject", None, {"time-nonexistent", "time-outside-hours"}),
    "EN-20886": ("warn", "2026-03-17T08:30+00:00", {"short-notice", "needs-unit-instruction:iron"}),
    "EN-20887": ("reject", None, {"past"}),
    "EN-20888": ("warn", "2026-03-26T14:00+00:00", {"field-overflow"}),
    "EN-20889": ("reject", None, {"arrival-after-procedure"}),
    "EN-20890": ("reject", None, {"date-invalid", "text-damaged"}),
}


def test_every_row_is_read_as_a_careful_clerk_would() -> None:
    [file] = run_json("read", LIST, "--unit", DEMO_UNIT, "--now", "2026-03-16T08:00")["files"]
    assert file["refused"] is None
    rows = {row["ref"]: row for row in file["rows"]}
    assert list(rows) == list(EXPECTED)
    for ref, (verdict, start, kinds) in EXPECTED.items():
        row = rows[ref]
        assert row["verdict"] == verdict, ref
        assert kinds <= {finding["kind"] for finding in row["findings"]}, ref
        if start is not None:
            assert row["start"] == start, ref
    assert file["counts"] == {"accept": 1, "warn": 4, "reject": 5, "skip": 0, "withdraw": 0}
    assert rows["EN-20882"]["travel_minutes"] == 90


def test_no_name_number_or_remark_leaves_the_reader() -> None:
    told = str(run_json("read", LIST, "--unit", DEMO_UNIT, "--now", "2026-03-16T08:00"))
    for private in (
        "Brien",
        "Peña",
        "Hughes",
        "Achebe",
        "Zieli",
        "0048812",
        "Warfarin",
        "deaf",
        "BSL",
        "took a cancellation",
    ):
        assert private.casefold() not in told.casefold(), private
