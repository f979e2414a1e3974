"""A copy: a plan's document as one file that a browser opens from an attachment or a stick, and that asks for nothing.

Style sheet, script and pictures are inside. What runs is named by its hash (CSP 3, 2.3.1), as no server of ours
sends the file. It cannot be replaced like a page, so it says so.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from generator.page.plan import Identity
from generator.policy import hash_source


@dataclass(frozen=True, slots=True)
class CopyView:
    """What a copy has in place of files beside it.

    Attributes:
        policy: the content security policy: this very style sheet and script, pictures inside, nothing else.
        style: of the screen and of paper.
        qr: the code to scan, as a data: address.
        pictures: file name -> the drawing, as a data: address; shared ones, and those made for this plan.
        link: the plan's own page, which does change with the appointment.
    """

    policy: Markup
    style: Markup
    script: Markup
    qr: str
    pictures: Mapping[str, str]
    link: str


def copy_view(link: str, qr: bytes, style: str, assets: Mapping[str, bytes]) -> CopyView:
    """What the copies of one plan share, in every language."""
    style = f"{style}@media print{{{assets['paper.css'].decode()}}}"
    script = assets["page.js"].decode()
    return CopyView(
        policy=Markup(
            f"default-src 'none'; script-src '{hash_source(script)}'; style-src '{hash_source(style)}'; img-src data:; "
            "base-uri 'none'; form-action 'none'"
        ),
        style=Markup(style),
        script=Markup(script),
        qr=_inside(qr),
        pictures={
            name.removeprefix("pictures/"): _inside(content)
            for name, content in assets.items()
            if name.startswith("pictures/")
        },
        link=link,
    )


def copy_name(identity: Identity, tag: str) -> str:
    """A name by which the desk finds it and nobody else a person: call number, plan code, language."""
    return f"{identity.call_number}-{identity.code}-{tag}.html"


def _inside(drawing: bytes) -> str:
    return f"data:image/svg+xml;base64,{base64.b64encode(drawing).decode()}"
