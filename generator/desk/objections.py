"""What stands against a plan: every reason for which a row is not published, each with its next step."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from generator.clinic.booking import Booking
from generator.clinic.unit import Unit
from generator.finding import Finding, Severity, refusal
from generator.materials.unit_folder import UnitFolder
from generator.page.booklet import Booklet, Parts
from generator.page.foods import LISTED_DIETS
from generator.plan.cases import Cases
from generator.plan.timetable import Timetable
from generator.records import PlanRecord, Records
from generator.shelves import Shelf
from generator.words.wording import Wording


@dataclass(frozen=True, slots=True)
class Desk:
    """What the desk works with. `now` is the moment of this run; nothing here reads a clock."""

    folder: UnitFolder
    wordings: Mapping[str, Wording]
    parts: Parts
    records: Records
    shelf: Shelf
    base_url: str
    now: dt.datetime
    cases: Cases


def still_up_findings(desk: Desk, known: PlanRecord | None) -> list[Finding]:
    """For a row that is not built now: the link given earlier still shows its plan, until its day has passed."""
    if known is None or not known.was_given or dt.datetime.fromisoformat(known.start) <= desk.now:
        return []
    return [
        refusal(
            "plan-still-up",
            known.ref,
            f"The link given earlier still shows plan {known.identity.code}.",
            "Phone the patient and say whether that plan still holds.",
        )
    ]


def permission_findings(desk: Desk, booking: Booking, *, given: bool) -> list[Finding]:
    """What forbids a plan whatever its times: no signature, nobody who cleared the patient, a language not whole.

    A signature must hold until the procedure; one that ends stops new plans only, never one already given.
    """
    today, unit = desk.now.date(), desk.folder.unit
    findings = desk.folder.signature_findings(booking, today) or desk.folder.signature_findings(
        booking, booking.start.date()
    )
    if given:
        findings = [finding for finding in findings if finding.kind != "signature-expired"]
    assessed = unit.assessed is not None and today <= unit.assessed.until
    if not unit.demonstration and booking.cleared is None and not assessed:
        findings.append(
            refusal(
                "not-cleared",
                booking.ref,
                "Nobody has recorded that this patient may take this medicine.",
                "Have a nurse or doctor clear the booking.",
            )
        )
    return findings + [
        finding for tag in languages_of(unit, booking) for finding in _language_findings(desk, tag)
    ]


def languages_of(unit: Unit, booking: Booking) -> tuple[str, ...]:
    """The booklet's languages: the patient's first, and the unit's own, so that staff can read along."""
    return tuple(dict.fromkeys((*booking.languages, unit.languages[0])))


def _language_findings(desk: Desk, tag: str) -> list[Finding]:
    wording, unit = desk.wordings.get(tag), desk.folder.unit
    if wording is None or tag not in unit.languages:
        return [
            refusal(
                "language-missing",
                tag,
                f"There is no plan in the language “{tag}”.",
                "Arrange an interpreter, or state another language the patient reads.",
            )
        ]
    if wording.draft and not unit.demonstration:
        return [
            refusal(
                "language-not-reviewed",
                tag,
                f"The words in “{tag}” are a draft nobody has reviewed.",
                "Have them reviewed; only a demonstration unit may use drafts.",
            )
        ]
    return []


def food_findings(desk: Desk, timetable: Timetable) -> list[Finding]:
    """The diet step points to the list of foods: there must be one, with the phases that its verdicts name."""
    kinds = {step.kind for step in timetable.steps}
    listed = any(step.diet in LISTED_DIETS for step in timetable.steps)
    if not listed or (desk.folder.foods and {"clear-fluids", "stop-drinking"} <= kinds):
        return []
    return [
        refusal(
            "food-missing",
            "food.toml",
            "The plan has a diet step, and no list of foods can be made for it.",
            "Fill in food.toml, and give the protocol a clear-fluids row and a stop-drinking row.",
        )
    ]


def missing_findings(booklet: Booklet) -> list[Finding]:
    """The languages in which a sentence is missing."""
    return [
        refusal(
            "language-missing",
            tag,
            f"In “{tag}” {len(ids)} sentences are missing, first {ids[0]}.",
            "Arrange an interpreter, and have the translation completed.",
        )
        for tag, ids in booklet.missing.items()
    ]


def change_findings(record: PlanRecord, booklet: Booklet, timetable: Timetable) -> list[Finding]:
    """A plan already given that would now say something else."""
    if record.facts == booklet.facts:
        return []
    moved = "Its procedure moved. " if record.start != timetable.procedure.isoformat() else ""
    return [
        refusal(
            "plan-changed",
            record.ref,
            f"The plan already given says something else. {moved}Nothing was changed.",
            "Phone the patient. Restore the booking, the protocol or the words as they were.",
        )
    ]


def is_refused(findings: list[Finding]) -> bool:
    """Whether any of the findings is a refusal."""
    return any(finding.severity is Severity.REFUSE for finding in findings)
