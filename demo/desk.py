"""The demonstration's desk at work: some bookings wait to be cleared, one has moved, about one something was learned.

Nothing of it is more than the commands `prepare`, `move` and `change` do.
"""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).parent
# reference, days from today, start, what was raised, language to read, language to speak
WAITING = (
    ("DEMO-301", 5, "09:30", ("constipation",), "es", None),
    ("DEMO-302", 5, "10:30", ("iron", "diabetes-tablets-or-insulin"), "en", None),
    ("DEMO-303", 6, "09:00", (), "ar", "ar"),
    ("DEMO-304", 8, "11:00", ("anticoagulant",), "pl", "pl"),
)


def main() -> None:
    """Runs the commands over a data folder that holds the week's plans."""
    out = Path(sys.argv[1])
    where = ("--unit", str(HERE / "unit"), "--out", str(out))
    for ref, days, start, raised, language, speaks in WAITING:
        words = [
            "--protocol",
            "peg-ascorbate-split",
            "--procedure",
            f"{_day(days)}T{start}",
            "--language",
            language,
        ]
        words += [word for name in raised for word in ("--factor", name)]
        words += ["--speaks", speaks] if speaks else []
        _daybefore("prepare", "--ref", ref, *words, "--role", "clerk", *where)
    _daybefore("move", "--ref", "DEMO-221", "--procedure", f"{_day(7)}T10:00", "--role", "clerk", *where)
    _daybefore("change", "--ref", "DEMO-224", "--factor", "iron", "--role", "clerk", *where)


def _day(days: int) -> dt.date:
    """A working day so many days from today, or the next one."""
    closed = frozenset(tomllib.loads((HERE / "unit" / "unit.toml").read_text("utf-8"))["closed_days"])
    day = dt.datetime.now(dt.UTC).date() + dt.timedelta(days=days)
    while day.weekday() > 4 or day in closed:
        day += dt.timedelta(days=1)
    return day


def _daybefore(*words: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "generator", *words],
        cwd=HERE.parent,
        check=False,
        capture_output=True,
        text=True,
    )
    print(f"{' '.join(words[:3])}: {(done.stdout or done.stderr).strip().splitlines()[-1]}")


if __name__ == "__main__":
    main()
