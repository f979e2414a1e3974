"""What a content security policy says of a style sheet or a script that stands in the document."""

from __future__ import annotations

import base64
import hashlib

from markupsafe import Markup


def hash_source(text: str) -> Markup:
    """The text as a policy names it, without the quotes: it alone applies (W3C, CSP Level 3, 2.3.1, hash-source)."""
    return Markup(f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}")
