"""The style sheet as phones get it: without the remarks for whoever works on it."""

from __future__ import annotations

import re

_REMARKS = re.compile(r"/\*(?:(?!\*/).)*\*/", re.DOTALL)
_AROUND_SIGNS = re.compile(r"\s*([{};])\s*|(?<=[\w-]):\s+(?=[^{}]*[;}])|,\s+")
_BEFORE_LINES = re.compile(r"\n\s+")


def lean_style(text: str) -> str:
    """The style sheet without remarks, and without the space around its signs.

    Space before a colon or a bracket has a meaning in selectors and stays; no text of ours holds these signs.
    """
    bare = _BEFORE_LINES.sub("\n", _REMARKS.sub("", text)).strip()
    return _AROUND_SIGNS.sub(lambda found: found[1] or found[0].strip(), bare)
