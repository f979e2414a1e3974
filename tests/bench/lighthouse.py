"""What Lighthouse says of a plan's page, on its phone preset: medians of five loads over loopback, without TLS.

Needs Node and a Chromium; npm fetches Lighthouse 12.2.3. Give an address to measure another server than `serve`:
`python -m tests.bench.lighthouse [URL]`. Its phone is this machine made four times as slow, so the figures are of a
machine that is quiet and as quick as the one the limits were set on: benchmark index 3,800 (printed first). On another
take SLOWER=2 for half that index, and so on.

Limits: performance 98, accessibility and best practices 100; largest paint 1.2 s; blocking time under 50 ms.
Exit 1 if one is missed.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from typing import Any

from tests.browser.phones import program
from tests.browser.served import PlansServer, free_port
from tests.plans import built

RUNS = 5
LIGHTHOUSE = "lighthouse@12.2.3"
# The last: pages of Chromium's own window, made in its first seconds, hold up what is drawn by as much as a second.
FLAGS = (
    "--headless=new --no-sandbox --disable-gpu --disable-dev-shm-usage "
    "--disable-features=PreloadTopChromeWebUI,WebUIOmniboxPopup,WebUIOmniboxAimPopup,WebUIOmniboxFullPopup"
)
SCORES = {"performance": 98, "accessibility": 100, "best-practices": 100}  # at least
AUDITS = {  # at most; the last two have no limit of their own
    "largest-contentful-paint": 1200.0,
    "total-blocking-time": 49.9,
    "first-contentful-paint": None,
    "cumulative-layout-shift": None,
}


def report(url: str, place: Path) -> dict[str, Any]:
    """One load, as Lighthouse tells it."""
    into = place / "report.json"
    chromium = program("DAYBEFORE_CHROMIUM", "chromium", "chromium-browser", "google-chrome")
    subprocess.run(
        ["npx", "--yes", LIGHTHOUSE, url, "--quiet", "--output=json", f"--output-path={into}",
         f"--chrome-flags={FLAGS}", f"--only-categories={','.join(SCORES)}",
         f"--throttling.cpuSlowdownMultiplier={os.environ.get('SLOWER', '4')}"],
        check=True, env={**os.environ, "CHROME_PATH": str(chromium)}, stdout=subprocess.DEVNULL,
    )  # fmt: skip
    return json.loads(into.read_text("utf-8"))  # type: ignore[no-any-return]


def measured(url: str, place: Path) -> bool:
    """Prints the medians, and whether all keep their limits."""
    reports = [report(url, place) for _ in range(RUNS)]
    kept = True
    index = median(one["environment"]["benchmarkIndex"] for one in reports)
    print(f"{'benchmark index':26} {index:8.0f}")
    for name, least in SCORES.items():
        score = 100 * median(one["categories"][name]["score"] for one in reports)
        kept &= score >= least
        print(f"{name:26} {score:8.0f}  at least {least}")
    for name, most in AUDITS.items():
        value = median(one["audits"][name]["numericValue"] for one in reports)
        kept &= most is None or value <= most
        print(f"{name:26} {value:8.2f}" + ("" if most is None else f"  at most {most}"))
    short = {
        f"{name} ({audit['displayValue']})" if audit.get("displayValue") else name
        for one in reports
        for name, audit in one["audits"].items()
        if audit["score"] is not None and audit["score"] < 0.9
    }
    print("Below 90 in any run:", ", ".join(sorted(short)) or "nothing")
    return kept


def main() -> None:
    """The page of the demonstration's first booking, or the one at an address."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        if len(sys.argv) > 1:
            kept = measured(sys.argv[1], place)
        else:
            port = free_port()
            plans = built(place / "plans", base_url=f"http://localhost:{port}/")
            with PlansServer(plans.data, port):
                kept = measured(plans.links["DEMO-101"], place)
    sys.exit(not kept)


if __name__ == "__main__":
    main()
