"""Sittings: who is signed in at this moment. Kept in memory alone: ending one here ends it everywhere."""

from __future__ import annotations

import datetime as dt
import secrets
from dataclasses import dataclass
from threading import Lock

IDLE = dt.timedelta(minutes=20)  # without a sign of life
LONGEST = dt.timedelta(hours=12)  # a shift and its handover


@dataclass(slots=True)
class Sitting:
    """One person signed in at one browser; `changed` is when the password was set that it was begun with."""

    name: str
    changed: str
    began: dt.datetime
    last: dt.datetime


class Sittings:
    """All sittings, by a number that is drawn anew at each sign-in."""

    def __init__(self) -> None:
        self._open: dict[str, Sitting] = {}
        self._lock = Lock()

    def begin(self, name: str, changed: str, now: dt.datetime) -> str:
        """A new sitting's number: 256 bits that nobody can guess."""
        number = secrets.token_urlsafe(32)
        with self._lock:
            ended = [key for key, one in self._open.items() if _is_over(one, now)]
            for key in ended:
                del self._open[key]
            self._open[number] = Sitting(name, changed, now, now)
        return number

    def at(self, number: str, now: dt.datetime) -> Sitting | None:
        """The sitting, which goes on by being asked for; None where there is none any more."""
        with self._lock:
            found = self._open.get(number)
            if found is None or _is_over(found, now):
                self._open.pop(number, None)
                return None
            found.last = now
            return found

    def end(self, number: str) -> None:
        """Ends a sitting; harmless where there is none."""
        with self._lock:
            self._open.pop(number, None)


def _is_over(sitting: Sitting, now: dt.datetime) -> bool:
    return now - sitting.last > IDLE or now - sitting.began > LONGEST
