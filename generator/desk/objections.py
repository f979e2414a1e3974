"""What stands against a plan: every reason for which a row is not published, each with its next step."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from generator.clinic.booking import Booking
from generator.clinic.unit import Unit
from generator.desk.gate import review_findings
from generator.desk.rendering import Desk, languages_of
from generator.finding import Finding, Severity, refusal
from generator.page.booklet import Booklet
from generator.page.foods import LISTED_DIETS
from generator.page.life import Life
from generator.plan.timetable import Timetable
from generator.records import MADE, NOT_CLEARED, PlanRecord
from generator.words.wording import Wording


def still_up_findings(desk: Desk, known: PlanRecord | None) -> list[Finding]:
    """For a row that is not built now: the link given earlier still shows its plan, until its day has passed."""
    if (
        known is None
        or not known.was_given
        or known.life != MADE
        or dt.datetime.fromisoformat(known.start) <= desk.now
    ):
        return []
    return [
        refusal(
            "plan-still-up",
            known.ref,
            f"The link given earlier still shows plan {known.identity.code}.",
            "Phone the patient. If it moved: daybefore move --ref … ; if it is off: daybefore cancel --ref …",
        )
    ]


def permission_findings(desk: Desk, booking: Booking, *, given: bool) -> list[Finding]:
    """What forbids a plan whatever its times: no signature, nobody who cleared the patient, a language not whole.

    A signature must hold until the procedure; one that ends stops new plans only, never one already given. So does
    software that plans otherwise than it did when the protocol was signed.
    """
    today, unit = desk.now.date(), desk.folder.unit
    if unknown := protocol_findings(desk, booking):
        return unknown
    findings = desk.folder.signature_findings(booking, today) or desk.folder.signature_findings(
        booking, booking.start.date()
    )
    if given:
        findings = [finding for finding in findings if finding.kind != "signature-expired"]
    else:
        findings += desk.folder.sample_findings(booking.protocol)
    if booking.cleared is None and not clears_everyone(unit, today):
        findings.append(
            refusal(
                NOT_CLEARED,
                booking.ref,
                "Nobody has recorded that this patient may take this medicine.",
                "A nurse or doctor checks it; then: daybefore decide … --kind not-cleared --choice cleared, or "
                "release --cleared for a booking that is held.",
            )
        )
    findings += [finding for tag in languages_of(unit, booking) for finding in _language_findings(desk, tag)]
    # The words in which a plan is taken down are known before any page is made. What has aged is told with the pages.
    later = {tag: desk.parts.life_messages for tag in languages_of(unit, booking)}
    return findings + [one for one in review_findings(desk, later, given=given) if is_refused([one])]


def clears_everyone(unit: Unit, today: dt.date) -> bool:
    """Whether nobody need be cleared alone: a demonstration, or a unit that declared who assessed all on its lists."""
    return unit.demonstration or (unit.assessed is not None and today <= unit.assessed.until)


def protocol_findings(desk: Desk, booking: Booking) -> list[Finding]:
    """A protocol that the unit had when the booking was made, and has no more."""
    if booking.protocol in desk.folder.regimens:
        return []
    return [
        refusal(
            "protocol-unknown",
            booking.ref,
            f"The unit has no protocol “{booking.protocol}” any more.",
            "State another one: daybefore move --ref … --protocol …",
        )
    ]


def _language_findings(desk: Desk, tag: str) -> list[Finding]:
    if tag in desk.wordings and tag in desk.folder.unit.languages:
        return []
    return [
        refusal(
            "language-missing",
            tag,
            f"There is no plan in the language “{tag}”.",
            "Arrange an interpreter, or state another language the patient reads.",
        )
    ]


def food_findings(desk: Desk, timetable: Timetable) -> list[Finding]:
    """The diet step points to the list of foods: there must be one, with the phases that its verdicts name."""
    kinds = {step.kind for step in timetable.steps}
    listed = any(step.diet in LISTED_DIETS for step in timetable.steps)
    if not listed or (desk.folder.advice.foods and {"clear-fluids", "stop-drinking"} <= kinds):
        return []
    return [
        refusal(
            "food-missing",
            "food.toml",
            "The plan has a diet step, and no list of foods can be made for it.",
            "Fill in food.toml, and give the protocol a clear-fluids row and a stop-drinking row.",
        )
    ]


def missing_findings(booklet: Booklet, wordings: Mapping[str, Wording]) -> list[Finding]:
    """The languages in which a sentence is missing, and what is wrong with those that are there and faulty."""
    findings = []
    for tag, ids in booklet.missing.items():
        problem = f"In “{tag}” {len(ids)} sentences are missing, first {ids[0]}."
        remedy = f"Arrange an interpreter, and have the translation completed: daybefore language check {tag}"
        findings.append(refusal("language-missing", tag, problem, remedy))
        wording = wordings.get(tag)
        findings += [
            fault for message_id in ids for fault in (wording.faults_of(message_id) if wording else ())
        ]
    return findings


def wording_findings(desk: Desk, booklet: Booklet, *, given: bool) -> list[Finding]:
    """The languages in which a sentence of this booklet is missing, or nobody has reviewed it."""
    return [*missing_findings(booklet, desk.wordings), *review_findings(desk, booklet.shown, given=given)]


def life_findings(known: PlanRecord) -> list[Finding]:
    """A booking whose plan was taken down is not put up again by a list: a person asks for that."""
    if known.life == MADE:
        return []
    what, remedy = {
        Life.HELD: ("held", "When a nurse has spoken with the patient: daybefore release --ref …"),
        Life.CANCELLED: ("cancelled", "If it takes place after all: daybefore move --ref … --procedure …"),
    }.get(Life(known.life), ("over", "Give a new appointment a reference of its own."))
    return [
        refusal(f"booking-{known.life}", known.ref, f"This booking is {what}; nothing was changed.", remedy)
    ]


def change_findings(record: PlanRecord, booklet: Booklet, timetable: Timetable) -> list[Finding]:
    """A plan already given that would now say something else."""
    if record.facts == booklet.facts:
        return []
    moved = dt.datetime.fromisoformat(record.start) != timetable.procedure
    return [
        refusal(
            "plan-changed",
            record.ref,
            "The plan already given says something else. "
            f"{'Its procedure moved. ' if moved else ''}Nothing was changed.",
            "If the appointment moved: daybefore move --ref … --procedure …"
            if moved
            else "If the unit's files changed: daybefore republish. If the booking did: daybefore change --ref … or "
            "move --ref …",
        )
    ]


def is_refused(findings: list[Finding]) -> bool:
    """Whether any of the findings is a refusal."""
    return any(finding.severity is Severity.REFUSE for finding in findings)
