"""Group: a heading, sentences, a list, more sentences: what the parts that come from the unit's advice are made of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from generator.words.message import Message
from generator.words.speaker import Speaker


@dataclass(frozen=True, slots=True)
class Group:
    """One group as printed; templates/parts/groups.html shows it. Any of its parts may be empty.

    `pictures` are names of drawings, shown where the plan has them.
    """

    heading: Markup
    before: tuple[Markup, ...] = ()
    listed: tuple[Markup, ...] = ()
    after: tuple[Markup, ...] = ()
    pictures: tuple[str, ...] = ()


NO_HEADING = Markup("")


def group(
    speaker: Speaker,
    heading: Message,
    before: Sequence[Markup] = (),
    listed: Sequence[Message] = (),
    after: Sequence[Markup] = (),
    pictures: tuple[str, ...] = (),
) -> Group:
    """A group whose heading and list are messages without values."""
    return Group(
        speaker.markup(heading),
        tuple(before),
        tuple(speaker.markup(item) for item in listed),
        tuple(after),
        pictures,
    )
