"""What axe-core finds on a page: rules of WCAG 2.0 to 2.2, A and AA, the size of targets included."""

from __future__ import annotations

import os
import shutil
from functools import cache

import pytest
from playwright.sync_api import Page

from tests.command import ROOT

PROGRAM = ROOT / "tests" / "node_modules" / "axe-core" / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@cache
def _program() -> str:
    if not PROGRAM.exists():
        must = os.environ.get("CI") and shutil.which("npm")
        (pytest.fail if must else pytest.skip)("axe-core is not there: Node is needed")
    return PROGRAM.read_text("utf-8")


def barriers(page: Page, within: str = "body") -> list[tuple[str, str]]:
    """Each rule that is broken, with the first place where it is; `within`: a part of the page, by selector."""
    page.evaluate(_program())
    run = "([part, tags]) => axe.run(part, {runOnly: tags, resultTypes: ['violations']})"
    found = page.evaluate(run, ["html" if within == "body" else within, TAGS])
    return [(item["id"], item["nodes"][0]["html"][:160]) for item in found["violations"]]
