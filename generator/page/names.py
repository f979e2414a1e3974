"""Names of a booklet’s files: a plan and the page that takes its place have the same, so that nothing is left over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Names:
    """The file names of one booklet, by language; the first language has the plain ones."""

    languages: Sequence[str]

    def page(self, tag: str) -> str:
        """The document of a language: index.html for the first, <tag>.html for the others."""
        return "index.html" if tag == self.languages[0] else f"{tag}.html"

    def href(self, tag: str) -> str:
        """How the documents point to that document."""
        return "./" if tag == self.languages[0] else self.page(tag)

    def calendar(self, tag: str) -> str:
        """The calendar file of a language."""
        return self._companion(tag, "plan", "ics")

    def manifest(self, tag: str) -> str:
        """The manifest of a language."""
        return self._companion(tag, "app", "webmanifest")

    def _companion(self, tag: str, first: str, suffix: str) -> str:
        return f"{first if tag == self.languages[0] else tag}.{suffix}"
