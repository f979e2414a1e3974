"""Roles: which role may do what in the console. One table; every page and every button asks it."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import Any, TypeVar


class Action(StrEnum):
    """What can be done in the console, in the words of the table."""

    COME_IN = "come in"  # sign-in page and what it looks like: for everybody
    BE_HERE = "be here"  # the first page and signing out: for everybody with an account
    LOOK = "look at bookings"
    PREPARE = "prepare a booking"
    CLEAR = "clear a patient"
    MOVE = "move an appointment"
    RAISE = "raise a circumstance"
    HOLD = "hold a plan"
    CANCEL = "cancel a booking"
    RELEASE = "release a plan"
    CALL = "make a call"
    HAND = "hand a plan over"


_DESK = (
    Action.BE_HERE, Action.LOOK, Action.PREPARE, Action.MOVE, Action.RAISE, Action.HOLD, Action.CANCEL, Action.CALL,
    Action.HAND,
)  # fmt: skip
MAY: dict[str, frozenset[Action]] = {
    "clerk": frozenset(_DESK),
    "nurse": frozenset((*_DESK, Action.CLEAR, Action.RELEASE)),
    "lead": frozenset((*_DESK, Action.CLEAR, Action.RELEASE)),
    "translator": frozenset((Action.BE_HERE,)),
}

View = TypeVar("View", bound=Callable[..., Any])


def needs(action: Action) -> Callable[[View], View]:
    """Says which action a page is; a page that says none is shown to nobody."""

    def marked(view: View) -> View:
        view.action = action  # type: ignore[attr-defined]
        return view

    return marked


def action_of(view: Callable[..., Any] | None) -> Action | None:
    """What a page was marked with."""
    return getattr(view, "action", None)


def may(role: str, action: Action) -> bool:
    """Whether a role may do this."""
    return action in MAY.get(role, ())
