"""Acceptance: a line that says who accepted a protocol's departure from a published rule, when, and why."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import astuple, dataclass

from generator.clinic.csv_lines import lines_of, text_of
from generator.clinic.signoff import role_is_visible
from generator.finding import Finding, refusal

ACCEPTED_FILE = "accepted.csv"
COLUMNS = ("file", "yardstick", "rule", "figures", "reason", "role", "accepted")


@dataclass(frozen=True, slots=True)
class Acceptance:
    """One departure as somebody accepted it.

    Attributes:
        file: the protocol's path inside the unit's folder.
        yardstick, rule: the published rule that is departed from.
        figures: digest of all that was said of the departure; another hour or amount, and it has to be accepted anew.
        role: of whoever accepted it; never a name.
    """

    file: str
    yardstick: str
    rule: str
    figures: str
    reason: str
    role: str
    accepted: dt.date


def acceptances_from(text: str) -> tuple[tuple[Acceptance, ...], list[Finding]]:
    """The lines of an accepted.csv, and a finding for every line that is none."""
    lines, bad = lines_of(text, COLUMNS, _acceptance_from)
    return lines, [_header_finding() if number == 1 else _line_finding(number) for number in bad]


def acceptances_text(lines: Iterable[Acceptance]) -> str:
    """The text of an accepted.csv."""
    return text_of(COLUMNS, map(astuple, lines))


def _acceptance_from(row: dict[str, str]) -> Acceptance | None:
    words = {name: row[name] for name in COLUMNS[:-1]}
    try:
        accepted = dt.date.fromisoformat(row["accepted"])
    except (TypeError, ValueError):
        return None
    if not all(words.values()) or not role_is_visible(row["role"]):
        return None
    return Acceptance(**words, accepted=accepted)


def _header_finding() -> Finding:
    return refusal(
        "accepted-header",
        f"{ACCEPTED_FILE}:1",
        "The first line is not the expected heading.",
        f"Write it as {','.join(COLUMNS)}.",
    )


def _line_finding(number: int) -> Finding:
    return refusal(
        "acceptance-invalid",
        f"{ACCEPTED_FILE}:{number}",
        "A line does not say which departure was accepted, why, by which role, and on which day.",
        "Remove it, and run: daybefore protocol accept FILE …",
    )
