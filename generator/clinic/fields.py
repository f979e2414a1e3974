"""Reads parsed TOML key by key, collecting every finding instead of stopping at the first."""

from __future__ import annotations

import datetime as dt
import difflib
import re
from collections.abc import Iterable, Mapping
from typing import Any

from generator.finding import Finding, refusal

IDENTIFIER = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")
_MISSING = object()
# What people write who know the thing and not our word for it; spelling alone would not lead there.
_MEANT = {
    "from": ("since",), "to": ("until",), "start": ("since", "procedure"), "end": ("until", "end_by"),
    "name": ("id", "title"), "pace": ("minutes",), "interval": ("minutes",), "duration": ("minutes",),
    "volume": ("ml",), "volume_ml": ("total_ml", "ml"), "litres": ("total_ml",), "sachets": ("packets", "pieces"),
    "packets": ("pieces",), "earliest": ("since",), "latest": ("until",), "min": ("at_least",), "max": ("at_most",),
    "date": ("day",), "time": ("at",), "exam": ("procedure",), "examination": ("procedure",),
    "colonoscopy": ("procedure",), "appointment": ("procedure",), "home": ("leaving",), "laxative": ("drink",),
    "dose": ("drink",), "fluids": ("extra-fluid",), "water": ("extra-fluid",), "stop": ("stop-drinking",),
    "fasting": ("stop-drinking",), "meal": ("last-meal",), "break": ("pause",), "low-residue": ("low-fibre",),
}  # fmt: skip


def meant_by(word: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """The known word that somebody probably meant, or None."""
    words = sorted(known)
    named = [one for one in _MEANT.get(word.casefold(), ()) if one in words]
    return next(iter(named or difflib.get_close_matches(word.casefold(), words, 1, cutoff)), None)


def _slug(text: str) -> str:
    """The identifier nearest to a text; "" where nothing is left of it."""
    return "-".join(re.findall(r"[a-z0-9]+", text.casefold()))


class Fields:
    """One TOML table being read; what is never asked for is reported as unknown.

    Args:
        table: the parsed table.
        where: file and key path, for findings.
        findings: the list every finding is added to; shared by all tables of a file.
    """

    def __init__(self, table: Mapping[str, Any], where: str, findings: list[Finding]) -> None:
        self._table = table
        self.where = where
        self.findings = findings
        self._asked: set[str] = set()

    def refuse(self, kind: str, key: str, problem: str, remedy: str) -> None:
        """Adds a refusal at this table's key."""
        self.findings.append(refusal(kind, f"{self.where} {key}".strip(), problem, remedy))

    def has(self, key: str) -> bool:
        """Whether the key is there; from then on it is a known one."""
        self._asked.add(key)
        return key in self._table

    def keys(self) -> list[str]:
        """The keys that are there, in file order."""
        return list(self._table)

    def _take(self, key: str, default: Any, form: str) -> Any:
        self._asked.add(key)
        value = self._table.get(key, _MISSING)
        if value is not _MISSING:
            return value
        if default is _MISSING:
            self.refuse("key-missing", key, f"The key “{key}” is missing.", f"Add {key} = {form}.")
            return None
        return default

    def _wrong(self, key: str, form: str) -> None:
        """A value of the wrong form; a number that stands in quotes is no number."""
        value = self._table.get(key)
        bare = ", without quotes" if isinstance(value, str) and "number" in form else ""
        self.refuse(
            "value-invalid", key, f"The value of “{key}” is not {form}.", f"Write {key} as {form}{bare}."
        )

    def text(self, key: str, default: Any = _MISSING) -> str:
        """A non-empty text."""
        value = self._take(key, default, '"a text"')
        if value is None:
            return ""
        if not isinstance(value, str) or (value.strip() == "" and key in self._table):
            self._wrong(key, 'one text in quotes, such as "…"')
            return ""
        return value

    def optional_text(self, key: str) -> str | None:
        """A text, or None when the key is absent."""
        return self.text(key) if self.has(key) else self._take(key, None, "")

    def own_sentence(self, key: str) -> str | None:
        """A sentence of the unit's own for patients, or None; nothing is ever put into it."""
        value = self.optional_text(key)
        if value and set("{}") & set(value):
            self.refuse("value-invalid", key, "The sentence holds braces.", "Write it without { and }.")
            return None
        return value or None

    def identifier(self, key: str) -> str:
        """A name in small letters, digits and single hyphens."""
        value = self.text(key)
        if value and not IDENTIFIER.fullmatch(value):
            near = f" Such as {_slug(value)}." if _slug(value) else ""
            problem = f"The value of “{key}” is not small letters and digits joined by single hyphens."
            self.refuse(
                "value-invalid", key, problem, f"Write {key} in small letters, digits and hyphens.{near}"
            )
        return value

    def choice(self, key: str, allowed: Iterable[str], default: Any = _MISSING) -> str:
        """One of a fixed set of words; a near miss is named."""
        value, words = self.text(key, default), sorted(allowed)
        if value and value not in words:
            near = meant_by(value, words)
            hint = f"Did you mean “{near}”? " if near else ""
            self.refuse(
                "value-invalid",
                key,
                f"“{value}” is not known for “{key}”.",
                f"{hint}Use one of: {', '.join(words)}.",
            )
        return value

    def choices(self, key: str, allowed: Iterable[str]) -> tuple[str, ...]:
        """A list of words, each from a fixed set; absent is empty; near misses are named."""
        found, words = self.texts(key, []), sorted(allowed)
        for value in found:
            if value not in words:
                near = meant_by(value, words)
                hint = f"Did you mean “{near}”? " if near else ""
                self.refuse(
                    "value-invalid",
                    key,
                    f"“{value}” is not known for “{key}”.",
                    f"{hint}Use: {', '.join(words)}.",
                )
        return found

    def optional_whole(self, key: str, *, least: int = 0, most: int = 1_000_000) -> int | None:
        """A whole number between two bounds, or None when the key is absent."""
        return self.whole(key, least=least, most=most) if self.has(key) else None

    def number(self, key: str, *, least: float, most: float) -> float:
        """A number between two bounds, both included."""
        form = f"a number from {least:g} to {most:g}"
        value = self._take(key, _MISSING, form)
        if value is None:
            return least
        if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
            self._wrong(key, form)
            return least
        return float(value)

    def flag(self, key: str, default: bool) -> bool:
        """True or false."""
        value = self._take(key, default, "true or false")
        if not isinstance(value, bool):
            self._wrong(key, "true or false")
            return default
        return value

    def whole(self, key: str, default: Any = _MISSING, *, least: int = 0, most: int = 1_000_000) -> int:
        """A whole number between two bounds, both included."""
        form = f"a whole number from {least} to {most}"
        value = self._take(key, default, form)
        if value is None:
            return least
        if isinstance(value, float) and value.is_integer():
            value = int(value)
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            self._wrong(key, form)
            return least
        return value

    def minutes_of_hours(self, key: str, default: Any = _MISSING, *, least: float = -1000) -> int:
        """Hours as a number (0.5 is half an hour), returned in minutes."""
        form = "a number of hours in whole minutes, such as 4 or 0.5"
        value = self._take(key, default, form)
        if value is None:
            return 0
        if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= 1000:
            self._wrong(key, form)
            return 0
        minutes = value * 60
        if abs(minutes - round(minutes)) > 1e-6:
            self._wrong(key, form)
        return round(minutes)

    def clock(self, key: str, default: Any = _MISSING) -> dt.time:
        """A wall-clock time written "HH:MM", or bare as TOML writes it, HH:MM:SS."""
        bare = self._table.get(key)
        if isinstance(bare, dt.time) and not bare.second and not bare.microsecond:
            self._asked.add(key)
            return bare
        value = self.text(key, default)
        found = _CLOCK.fullmatch(value)
        if not found:
            if value:
                self._wrong(key, 'a time from "00:00" to "23:59"')
            return dt.time(0)
        return dt.time(int(found[1]), int(found[2]))

    def clock_named(self, key: str) -> dt.time | None:
        """The time that a key's own name is, or None, told."""
        found = _CLOCK.fullmatch(key)
        if not found:
            self._wrong(key, 'named by a time such as "09:00"')
        return dt.time(int(found[1]), int(found[2])) if found else None

    def day(self, key: str, default: Any = _MISSING) -> dt.date | None:
        """A calendar day, written bare: 2026-04-03."""
        value = self._take(key, default, "a day such as 2026-04-03")
        if value is not None and (not isinstance(value, dt.date) or isinstance(value, dt.datetime)):
            self._wrong(key, "a day such as 2026-04-03, without quotes")
            return None
        return value

    def days(self, key: str) -> tuple[dt.date, ...]:
        """A list of calendar days; absent is empty."""
        value = self._take(key, [], "[2026-04-03]")
        if not isinstance(value, list) or any(type(item) is not dt.date for item in value):
            self._wrong(key, "a list of days such as [2026-04-03]")
            return ()
        return tuple(value)

    def texts(self, key: str, default: Any = _MISSING) -> tuple[str, ...]:
        """A list of texts."""
        value = self._take(key, default, '["a text"]')
        if value is None:
            return ()
        if not isinstance(value, list | tuple) or any(
            not isinstance(item, str) or not item for item in value
        ):
            self._wrong(key, 'a list of texts, ["…", "…"]')
            return ()
        return tuple(value)

    def table(self, key: str, *, required: bool = True) -> Fields:
        """A table inside this one; absent and not required is an empty one. What is none has one fault, no more."""
        value = self._take(key, _MISSING if required else {}, "{ … }")
        is_table = isinstance(value, dict)
        if value is not None and not is_table:
            self._wrong(key, "a table, { … }")
        return Fields(value if is_table else {}, f"{self.where} {key}", self.findings if is_table else [])

    def tables(self, key: str) -> list[Fields]:
        """A list of tables, written [[key]]; each is named by its id where it has one."""
        value = self._take(key, [], "[[…]]")
        if not isinstance(value, list) or any(not isinstance(item, dict) for item in value):
            self._wrong(key, f"a list of tables, [[{key}]] or [{{ … }}]")
            return []
        return [
            Fields(item, f"{self.where} {key} {item.get('id', number)}", self.findings)
            for number, item in enumerate(value, 1)
        ]

    def anything(self, key: str) -> Any:
        """The raw value, or None; the caller checks it."""
        return self._take(key, None, "")

    def close(self) -> None:
        """Reports every key that nobody asked for, with the near miss."""
        for key in self._table:
            if key in self._asked:
                continue
            near = meant_by(key, self._asked - self._table.keys()) or meant_by(key, self._asked)
            hint = f"Did you mean “{near}”?" if near else f"Known here: {', '.join(sorted(self._asked))}."
            self.refuse("key-unknown", key, f"The key “{key}” is not known.", hint)
