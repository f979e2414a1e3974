"""SignOff: a line that binds a role, a day and a review-by day to the digest of a parsed file."""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import io
import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from generator.finding import Finding, refusal

COLUMNS = ("file", "digest", "role", "signed", "review_by")


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
    findings: list[Finding] = []
    signoffs: list[SignOff] = []
    reader = csv.DictReader(io.StringIO(text))
    if tuple(reader.fieldnames or ()) != COLUMNS:
        findings.append(
            refusal(
                "signoffs-header",
                f"{file}:1",
                "The first line is not the expected heading.",
                f"Write it as {','.join(COLUMNS)}.",
            )
        )
        return (), findings
    for row in reader:
        try:
            signoffs.append(
                SignOff(
                    row["file"],
                    row["digest"],
                    row["role"],
                    dt.date.fromisoformat(row["signed"]),
                    dt.date.fromisoformat(row["review_by"]),
                )
            )
        except (TypeError, ValueError):
            findings.append(
                refusal(
                    "signoff-invalid",
                    f"{file}:{reader.line_num}",
                    "A line is not a signature.",
                    "Give file, digest, role and two days such as 2026-11-25.",
                )
            )
    return tuple(signoffs), findings


def signature_findings(file: str, digest: str, signoffs: Iterable[SignOff], today: dt.date) -> list[Finding]:
    """Empty when a living signature covers this file as it stands; otherwise one refusal that says why."""
    lines = [signoff for signoff in signoffs if signoff.file == file]
    matching = [signoff for signoff in lines if signoff.digest == digest]
    if any(signoff.signed <= today <= signoff.review_by for signoff in matching):
        return []
    sign = f"Have the clinical lead read it, then run: daybefore protocol sign {file}"
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
