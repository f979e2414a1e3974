"""SignOff: a line that binds a role, a day and a review-by day to the digest of a parsed file."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable
from dataclasses import astuple, dataclass
from typing import Any

from generator.clinic.csv_lines import lines_of, text_of
from generator.finding import Finding, note, refusal, warning

COLUMNS = ("file", "digest", "role", "signed", "review_by")


_NOTICE = (60, 30, 7)  # days before a signature ends


@dataclass(frozen=True, slots=True)
class SignOff:
    """One signature: the file's path inside the unit's folder, the digest of its meaning, who, when, until."""

    file: str
    digest: str
    role: str
    signed: dt.date
    review_by: dt.date


def digest_of(parsed: object) -> str:
    """16 hex digits of SHA-256 over a parsed file's meaning: comments and layout do not count, figures do."""
    text = json.dumps(parsed, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=_plain)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _plain(value: Any) -> str:
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    raise TypeError(f"no canonical form for {type(value).__name__}")


def signoffs_from(text: str, file: str) -> tuple[tuple[SignOff, ...], list[Finding]]:
    """The sign-offs of a signoffs.csv, and a finding for every line that is not one."""
    lines, bad = lines_of(text, COLUMNS, _signoff_from)
    return lines, [_header_finding(file) if number == 1 else _line_finding(file, number) for number in bad]


def signoffs_text(lines: Iterable[SignOff]) -> str:
    """The text of a signoffs.csv."""
    return text_of(COLUMNS, map(astuple, lines))


def role_is_visible(role: str) -> bool:
    """Whether a person can read the role: at least one letter."""
    return any(character.isalpha() for character in role)


def _signoff_from(row: dict[str, str]) -> SignOff | None:
    try:
        signed, review_by = dt.date.fromisoformat(row["signed"]), dt.date.fromisoformat(row["review_by"])
    except (TypeError, ValueError):
        return None
    if not role_is_visible(row["role"]):
        return None
    return SignOff(row["file"], row["digest"], row["role"], signed, review_by)


def _header_finding(file: str) -> Finding:
    return refusal(
        "signoffs-header",
        f"{file}:1",
        "The first line is not the expected heading.",
        f"Write it as {','.join(COLUMNS)}.",
    )


def _line_finding(file: str, line: int) -> Finding:
    return refusal(
        "signoff-invalid",
        f"{file}:{line}",
        "A line is not a signature.",
        "Give file, digest, role and two days such as 2026-11-25.",
    )


def signature_findings(file: str, digest: str, signoffs: Iterable[SignOff], today: dt.date) -> list[Finding]:
    """Empty when a living signature covers this file as it stands; otherwise one refusal that says why."""
    lines = [signoff for signoff in signoffs if signoff.file == file]
    matching = [signoff for signoff in lines if signoff.digest == digest]
    if any(signoff.signed <= today <= signoff.review_by for signoff in matching):
        return []
    sign = f"Have the clinical lead read it, then run: daybefore protocol sign {file}"
    to_come = [signoff.signed for signoff in matching if signoff.signed > today]
    if to_come:
        problem = f"The signature of {file} holds only from {min(to_come)} on."
        return [refusal("signature-not-begun", file, problem, f"Wait for that day. Or: {sign}")]
    if matching:
        last = max(signoff.review_by for signoff in matching)
        return [refusal("signature-expired", file, f"The signature of {file} ended on {last}.", sign)]
    if lines:
        return [
            refusal(
                "signature-broken",
                file,
                f"{file} was changed after it was signed: the signature is for {lines[-1].digest}, "
                f"the file is now {digest}.",
                f"Undo the change. Or: {sign}",
            )
        ]
    return [refusal("signature-missing", file, f"Nobody has signed {file}.", sign)]


def validity(file: str, digest: str, signoffs: Iterable[SignOff], today: dt.date) -> str:
    """Until when a file is signed as it stands, as a sentence for what is printed."""
    bound = (file, digest)
    ends = [one.review_by for one in signoffs if (one.file, one.digest) == bound and one.signed <= today]
    if not ends:
        return "Not signed as it stands: not for use."
    if max(ends) < today:
        return f"The signature ended on {max(ends)}: not for use."
    return f"Valid until {max(ends)}."


def ending_findings(file: str, digest: str, signoffs: Iterable[SignOff], today: dt.date) -> list[Finding]:
    """A notice from 60 days before the last signature of a file ends, a warning in its last week."""
    lasting = [one.review_by for one in signoffs if (one.file, one.digest) == (file, digest)]
    days = (max(lasting) - today).days if lasting else -1
    if not 0 <= days <= _NOTICE[0]:
        return []
    told = next(step for step in reversed(_NOTICE) if days <= step)
    make = warning if told == _NOTICE[-1] else note
    return [
        make(
            f"signature-ends:{told}",
            file,
            f"The signature of {file} ends in {days} days, on {max(lasting)}; from then on no new plan is made "
            "from it. Plans that were given stay up.",
            f"Have the clinical lead review it, then run: daybefore protocol sign {file}",
        )
    ]
