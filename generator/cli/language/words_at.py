"""All words there are, shipped and the unit's own, as the commands on reviews need them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from generator.errors import BadMaterials, BadRequest
from generator.finding import Finding
from generator.materials.languages import own_messages, wordings_of_unit
from generator.materials.shipped import Shipped, locales_folder, read_shipped
from generator.materials.unit_folder import LOCALES, UnitFolder, read_unit_folder
from generator.page.catalogue import catalogue
from generator.page.life import source_wording
from generator.words.message import SOURCE_TAG, Message
from generator.words.sheet import Languages
from generator.words.wording import Wording


@dataclass(frozen=True, slots=True)
class Words:
    """Messages and languages.

    Attributes:
        locales: the folder to which reviews are added: the unit's own, or the shipped one.
        findings: what is wrong with files of languages; a faulty one is not among the wordings.
    """

    shipped: Shipped
    folder: UnitFolder | None
    locales: Path
    messages: dict[str, Message]
    wordings: dict[str, Wording]
    findings: tuple[Finding, ...]

    def languages(self, tag: str) -> Languages:
        """A language and its English.

        Raises:
            BadMaterials: if a file of it has faults.
            BadRequest: if there is none.
        """
        own = re.compile(rf"(.*/)?{re.escape(tag)}\.(po|csv)\b.*")
        faults = tuple(one for one in self.findings if own.fullmatch(one.where))
        if faults:
            raise BadMaterials(
                f"A file of the language “{tag}” has faults.",
                remedy="Mend the findings below.",
                findings=faults,
            )
        if tag not in self.wordings:
            known = ", ".join(self.wordings)
            raise BadRequest(f"There is no language “{tag}”.", remedy=f"Use one of: {known}.")
        return Languages(self.wordings[tag], self.wordings.get(SOURCE_TAG) or source_wording())


def words_at(unit_dir: Path | None) -> Words:
    """The words as they stand.

    Raises:
        BadMaterials: if the unit's folder has faults.
    """
    shipped = read_shipped()
    folder = read_unit_folder(unit_dir) if unit_dir else None
    wordings, findings = wordings_of_unit(shipped, folder)
    messages = catalogue(shipped.templates) | (own_messages(folder) if folder else {})
    locales = unit_dir / LOCALES if unit_dir else locales_folder()
    return Words(shipped, folder, locales, messages, wordings, tuple(findings))
