"""The handout: one printed sheet for each booking, in the patient's language with the staff's own beside it.

It leads to the page and does not stand in its place: no dose and no hour of the preparation is printed on it. It
bears the unit's reference and an empty box for the unit's own label; no name is known here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from jinja2 import Environment
from markupsafe import Markup

from generator.clinic.unit import Unit
from generator.page import symptoms
from generator.page.hours import LineView, lines_of
from generator.page.plan import Identity, Replaced, in_groups
from generator.page.qr import printed_qr
from generator.page.saying import SayingView, saying_view
from generator.page.shared_views import open_again
from generator.plan.moments import in_zone
from generator.plan.timetable import Timetable
from generator.policy import hash_source
from generator.words.clock import date_text, time_text
from generator.words.message import Message
from generator.words.speaker import Speaker

_SHEET = "On a printed sheet that is handed to the patient."
_BE_THERE = Message(
    "A.now.be-there", "Be at the unit on {date} at {time}.", "The appointment, at the top of the page."
)
_LETTER = Message(
    "A.now.letter",
    "Compare this with your letter. If they differ, call the unit before you start.",
    "Below the appointment.",
)
_TITLE = Message(
    "C.page.title",
    "Your appointment plan",
    "Title in the browser and in link previews. It must not name the examination.",
)
_SCAN = Message(
    "B.hand.scan", "Point your phone’s camera at the square. Your plan opens: what to do, and when.", _SHEET
)
_TYPE = Message(
    "B.hand.type",
    "Or type this address, in small letters and without the spaces:",
    f"{_SHEET} A link follows.",
)
_NOW = Message("B.hand.now", "Open it now and read it.", f"{_SHEET} “It”: the plan, a web page.")
_AGAIN = Message(
    "C.saved.again",
    "Open it again on {date}.",
    "After “saved on this phone”: phones forget pages that are not opened for a week.",
)
_WHOLE = Message(
    "A.hand.whole", "This sheet is not the whole plan. Follow the times in the plan.", f"{_SHEET}"
)
_PAPER = Message(
    "B.hand.paper", "No phone that opens it? Ask the unit for the whole plan on paper.", f"{_SHEET}"
)
_CODE = Message(
    "A.page.code", "Plan code {code}", "At the top of the page. The nurse on the phone asks for it."
)
_REPLACED = Message(
    "A.hand.replaced",
    "Plan {code} holds no longer. Throw it away.",
    f"{_SHEET} {{code}}: of the earlier plan, which the patient may have on paper.",
)
_NUMBER = Message(
    "C.call.number", "Your call number: {n}", "Six digits by which the clinic finds the booking."
)
_START = Message(
    "A.start.heading", "Before you start", "Heading of the list of reasons to call before taking anything."
)
_START_CALL = Message(
    "A.start.call",
    "Take none of the bowel medicine, and call the unit first, if one is true:",
    "Before the list of reasons.",
)
_START_UNTIL = Message(
    "A.step.collect-until", "Until someone answers, take none of it.", "The bowel medicine."
)
_MEDICINES = Message(
    "A.start.medicines",
    "Do not stop or change any medicine unless your unit told you to.",
    "After the list of reasons.",
)
_DEMONSTRATION = Message(
    "A.mark.demonstration",
    "Demonstration. The unit and the booking are invented. Do not follow this plan.",
    "Mark at the top of every page of a demonstration.",
)
_DRAFT = Message(
    "A.mark.draft",
    "Draft words. Nobody has reviewed them yet.",
    "Mark on every page whose words have not been reviewed.",
)
_FEELS = Message(
    "A.call.feels",
    "Does it feel like an emergency? Ring the emergency number, not the unit.",
    "Below the signs for the unit.",
)
_INVENTED = Message("A.call.invented", "This emergency number is invented.", "In demonstrations only.")
_SAY_HOW = Message(
    "B.say.how",
    "Read this aloud, or show it to somebody who can call for you.",
    "Before sentences in the clinic’s language, for somebody who does not speak it.",
)
_REFERENCE = Message("C.hand.reference", "Reference", f"{_SHEET} Before the clinic’s number of the booking.")
_LABEL = Message("C.hand.label", "Label", f"{_SHEET} In an empty box, where the clinic sticks its own label.")
MESSAGES = (
    _BE_THERE, _LETTER, _TITLE, _SCAN, _TYPE, _NOW, _AGAIN, _WHOLE, _PAPER, _CODE, _REPLACED, _NUMBER,
    _START, _START_CALL, _START_UNTIL, _MEDICINES, _DEMONSTRATION, _DRAFT, _REFERENCE, _LABEL,
    _FEELS, _INVENTED, _SAY_HOW,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Handout:
    """What a sheet is made from.

    Attributes:
        ref: the unit's reference; on paper it may stand.
        timetable: the plan that was given.
        replaces: the plan that holds no longer, where one was given.
    """

    ref: str
    unit: Unit
    identity: Identity
    base_url: str
    timetable: Timetable
    replaces: Replaced | None = None


@dataclass(frozen=True, slots=True)
class SideView:
    """One language of a sheet, every sentence ready."""

    lang: str
    dir: str
    marks: tuple[Markup, ...]
    title: Markup
    be_there: Markup
    letter: Markup
    scan: Markup
    type: Markup
    open: tuple[Markup, ...]
    whole: Markup
    paper: Markup
    replaced: Markup
    code: Markup
    number: Markup
    lines: tuple[LineView, ...]
    emergency: tuple[Markup, ...]
    say_how: Markup
    start: Markup
    start_call: Markup
    signs: tuple[Markup, ...]
    until: Markup
    medicines: Markup
    reference: Markup
    label: Markup


@dataclass(frozen=True, slots=True)
class SheetView:
    """Everything that templates/handout/handout.html uses of one booking.

    Attributes:
        sides: the patient's language, and the staff's own where it is another.
        qr: the code to scan, in millimetres.
        emergency: the emergency number.
        saying: what to say on the phone in the staff's language, or None where the patient speaks it.
    """

    ref: str
    unit: str
    place: str
    sides: tuple[SideView, ...]
    qr: Markup
    link_base: str
    link_groups: str
    emergency: str
    saying: SayingView | None


def sheet_view(handout: Handout, own: Speaker, staff: Speaker) -> SheetView:
    """A sheet in the patient's language, `own`, beside the staff's; what they lack stands in their `missing`."""
    unit, identity = handout.unit, handout.identity
    alone = own.wording.tag == staff.wording.tag
    saying = saying_view(staff.wording, own, identity.call_number)
    return SheetView(
        ref=handout.ref,
        unit=unit.name,
        place=unit.place,
        sides=tuple(_side(handout, speaker) for speaker in ((own,) if alone else (own, staff))),
        qr=printed_qr(identity.link(handout.base_url)),
        link_base=f"{handout.base_url}p/",
        link_groups=f"{in_groups(identity.token)} /",
        emergency=unit.emergency.shown,
        saying=saying,
    )


def _side(handout: Handout, speaker: Speaker) -> SideView:
    unit, identity = handout.unit, handout.identity
    arrival = in_zone(handout.timetable.arrival, unit.zone)
    again = open_again(identity.made, handout.timetable, unit.zone, speaker)
    replaced = handout.replaces
    say = speaker.markup
    side = SideView(
        lang=speaker.wording.tag,
        dir=speaker.wording.direction,
        marks=(),
        title=say(_TITLE),
        be_there=say(
            _BE_THERE, date=date_text(speaker, arrival.date()), time=time_text(speaker, arrival, unit.clock)
        ),
        letter=say(_LETTER),
        scan=say(_SCAN),
        type=say(_TYPE),
        open=(say(_NOW), *((say(_AGAIN, date=again),) if again else ())),
        whole=say(_WHOLE),
        paper=say(_PAPER),
        replaced=say(_REPLACED, code=replaced.code) if replaced else Markup(),
        code=say(_CODE, code=identity.code),
        number=say(_NUMBER, n=identity.call_number),
        lines=tuple(lines_of(unit, speaker)),
        emergency=(say(_FEELS), *((say(_INVENTED),) if unit.demonstration else ())),
        say_how=say(_SAY_HOW),
        start=say(_START),
        start_call=say(_START_CALL),
        signs=tuple(say(sign) for sign in symptoms.START),
        until=say(_START_UNTIL),
        medicines=say(_MEDICINES),
        reference=say(_REFERENCE),
        label=say(_LABEL),
    )
    return replace(side, marks=tuple(_marks(unit, speaker)))


def _marks(unit: Unit, speaker: Speaker) -> Iterator[Markup]:
    """What the sheet itself says of its standing; asked last, when all else was said."""
    if unit.demonstration:
        yield speaker.markup(_DEMONSTRATION)
    if speaker.says_unreviewed:
        yield speaker.markup(_DRAFT)


def handout_page(sheets: Sequence[SheetView], templates: Environment) -> bytes:
    """All sheets as one document to print, a page for each, in their order. It needs no other file."""
    style = templates.get_template("handout/handout.css").render()
    page = templates.get_template("handout/handout.html")
    return page.render(sheets=sheets, style=Markup(style), policy=handout_policy(templates)).encode()


def handout_policy(templates: Environment) -> str:
    """The content security policy of that document: its own style sheet by its hash, and nothing else."""
    style = templates.get_template("handout/handout.css").render()
    return f"default-src 'none'; style-src '{hash_source(style)}'; base-uri 'none'; form-action 'none'"
