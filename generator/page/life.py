"""The life of a plan's address: what stands there when the plan no longer holds.

A patient's page cannot be recalled, only replaced: each of these pages has the names of the plan's own files.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from enum import StrEnum

from babel import Locale

from generator.clinic.advice import Advice
from generator.clinic.unit import Unit
from generator.page.names import Names
from generator.page.plan import Identity, Replaced
from generator.words.message import SOURCE_TAG
from generator.words.plurals import plural_categories
from generator.words.wording import Wording


class Life(StrEnum):
    """What has become of a plan; the value names the page's template."""

    HELD = "held"
    CANCELLED = "cancelled"
    ENDED = "ended"
    FAREWELL = "farewell"


@dataclass(frozen=True, slots=True)
class Notice:
    """All that the page in the place of a plan is made from.

    Attributes:
        what: what has become of the plan.
        languages: tags of the plan's languages, in the plan's order: they name the files.
        identity: token and call number as ever; code, version and made-at of this page. The version may be that
            of the plan (then so is the code, and only the old one is named) or a later one, never an earlier.
        replaces: the plan that was given, where it is known.
        begun: whether a dose of the bowel medicine was due before this page was made.
        new_arrival: for HELD, when to be at the unit instead, if that is known; zone-aware.
        advice: what the unit signed about afterwards and about warning signs; the page can be made without.
    """

    what: Life
    unit: Unit
    languages: tuple[str, ...]
    identity: Identity
    base_url: str
    replaces: Replaced | None = None
    begun: bool = False
    new_arrival: dt.datetime | None = None
    advice: Advice = field(default_factory=Advice)

    @property
    def link(self) -> str:
        """The patient's link, the same as the plan's."""
        return self.identity.link(self.base_url)

    @property
    def names(self) -> Names:
        """The names of the booklet's files, the same as the plan's."""
        return Names(self.languages)


def source_wording() -> Wording:
    """English from the code itself: the language that lacks nothing, for a page that must not be refused."""
    locale = Locale.parse(SOURCE_TAG)
    return Wording(SOURCE_TAG, locale, {}, plural_categories(locale))
