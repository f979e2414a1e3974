"""Moves the demonstration's lists to the present: each day keeps its distance from the list's own first day."""

from __future__ import annotations

import datetime as dt
import re
import sys
import tomllib
from pathlib import Path

LIST_DAY = dt.date(2026, 3, 16)  # the day on which the committed lists were "printed"


def redated(text: str, today: dt.date, closed: frozenset[dt.date]) -> str:
    """The list with every DD/MM/YYYY moved; a weekend or a closed day goes to the next day of work."""

    def moved(found: re.Match[str]) -> str:
        day = dt.date(int(found[3]), int(found[2]), int(found[1])) - LIST_DAY + today
        while day.weekday() > 4 or day in closed or day - dt.timedelta(days=1) in closed:
            day += dt.timedelta(days=1)
        return f"{day:%d/%m/%Y}"

    return re.sub(r"\b(\d\d)/(\d\d)/(\d{4})\b", moved, text)


def main() -> None:
    """Writes the moved lists, and the moment as of which their plans are made: some days ago, if that is asked for."""
    source, target = Path(sys.argv[1]), Path(sys.argv[2])
    before = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    today = dt.datetime.now(dt.UTC).date()
    unit = tomllib.loads((Path(__file__).parent / "unit" / "unit.toml").read_text("utf-8"))
    closed = frozenset(unit["closed_days"])
    target.mkdir(parents=True, exist_ok=True)
    (target / "made-at").write_text(f"{today - dt.timedelta(days=before)}T08:00", "utf-8")
    for path in sorted(
        source.glob("*.csv")
    ):  # the lists last: demo/run takes them as the sign that all is here
        (target / path.name).write_text(redated(path.read_text("utf-8"), today, closed), "utf-8")


if __name__ == "__main__":
    main()
