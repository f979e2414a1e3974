"""Joined and shortened scripts do what their sources do: both run in Node, on all that a name can mean."""

from __future__ import annotations

import os
import shutil
import subprocess

import pytest

from generator.page.scripts import NotPlain
from generator.page.shortened import shortened

BEGIN = "var daybefore = {};\n"
# Names that hide others: given, caught, looped over, taken apart, the browser's; and links between files.
TRICKY = (
    """
    (function () {
      'use strict';
      const LIMIT = 7; // goes where it is used
      function open(hit, open) { return hit + (open ? 1 : LIMIT); }
      function taken({ a, b: [c] = [3], d = a }, ...rest) { return { a, c, d, rest: rest.length }; }
      /** @param {number} n */
      function deep(n) {
        let sum = 0;
        for (const n of [1, 2, 3]) { sum += n; }
        for (let i = 0; i < n; i++) { const n = i * 2; sum += n; }
        try { throw new Error('x'); } catch (error) { const n = error.message; sum += n.length; }
        if (sum > 100) { sum = 0; } else { sum += 1; }
        const up = (function again(n) { return n < 2 ? 1 : n * again(n - 1); })(4);
        return [sum, n, [1, 2].map((n) => n * sum), up];
      }
      daybefore.one = { open: open, taken, deep };
    })();
    """,
    """
    (function () {
      'use strict';
      const one = daybefore.one;
      const open = one.open;
      const quote = 'a "quoted" {word}; // not a remark', line = /[/"']\\/* x/.test('"/ x');
      function all(Math) {
        const key = 'deep', value = { deep: 1, [key + 1]: 2, open: open(1, true) };
        const signs = [- -1, 1 - -1, typeof one_more, void 0, ((a) => a)(3)];
        return [Math, value, quote, line, signs, JSON.stringify({ key })];
      }
      let one_more = 5;
      const told = [open(1), one.taken({ a: 1 }, 2, 3), one.deep(3), all(9), Math.max(1, 2)];
      told.push(/** @type {any} */ (one_more));
      console.log(JSON.stringify(told));
    })();
    """,
)


def told(script: str) -> str:
    node = shutil.which("node")
    if node is None:
        if os.environ.get("CI"):
            pytest.fail("Node is missing; tests/run installs it.")
        pytest.skip("Node is missing")
    run = subprocess.run([node, "-e", script], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    return run.stdout


def test_the_short_one_does_the_same() -> None:
    short = shortened(TRICKY)
    assert told(short) == told(BEGIN + "".join(TRICKY))
    assert "daybefore" not in short and "LIMIT" not in short and "remark\n" not in short
    assert len(short) < len("".join(TRICKY)) * 0.6


@pytest.mark.parametrize(
    "source",
    [
        "const a = 1;",
        "(function () { const a = [] \n const b = [1]; })();",
        "(function () { var a = 1; })();",
        "(function () { daybefore.other.thing(); })();",
        "(function () { const dom = daybefore.dom; function f(dom) { return dom.a; } })();",
        "(function () { return (; })();",
    ],
)
def test_what_it_does_not_understand_is_refused(source: str) -> None:
    """Never guessed: the build stops."""
    with pytest.raises(NotPlain):
        shortened((source,))
