"""The sources of the page's scripts, for tests that ask one of them: the page itself has them as one function."""

from __future__ import annotations

from generator.materials.shipped import shipped_folder


def sources(*names: str) -> str:
    """Some of them, one after the other, to be evaluated on a page."""
    folder = shipped_folder("static") / "page"
    return "\n".join((folder / f"{name}.js").read_text("utf-8") for name in names)
