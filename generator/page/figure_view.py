"""How often what happens, as printed: only from the unit's signed figures, one denominator, both sides.

Words alone are read as far too much (Andreadis 2021), so the number stands first, of 10,000 every time.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from babel.dates import format_skeleton
from babel.numbers import format_decimal
from markupsafe import Markup

from generator.clinic.figures import OF, Figure, Figures
from generator.page.own_sentences import own_sentence
from generator.words.message import Message
from generator.words.speaker import Speaker

_TITLE = "Heading over one figure: what happened to so many of 10,000 people who were examined."
_SIDE = 100  # dashes in a row, and rows
TITLES = {
    name: Message(f"A.figure.{name}", english, _TITLE)
    for name, english in (
        ("perforation", "A hole in the bowel wall"),
        ("perforation-polyp", "A hole in the bowel wall, where a polyp was taken away"),
        ("bleeding", "Bleeding after the examination"),
        ("bleeding-polyp", "Bleeding, where a polyp was taken away"),
        ("hospital", "A stay in hospital because of the examination"),
        ("sedation", "Trouble with breathing or the heart after a medicine to sleep"),
        ("death", "Death from the examination"),
        ("missed", "A polyp or a cancer that was there and was not seen"),
        ("incomplete", "The far end of the bowel was not reached"),
        ("polyps", "Benefit: polyps were found and taken away"),
        ("cancer", "Benefit: a cancer was found"),
    )
}
_NUMBERS = "{n} and {rest} are numbers of people, {of} is 10,000."
BOTH = Message(
    "A.figures.both", "It happened to {n} of {of}. It did not happen to the other {rest}.", _NUMBERS
)
FEW = Message("A.figures.few", "It happened to fewer than 1 of {of}.", "{of} is 10,000.")
EXACT = Message("A.figures.exact", "More exactly: about {n} of {of}.", "{of} is 100,000 or more.")
ONE_IN = Message("A.figures.one-in", "That is 1 of {n}.", "The same figure said in another way.")
ABOUT_ONE_IN = Message(
    "A.figures.about-one-in", "That is about 1 of {n}.", "The same figure said in another way, rounded."
)
MONTH = Message("C.figures.month", "Counted up to {month}.", "{month}: a month and a year.")
MESSAGES = (*TITLES.values(), BOTH, FEW, EXACT, ONE_IN, ABOUT_ONE_IN, MONTH)


@dataclass(frozen=True, slots=True)
class FigureView:
    """One figure: heading, sentences, the month, and how many whole rows and further dashes are heavy."""

    title: Markup
    lines: tuple[Markup, ...]
    month: Markup
    rows: int
    rest: int


@dataclass(frozen=True, slots=True)
class FiguresView:
    """All of them, the denominator as printed, and the unit's own sentence on who was counted."""

    of: str
    figures: tuple[FigureView, ...]
    counted: Markup


def figures_view(figures: Figures | None, speaker: Speaker) -> FiguresView | None:
    """The view, or None where the unit has signed no figures."""
    if figures is None:
        return None
    counted = speaker.markup(own_sentence("A.unit.figures.counted", figures.counted))
    return FiguresView(number(speaker, OF), tuple(_figure(one, speaker) for one in figures.figures), counted)


def _figure(figure: Figure, speaker: Speaker) -> FigureView:
    month = format_skeleton("yMMMM", figure.date, locale=speaker.wording.locale)
    rows, rest = divmod(int(figure.per_10000), _SIDE)
    return FigureView(
        speaker.markup(TITLES[figure.id]),
        tuple(_lines(figure.per_10000, speaker)),
        speaker.markup(MONTH, month=month),
        rows,
        rest,
    )


def _lines(per: float, speaker: Speaker) -> Iterator[Markup]:
    if per < 1:
        yield speaker.markup(FEW, of=number(speaker, OF))
        of = OF * 10
        while per * of / OF < 1:
            of *= 10
        yield speaker.markup(EXACT, n=number(speaker, round(per * of / OF)), of=number(speaker, of))
        return
    count = int(per)
    rest = number(speaker, OF - count)
    yield speaker.markup(BOTH, n=number(speaker, count), of=number(speaker, OF), rest=rest)
    one_in = round(OF / count)
    if one_in > 1:
        exact = one_in * count == OF
        yield speaker.markup(ONE_IN if exact else ABOUT_ONE_IN, n=number(speaker, one_in))


def number(speaker: Speaker, value: int) -> str:
    """A whole number as the language groups it, in the digits that all our pages use."""
    return str(format_decimal(value, locale=speaker.wording.locale, numbering_system="latn"))
