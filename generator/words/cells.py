"""Cells of files that people open in a spreadsheet: nothing in them may run as a formula."""

from __future__ import annotations

_FORMULA = ("=", "+", "-", "@")


def guarded(text: str) -> str:
    """A cell that a spreadsheet shows as text: one that looks like a formula gets an apostrophe before it."""
    return f"'{text}" if _looks_like_one(text) else text


def unguarded(text: str) -> str:
    """The text of a cell that was guarded."""
    return text[1:] if text.startswith("'") and _looks_like_one(text[1:]) else text


def _looks_like_one(text: str) -> bool:
    """Also what is guarded already: the apostrophes in it are the writer's own."""
    return text.lstrip().lstrip("'").startswith(_FORMULA)
