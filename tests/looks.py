"""The table of looks into the bowl: tests/examples/clarity.json, read once for Node and for a browser."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

from tests.command import ROOT

TABLE: dict[str, Any] = json.loads((ROOT / "tests" / "examples" / "clarity.json").read_text("utf-8"))
ROWS: list[dict[str, Any]] = TABLE["rows"]
PLANS: dict[str, dict[str, Any]] = TABLE["plans"]


def minute(text: str) -> int:
    """Epoch minutes of a moment with its offset."""
    return int(dt.datetime.fromisoformat(text).timestamp()) // 60


def times_of(plan: str) -> dict[str, Any]:
    """A plan's moments as the page carries them."""
    moments = PLANS[plan]["look"]
    return {name: minute(value) if value and name != "step" else value for name, value in moments.items()}


def texts_of(row: dict[str, Any]) -> list[str]:
    """The sentences that a row expects, with its plan's times."""
    plan = PLANS[row["plan"]]
    return [TABLE["sentences"][name].format_map(plan) for name in row["says"]]
