"""Record: what the records say of one booking's present version."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from generator.page.plan import Identity
from generator.records.inputs import Inputs, NoticeInputs, dumped


@dataclass(frozen=True, slots=True)
class PlanRecord:
    """A booking's present version.

    Attributes:
        id: the booking's number in the records; it names nobody.
        ref: the unit's reference, or "" once it was forgotten.
        life: "made" while the plan holds, else what took its place, one of page.life.Life.
        state: "opened", then "publishing" while the shelf is being written, and "published".
        facts: None until it has been published once. content: digest of the files that are up, or about to be.
        inputs: what the plan was made from; None before it was published, and when it was forgotten.
        notice: what the page in its place is made from.
        pending: the new appointment that waits for a nurse's release.
    """

    id: int
    ref: str
    identity: Identity
    life: str
    state: str
    edition: int
    start: str
    facts: str | None
    content: str | None
    inputs: Inputs | None = None
    notice: NoticeInputs | None = None
    pending: Inputs | None = None

    @property
    def was_given(self) -> bool:
        """Whether somebody may have the link: a first version was published whole, or there is a later one."""
        return self.state == "published" or self.edition > 1 or self.identity.version > 1

    @property
    def is_prepared(self) -> bool:
        """Whether it waits at the desk: what it is to be made from is known, and nobody was given it."""
        return self.inputs is not None and not self.was_given

    @property
    def seen(self) -> str:
        """Another one after each change: what a person acted on is compared with what there is."""
        kept = self.inputs if self.is_prepared else None
        what = (self.id, self.identity.version, self.life, self.edition, self.content, kept and dumped(kept))
        return hashlib.sha256(repr(what).encode()).hexdigest()[:16]
