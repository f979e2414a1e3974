"""A sheet as one HTML file: opened from an e-mail or a stick without network, it saves the answers as CSV."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from generator.policy import hash_source
from generator.words.cells import guarded
from generator.words.message import SOURCE_TAG
from generator.words.sheet import CHANGE, COLUMNS, OK, STOP_VERDICT, Languages, SheetRow, head_of

_VERDICTS = (
    (OK, "safe and clear"),
    (CHANGE, "other words are needed"),
    (STOP_VERDICT, "somebody could come to harm"),
)


@dataclass(frozen=True, slots=True)
class SheetParts:
    """What the file is made from: the texts of its template, style and script."""

    template: str
    style: str
    script: str


def sheet_page(languages: Languages, role: str, rows: Sequence[SheetRow], parts: SheetParts) -> bytes:
    """The sheet as HTML; its policy lets run only this style and this script, by their hashes."""
    wording, tag = languages.wording, languages.tag
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    text = environment.from_string(parts.template).render(
        tag=tag,
        role=role,
        name=wording.name,
        dir=wording.direction,
        translated=tag != SOURCE_TAG,
        verdicts=_VERDICTS,
        rows=[_row(row) for row in rows],
        data=_data(tag, role, rows),
        style=Markup(parts.style),
        script=Markup(parts.script),
        style_hash=hash_source(parts.style),
        script_hash=hash_source(parts.script),
    )
    return text.encode()


def _row(row: SheetRow) -> dict[str, object]:
    """What the template shows of a row: the words to judge, and the English to compare them with."""
    return {
        "nr": row.nr,
        "id": row.message.id,
        "risk": row.message.risk,
        "where": row.message.note,
        "judged": row.translation or row.english,
        "english": row.english if row.translation else (),
        "back": row.back,
        "remarks": row.remarks,
    }


def _data(tag: str, role: str, rows: Sequence[SheetRow]) -> dict[str, object]:
    """What the script writes into the answers: the cells just as the CSV sheet has them."""
    return {
        "file": f"answers-{tag}-{role}.csv",
        "head": head_of(tag, role),
        "columns": COLUMNS,
        "rows": [[*map(guarded, row.cells)] for row in rows],
        "checks": [row.check for row in rows],
    }
