"""Drawn: what is random about a plan: its token, call number and code."""

from __future__ import annotations

import secrets

# 26 characters of 30 without look-alikes: 127 bits (W3C TAG, capability URLs: at least 120).
TOKEN_ALPHABET, TOKEN_LENGTH = "abcdefghjkmnpqrstvwxyz23456789", 26
DRAWS = 100  # of the 900,000 call numbers 810,000 may be taken, and all hundred fail once in 37,000 times


def drawn_token() -> str:
    """A token that nobody can guess; whoever has it can open the plan."""
    return "".join(secrets.choice(TOKEN_ALPHABET) for _ in range(TOKEN_LENGTH))


def drawn_call_number() -> str:
    """Six digits."""
    return f"{secrets.randbelow(900_000) + 100_000}"


def drawn_code() -> str:
    """Three digits, no multiple of five: never a time or an amount that somebody reads out."""
    while True:
        code = secrets.randbelow(889) + 111
        if code % 5:
            return str(code)


def drawn_password() -> str:
    """Sixteen characters without look-alikes, in fours: 78 bits, to be typed from a screen."""
    letters = "".join(secrets.choice(TOKEN_ALPHABET) for _ in range(16))
    return "-".join(letters[at : at + 4] for at in range(0, 16, 4))
