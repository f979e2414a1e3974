"""Answers: what a person says of a patient whose plan was given: factors, the patient's own medicines, sedation."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from generator.clinic.booking import Booking
from generator.clinic.instruction import class_title
from generator.finding import Finding, refusal
from generator.materials.unit_folder import UnitFolder
from generator.plan.suited import Stated


@dataclass(frozen=True, slots=True)
class Answers:
    """What is to be different.

    Attributes:
        raised: factors of the unit, or classes of medicine, that concern the patient.
        void: factors and classes that do not concern the patient, with all that was answered about them; or the id
            of an instruction.
        instructions: ids of the unit's instructions, each in the place of what was answered about its medicine.
        call_first: classes for which the line “call the unit before you change this medicine” takes that place.
        agreed: factors whose question a person answered with yes.
        decided: other kinds of finding about which a person has decided.
        sedation: None: as it was.
        cleared: the person has checked that this patient may take this protocol's medicine.
    """

    raised: tuple[str, ...] = ()
    void: tuple[str, ...] = ()
    instructions: tuple[str, ...] = ()
    call_first: tuple[str, ...] = ()
    agreed: tuple[str, ...] = ()
    decided: tuple[str, ...] = ()
    sedation: str | None = None
    cleared: bool = False

    @property
    def choose(self) -> bool:
        """Whether they choose something; raising a circumstance is no choice."""
        chosen = (self.void, self.instructions, self.call_first, self.agreed, self.decided, self.cleared)
        return any(chosen)


def answered(booking: Booking, answers: Answers, stated: Stated) -> Booking:
    """The booking with these answers."""
    classes = [stated.instructions[one].medicine for one in answers.instructions]
    void = {*answers.void}
    anew = {*void, *classes, *answers.call_first}  # what was answered about these goes

    def stays(name: str) -> bool:
        known = stated.instructions.get(name)
        return name not in void and (known is None or known.medicine not in anew)

    raised = [one for one in answers.raised if one in stated.factors]
    flagged = [one for one in answers.raised if one not in stated.factors]
    kept = [one for one in booking.instructions if stays(one)]
    lines = [one for one in booking.call_first if one not in anew]
    return replace(
        booking,
        factors=_in_order(booking.factors, {*booking.factors} - void, raised),
        agreed=_in_order(booking.agreed, {*booking.agreed} - void, answers.agreed),
        medicines=_in_order(booking.medicines, {*booking.medicines} - void, flagged),
        instructions=_in_order(booking.instructions, kept, answers.instructions),
        call_first=_in_order(booking.call_first, lines, answers.call_first),
        sedation=answers.sedation or booking.sedation,
    )


def _in_order(before: tuple[str, ...], kept: Iterable[str], more: Iterable[str]) -> tuple[str, ...]:
    """What is kept and what comes in, those that were there in their old order: the same answers again are the same."""
    every = {*kept, *more}
    return (
        *(one for one in before if one in every),
        *(one for one in dict.fromkeys(more) if one not in before),
    )


def answer_findings(booking: Booking, answers: Answers, stated: Stated) -> list[Finding]:
    """Answers that contradict each other, or are about nothing in this booking: slips, for which no plan comes down."""
    classes = [stated.instructions[one].medicine for one in answers.instructions] + [*answers.call_first]
    names = [*classes, *dict.fromkeys(answers.raised), *answers.agreed]
    both = [one for one, times in Counter(classes).items() if times > 1]
    both += [one for one in dict.fromkeys(names) if one in answers.void]
    stands = {*booking.factors, *booking.medicines, *booking.call_first, *booking.instructions}
    stands |= {
        stated.instructions[one].medicine for one in booking.instructions if one in stated.instructions
    }
    strange = [one for one in answers.void if one not in stands]
    unraised = [one for one in answers.agreed if one not in {*booking.factors, *answers.raised}]
    return [
        *(
            refusal("answers-collide", one, f"Two answers were given about “{one}”.", "Keep one of them.")
            for one in both
        ),
        *(
            refusal(
                "answer-not-there",
                one,
                f"Nothing in this booking is about “{one}”.",
                f"Use --without with one of: {', '.join(sorted(stands)) or 'nothing yet'}.",
            )
            for one in strange
        ),
        *(
            refusal(
                "factor-not-raised",
                one,
                f"The factor “{one}” is not one of this booking's.",
                f"Add --factor {one} if it concerns the patient.",
            )
            for one in unraised
        ),
    ]


def medicine_of(booking: Booking) -> tuple[object, ...]:
    """All of a booking that bears on medicine, which a clerk does not choose."""
    lists = (booking.factors, booking.agreed, booking.medicines, booking.instructions, booking.call_first)
    return booking.protocol, booking.sedation, *(frozenset(one) for one in lists)


def answer_lines(old: Booking, new: Booking, folder: UnitFolder) -> tuple[str, ...]:
    """What is said otherwise, for whoever phones: was, and is."""
    stated = folder.stated
    lines = [
        _line(title, _said(before), _said(after))
        for title, before, after in (
            ("Preparation", [_protocol(old, folder)], [_protocol(new, folder)]),
            ("Sedation", [old.sedation or ""], [new.sedation or ""]),
            ("About the patient", _titles(old, stated), _titles(new, stated)),
        )
        if before != after
    ]
    before, after = _by_class(old, stated), _by_class(new, stated)
    lines += [
        _line(class_title(one), before.get(one, _NOTHING), after.get(one, _NOTHING))
        for one in dict.fromkeys((*before, *after))
        if before.get(one) != after.get(one)
    ]
    return tuple(lines)


_NOTHING = "nothing said"


def _protocol(booking: Booking, folder: UnitFolder) -> str:
    known = folder.regimens.get(booking.protocol)
    return f"“{known.title}”" if known else f"“{booking.protocol}”"


def _line(title: str, before: str, after: str) -> str:
    return f"{title[0].upper()}{title[1:]}: was {before}; is {after}."


def _said(names: Iterable[str]) -> str:
    return ", ".join(name for name in names if name) or _NOTHING


def _titles(booking: Booking, stated: Stated) -> list[str]:
    found = [
        f"{stated.factors[one].title if one in stated.factors else one}{' (agreed)' if one in booking.agreed else ''}"
        for one in booking.factors
    ]
    return [*found, *(class_title(one) for one in booking.medicines)]


def _by_class(booking: Booking, stated: Stated) -> dict[str, str]:
    found = dict.fromkeys(booking.call_first, "“call the unit before you change this medicine”")
    for one in booking.instructions:
        known = stated.instructions.get(one)
        found[known.medicine if known else one] = f"“{known.title}”" if known else f"“{one}”"
    return found
