"""Which forms a counted sentence has: CLDR's plural categories, in order, and the header that tells editors so."""

from __future__ import annotations

import gettext
from collections.abc import Mapping
from functools import lru_cache

from babel import Locale
from babel.plural import PluralRule, to_gettext

PLURAL_ORDER = ("zero", "one", "two", "few", "many", "other")
PLURAL_TOP = 200  # counted things on a page (glasses, minutes) stay below this


@lru_cache(maxsize=64)
def plural_numbers(locale: Locale) -> Mapping[str, tuple[int, ...]]:
    """The CLDR categories that occur for whole numbers up to 200, in CLDR's order, with their numbers."""
    found: dict[str, list[int]] = {category: [] for category in PLURAL_ORDER}
    for number in range(PLURAL_TOP + 1):
        found[locale.plural_form(number)].append(number)
    return {category: tuple(numbers) for category, numbers in found.items() if numbers}


def plural_categories(locale: Locale) -> tuple[str, ...]:
    """The CLDR categories that occur for whole numbers up to 200, in CLDR's order."""
    return tuple(plural_numbers(locale))


def plural_header(locale: Locale) -> str:
    """The gettext Plural-Forms header that chooses as CLDR does, for translators' editors."""
    names = plural_categories(locale)
    rules = {name: text for name, text in locale.plural_form.rules.items() if name in names}
    if "other" not in names:
        rules.pop(names[-1], None)  # the last reachable category becomes "else"
    return to_gettext(PluralRule(rules))


def is_plural_header(header: str, locale: Locale) -> bool:
    """Whether a Plural-Forms header chooses as CLDR does for 0 to 200, however it is written."""
    count, _, rule = header.partition(";")
    rule = rule.strip().rstrip(";").removeprefix("plural").strip().removeprefix("=")
    numbers = plural_numbers(locale)
    if count.replace(" ", "") != f"nplurals={len(numbers)}":
        return False
    try:
        choose = gettext.c2py(rule)
        return all(
            choose(number) == index for index, found in enumerate(numbers.values()) for number in found
        )
    except (ValueError, RecursionError, ZeroDivisionError):
        return False
