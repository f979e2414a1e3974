"""The table of what is said about pace, and the plans of its rows as the phone's scripts get them."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

from tests.command import ROOT

TABLE: dict[str, Any] = json.loads((ROOT / "tests/examples/pace.json").read_text("utf-8"))
ROWS: list[dict[str, Any]] = TABLE["rows"]
# Zone data, Europe/London: from 29 March 2026, 01:00 UTC, an hour east; from 25 October 2026, 01:00 UTC, none.
OFFSETS = [[29_500_000, 0], [29_579_100, 60], [29_881_500, 0]]
IDS = [f"{row['plan']}: {row['name']}" for row in ROWS]


def minute(moment: str) -> int:
    """Epoch minutes of an ISO moment."""
    return int(dt.datetime.fromisoformat(moment).timestamp()) // 60


def plan_of(row: dict[str, Any]) -> dict[str, Any]:
    """What of a row's plan stands in the data block, sessions whole as the page's script makes them."""
    stated = TABLE["plans"][row["plan"]]
    steps, cues = [], [[0, -1]]
    for name, kind in (("dose", "drink"), ("drinks", "extra-fluid")):
        if name not in stated:
            continue
        figures = stated[name]
        moments = {key: minute(figures[key]) for key in ("start", "by", "quiet")}
        end = moments["start"] + figures["glasses"] * figures["minutes"]
        session = {**figures, **moments, "kind": kind}
        steps.append(
            {
                "id": name, "key": name, "kind": kind, "start": moments["start"], "end": end, "allDay": False,
                "dose": kind == "drink", "glasses": figures["glasses"], "asked": [], "pace": session,
            }
        )  # fmt: skip
        cues += [[moments["start"], len(steps) - 1], [end, -1]]
    return {"steps": steps, "cues": cues, "most": stated["most"], "steady": stated.get("steady", False)}
