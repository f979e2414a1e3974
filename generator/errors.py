"""The error tree: what stops a command, always with the problem and the next step.

    DaybeforeError
        BadMaterials      a unit's folder or a shipped file cannot be used; carries every finding
        BadRecords        the records cannot be read or written
        BadShelf          a booklet cannot be put where it belongs
        BadRequest        what was asked for on the command line makes no sense

What is wrong with a person's file is told in findings, all at once; an error is for what cannot go on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from generator.finding import Finding


class DaybeforeError(Exception):
    """Something cannot go on.

    Args:
        problem: what is wrong, a full sentence.
        remedy: the next step, a full sentence.

    Raises:
        ValueError: if either is empty; an error without a next step is a defect.
    """

    def __init__(self, problem: str, *, remedy: str) -> None:
        if not problem.strip() or not remedy.strip():
            raise ValueError("an error needs a problem and a remedy")
        super().__init__(f"{problem} {remedy}")
        self.problem = problem
        self.remedy = remedy


class BadMaterials(DaybeforeError):
    """A unit's folder, or a file of this installation, cannot be used.

    Args:
        findings: everything found, not only the first.
    """

    def __init__(self, problem: str, *, remedy: str, findings: tuple[Finding, ...] = ()) -> None:
        super().__init__(problem, remedy=remedy)
        self.findings = findings


class BadRecords(DaybeforeError):
    """The records cannot be read or written."""


class BadShelf(DaybeforeError):
    """A booklet cannot be put where it belongs."""


class BadRequest(DaybeforeError):
    """What was asked for makes no sense.

    Args:
        kind: the kind of finding it is told as in a JSON document.
    """

    def __init__(self, problem: str, *, remedy: str, kind: str = "bad-request") -> None:
        super().__init__(problem, remedy=remedy)
        self.kind = kind
