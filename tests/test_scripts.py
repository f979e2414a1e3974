"""The phone's scripts as they are sent: what an old phone can read, what it can do, and what they weigh."""

from __future__ import annotations

import gzip
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from generator.materials.shipped import read_shipped
from tests.command import ROOT

CHECKER = ROOT / "tests" / "node_modules" / "es-check" / "lib" / "cli" / "index.js"
# What browsers since Chrome 64 and Safari on iOS 12 may lack: MDN's browser-compat-data, as of November 2026. Newer
# methods of the language itself are refused by tsc already, which knows ES2017 alone.
TOO_NEW = (
    "globalThis", "queueMicrotask", "structuredClone", "AbortController", "showModal", "inert", "replaceChildren",
    "toggleAttribute", "requestIdleCallback", "ResizeObserver", "Intl", "Temporal", "share", "clipboard", "wakeLock",
    "storage", "randomUUID", "locks", "showPicker", "scrollend", "checkVisibility", "periodicSync", "setHTML",
    "DecompressionStream", "scheduler", "visualViewport",
)  # fmt: skip
# Those that are used where they are there, and the question that is asked before.
ASKED = {"clipboard": r"navigator\.clipboard\)", "share": r"navigator\.share\)"}


@pytest.fixture(scope="module")
def scripts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """page.js and sw.js as every plan gets them."""
    place = tmp_path_factory.mktemp("scripts")
    shipped = read_shipped()
    for name, script in (("page.js", shipped.assets["page.js"]), ("sw.js", shipped.worker.encode())):
        (place / name).write_bytes(script)
    return {path.name: path for path in place.iterdir()}


def es2017(*scripts: Path) -> bool:
    """Whether a parser of another project takes them as ES2017."""
    node = shutil.which("node")
    if node is None or not CHECKER.is_file():
        missing = "Node or es-check is missing: install Node, then run tests/run."
        if os.environ.get("CI"):
            pytest.fail(missing)
        pytest.skip(missing)
    run = subprocess.run(
        [node, CHECKER, "es2017", *scripts], capture_output=True, text=True, check=False, timeout=60
    )
    assert "error" not in run.stderr.lower() or run.returncode, run.stderr
    return run.returncode == 0


def test_an_old_phone_can_read_them(scripts: dict[str, Path], tmp_path: Path) -> None:
    """One sign of newer grammar, and the whole script is silent: `?.` needs Chrome 80, iOS 13.4."""
    assert es2017(*scripts.values())
    newer = tmp_path / "newer.js"
    newer.write_text("var a = window?.caches;\n", "utf-8")
    assert not es2017(newer)


def test_nothing_newer_is_used_unasked(scripts: dict[str, Path]) -> None:
    for path in scripts.values():
        text = path.read_text("utf-8")
        for name in TOO_NEW:
            uses = [use.start() for use in re.finditer(rf"(?<![\w$'\"/-]){name}(?![\w$'\":/-])", text)]
            if uses and name in ASKED:
                asked = re.search(ASKED[name], text)
                assert asked and asked.start() < uses[0], f"{name} in {path.name}"
            else:
                assert uses == [], f"{name} in {path.name}"


def test_they_weigh_little(scripts: dict[str, Path]) -> None:
    """Both gzipped, without the line of data that the worker has besides, of about 95 bytes."""
    assert sum(len(gzip.compress(path.read_bytes(), 9)) for path in scripts.values()) <= 12 * 1024
