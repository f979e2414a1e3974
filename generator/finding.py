"""A Finding is something a person must know: what, where, and the next step."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding weighs; the worst one decides the verdict."""

    NOTE = "note"
    WARN = "warn"
    REFUSE = "refuse"


class Verdict(StrEnum):
    """What may be done with a plan, or with what it came from."""

    READY = "ready"
    CHECK = "check"
    REFUSED = "refused"


class RowVerdict(StrEnum):
    """What may be done with a row of a booking list."""

    ACCEPT = "accept"
    WARN = "warn"
    REJECT = "reject"
    SKIP = "skip"
    WITHDRAW = "withdraw"


@dataclass(frozen=True, slots=True)
class Finding:
    """Something a person must know.

    Attributes:
        kind: what it is, a promised name such as `date-invalid`; a tail after a colon names the subject.
        where: file and line, row id, step id or key. Never anything that identifies a person.
        problem: what is wrong, a sentence.
        remedy: the next step, a sentence.
        severity: how much it weighs.
        decision: a person has to decide, and the decision is recorded, before a plan is built.
    """

    kind: str
    where: str
    problem: str
    remedy: str
    severity: Severity
    decision: bool = False

    def as_json(self) -> dict[str, str]:
        """The promised JSON form."""
        return {
            "severity": self.severity.value,
            "kind": self.kind,
            "where": self.where,
            "problem": self.problem,
            "remedy": self.remedy,
        }


def note(kind: str, where: str, problem: str, remedy: str) -> Finding:
    """A finding that changes nothing."""
    return Finding(kind, where, problem, remedy, Severity.NOTE)


def warning(kind: str, where: str, problem: str, remedy: str, *, decision: bool = False) -> Finding:
    """A finding that somebody should look at; with `decision`, must decide."""
    return Finding(kind, where, problem, remedy, Severity.WARN, decision)


def refusal(kind: str, where: str, problem: str, remedy: str) -> Finding:
    """A finding that stops this plan or file."""
    return Finding(kind, where, problem, remedy, Severity.REFUSE)


def verdict_of(findings: Iterable[Finding]) -> Verdict:
    """The verdict the worst finding gives."""
    severities = {finding.severity for finding in findings}
    if Severity.REFUSE in severities:
        return Verdict.REFUSED
    return Verdict.CHECK if Severity.WARN in severities else Verdict.READY


ROW_VERDICTS = {
    Verdict.READY: RowVerdict.ACCEPT,
    Verdict.CHECK: RowVerdict.WARN,
    Verdict.REFUSED: RowVerdict.REJECT,
}


def row_verdict_of(findings: Iterable[Finding]) -> RowVerdict:
    """The same verdict in the words of a booking list."""
    return ROW_VERDICTS[verdict_of(findings)]
