"""Marking: a document that says a message nobody has reviewed says so itself; and no byte that a browser spares."""

from __future__ import annotations

import re
from dataclasses import replace

from jinja2 import Template

from generator.page.copies import CopyView
from generator.page.life_view import NoticeView
from generator.page.views import PlanView
from generator.words.speaker import Speaker

_INDENTED = re.compile(r"\s*\n\s*")  # between tags, where a browser makes one space of it
# Beside these a browser shows no space at all.
_BLOCK = r"</?(?:d[dlt]|details|div|fieldset|h[1-4]|legend|li|nav|[ou]l|p|section|summary)(?: [^<>]*)?>"
_BESIDE_BLOCKS = re.compile(rf"\s*({_BLOCK})\s*")
# End tags that what follows implies (HTML, 13.1.2.4, optional tags); every phone's parser puts them in.
_IMPLIED = re.compile(
    r"</(?:li|d[dt])>|</p>(?=<(?:p|div|[ou]l|dl|h[1-4]|section|details|nav|fieldset)\b|</(?:d[dl]|details|div|li|section)>)"
)


def rendered(
    template: Template, page: PlanView | NoticeView, speaker: Speaker, copy: CopyView | None = None
) -> bytes:
    """The document, marked as a draft if its speaker has said a message that nobody has reviewed.

    The view has said nearly all of them; only where the template alone does is the page rendered a second time.
    """
    page = replace(page, draft=page.draft or speaker.says_unreviewed)
    text = template.render(page=page, t=speaker.t, copy=copy)
    if speaker.says_unreviewed and not page.draft:
        text = template.render(page=replace(page, draft=True), t=speaker.t, copy=copy)
    return _IMPLIED.sub("", _BESIDE_BLOCKS.sub(r"\1", _INDENTED.sub("\n", text))).encode()
