"""Sources: what no clinical lead should sign: a figure whose source says that it is only an example."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from generator.finding import Finding, refusal

_EXAMPLE = "an example"


def example_findings(table: Mapping[str, Any], file: str) -> list[Finding]:
    """A refusal for each source of a parsed file that begins “an example”, at the table that holds it."""
    return [
        refusal(
            "source-example",
            where,
            f"The source “{source}” says that this is only an example.",
            "State what the figure comes from, or “common practice, no source”; or take the entry out.",
        )
        for where, source in _sources(table, file)
        if source.strip().casefold().startswith(_EXAMPLE)
    ]


def _sources(table: Mapping[str, Any], where: str) -> Iterator[tuple[str, str]]:
    """Every source of a table and of the tables in it, each with its place: keys, and ids where there are any."""
    for key, value in table.items():
        entries = value if isinstance(value, list) else [value]
        if key in ("source", "sources"):
            yield from ((f"{where} {key}", entry) for entry in entries if isinstance(entry, str))
        for number, entry in enumerate(entries, 1):
            if isinstance(entry, dict):
                named = f" {entry.get('id', number)}" if isinstance(value, list) else ""
                yield from _sources(entry, f"{where} {key}{named}")
