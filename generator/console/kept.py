"""Kept: what somebody had typed when their sitting ended, carried through signing in and offered again."""

from __future__ import annotations

from werkzeug.datastructures import MultiDict

PREFIX = "kept:"
_NEVER = ("csrf_token", "password", "name")


def kept_fields(form: MultiDict[str, str]) -> list[tuple[str, str]]:
    """The fields of a form that may be shown again; nothing of a sign-in."""
    return [
        (name, value)
        for name, value in form.items(multi=True)
        if name not in _NEVER and not name.startswith(PREFIX)
    ]


def carried_fields(form: MultiDict[str, str]) -> list[tuple[str, str]]:
    """The same, as a sign-in page carried them."""
    return [
        (name.removeprefix(PREFIX), value)
        for name, value in form.items(multi=True)
        if name.startswith(PREFIX)
    ]
