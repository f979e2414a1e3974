"""Booklet: all files of one appointment as bytes, the shared files they need, and the facts they state."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass

from jinja2 import DictLoader, Environment, StrictUndefined

from generator.page import calendar_file as calendars
from generator.page import hours, symptoms
from generator.page.calendar_file import calendar_file, cancelling_file
from generator.page.data import WORDS
from generator.page.life import Life, Notice, source_wording
from generator.page.life_view import notice_view
from generator.page.plan import Plan
from generator.page.qr import qr_svg
from generator.page.template_messages import template_messages, with_parts
from generator.page.views import plan_view
from generator.words import clock
from generator.words.message import Message
from generator.words.speaker import Speaker
from generator.words.wording import SOURCE_TAG, Wording

_APP_NAME = Message(
    "C.page.name", "My plan", "Name below the icon on the phone. Short; it must not name the examination."
)
MESSAGES = (_APP_NAME,)
LIFE_MESSAGES = (
    *MESSAGES, *calendars.MESSAGES, *clock.MESSAGES, *hours.MESSAGES, *symptoms.EMERGENCY, *symptoms.UNIT,
    *symptoms.LATER_EMERGENCY, *symptoms.LATER_UNIT, WORDS["callNow"], WORDS["callClosed"],
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Parts:
    """What every booklet is made from.

    Attributes:
        templates: template texts, ready to render.
        assets: shared files, `digest` over them.
        worker: the body of sw.js.
        life_messages: every message of the pages that may take a plan's place.
    """

    templates: Environment
    assets: Mapping[str, bytes]
    digest: str
    worker: str
    life_messages: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Booklet:
    """All files of one appointment.

    Attributes:
        files: name inside the plan's folder -> bytes, in the order in which they are put up; sw.js last.
        assets: path under public/ -> bytes, shared by all plans.
        facts: digest of what a person must be told of when it changes.
        missing: language tag -> ids it lacks; if there are any, a plan's booklet must not be published.
    """

    files: dict[str, bytes]
    assets: dict[str, bytes]
    facts: str
    missing: dict[str, tuple[str, ...]]

    @property
    def digest(self) -> str:
        """16 hex digits over every byte: another one is another edition."""
        return digest_of(self.files)


def parts_from(templates: Mapping[str, str], assets: Mapping[str, bytes], worker: str) -> Parts:
    """The parts, with templates ready: autoescaping on, undefined names are errors."""
    environment = Environment(
        loader=DictLoader(dict(templates)),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    pages = with_parts(templates, [_template_of(what) for what in Life])
    later = {message.id: message for message in (*LIFE_MESSAGES, *template_messages(pages))}
    return Parts(environment, assets, digest_of(assets)[:12], worker, tuple(later.values()))


def booklet_for(plan: Plan, parts: Parts) -> Booklet:
    """All files of a plan. The same plan gives the same bytes.

    A language that lacks a word of the pages in life_booklet is missing too: no plan may go up that could not
    be taken down in it.
    """
    names, assets = plan.names, _assets_of(parts)
    speakers = [Speaker(wording) for wording in plan.wordings]
    template = parts.templates.get_template("page/plan.html")
    pages: dict[str, bytes] = {}
    companions: dict[str, bytes] = {"qr.svg": qr_svg(plan.link)}
    for speaker in speakers:
        tag = speaker.wording.tag
        companions[names.calendar(tag)] = calendar_file(plan, speaker)
        companions[names.manifest(tag)] = _manifest(names.href(tag), speaker, assets)
        page = plan_view(plan, speaker, assets)
        pages[names.page(tag)] = template.render(page=page, t=speaker.t).encode()
    missing = {
        speaker.wording.tag: {*speaker.missing, *_lacking(speaker.wording, parts)} for speaker in speakers
    }
    return _booklet(plan.identity.mark, parts, companions, pages, _facts(plan, speakers), missing)


def life_booklet(notice: Notice, wordings: Mapping[str, Wording], parts: Parts) -> Booklet:
    """All files of the page that takes a plan's place: the plan's own names, so that nothing of it stays.

    It can always be made. Where a language has been lost or is no longer whole since the plan was given, its
    document is written in English as a whole, and `missing` says which ids were the reason ("" for no language).

    Args:
        wordings: the usable languages by tag.
    """
    names, assets = notice.names, _assets_of(parts)
    template = parts.templates.get_template(_template_of(notice.what))
    missing = {tag: _lacking(wordings[tag], parts) if tag in wordings else {""} for tag in notice.languages}
    english = wordings.get(SOURCE_TAG, source_wording())
    spoken = {tag: wordings[tag] if not missing[tag] else english for tag in notice.languages}
    calls_off = notice.what in (Life.HELD, Life.CANCELLED)
    pages: dict[str, bytes] = {}
    companions: dict[str, bytes] = {"qr.svg": qr_svg(notice.link)}
    speakers = {tag: Speaker(wording) for tag, wording in spoken.items()}
    for tag, speaker in speakers.items():
        replaced = notice.replaces if calls_off else None
        companions[names.calendar(tag)] = cancelling_file(notice.identity, replaced, notice.unit, speaker)
        companions[names.manifest(tag)] = _manifest(names.href(tag), speaker, assets)
        page = notice_view(notice, tag, spoken, speaker, assets)
        pages[names.page(tag)] = template.render(page=page, t=speaker.t).encode()
    facts = [notice.what.value, {tag: sorted(speaker.said) for tag, speaker in speakers.items()}]
    return _booklet(notice.identity.mark, parts, companions, pages, _facts_digest(facts), missing)


def _template_of(what: Life) -> str:
    return f"page/{what.value}.html"


def _lacking(wording: Wording, parts: Parts) -> set[str]:
    """The ids of the pages in the place of a plan that a language lacks."""
    return {message.id for message in parts.life_messages if wording.forms(message) is None}


def _assets_of(parts: Parts) -> str:
    return f"../../a/{parts.digest}/"


def _booklet(
    mark: str,
    parts: Parts,
    companions: Mapping[str, bytes],
    pages: Mapping[str, bytes],
    facts: str,
    missing: Mapping[str, set[str]],
) -> Booklet:
    files = {**companions, **pages}
    files["sw.js"] = _worker(mark, parts, files, pages, companions)
    return Booklet(
        files=files,
        assets={f"a/{parts.digest}/{name}": content for name, content in parts.assets.items()},
        facts=facts,
        missing={tag: tuple(sorted(ids)) for tag, ids in missing.items() if ids},
    )


def _manifest(href: str, speaker: Speaker, assets: str) -> bytes:
    name = speaker.plain(_APP_NAME)
    return _json(
        {
            "name": name,
            "short_name": name,
            "lang": speaker.wording.tag,
            "dir": speaker.wording.direction,
            "id": "./",
            "start_url": href,
            "scope": "./",
            "display": "standalone",
            "background_color": "#fbfaf4",
            "theme_color": "#fbfaf4",
            "icons": [
                {"src": f"{assets}icon-{size}.png", "sizes": f"{size}x{size}", "type": "image/png"}
                for size in (180, 512)
            ],
        }
    )


def _worker(
    mark: str,
    parts: Parts,
    files: Mapping[str, bytes],
    pages: Mapping[str, bytes],
    companions: Mapping[str, bytes],
) -> bytes:
    """The worker: its own digest changes with any byte of the plan, which is what makes phones look again."""
    head = {
        "mark": mark,
        "digest": digest_of({**files, **parts.assets, "worker": parts.worker.encode()})[:12],
        "pages": ["./" if name == "index.html" else name for name in pages],
        "files": list(companions),
        "assets": [_assets_of(parts) + name for name in parts.assets],
    }
    return f"const PLAN = {json.dumps(head)};\n{parts.worker}".encode()


def _facts(plan: Plan, speakers: list[Speaker]) -> str:
    """Digest of procedure, arrival, leaving, steps and every class A sentence, in each language."""
    timetable = plan.timetable
    facts = {
        "medicine": [plan.protocol.product, plan.protocol.pieces],
        "place": plan.unit.place,
        "moments": [
            moment.isoformat() for moment in (timetable.procedure, timetable.arrival, timetable.leaving)
        ],
        "steps": [
            [
                step.id,
                step.kind,
                step.start.isoformat(),
                step.end.isoformat() if step.end else None,
                step.amounts,
                step.diet,
            ]
            for step in timetable.steps
        ],
        "said": {speaker.wording.tag: sorted(speaker.said) for speaker in speakers},
    }
    return _facts_digest(facts)


def _facts_digest(facts: object) -> str:
    return hashlib.sha256(_json(facts)).hexdigest()[:16]


def _json(value: object) -> bytes:
    return (json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":")) + "\n").encode()


def digest_of(files: Mapping[str, bytes]) -> str:
    """16 hex digits over every name and byte, in whatever order they come."""
    digest = hashlib.sha256()
    for name, content in sorted(files.items()):
        digest.update(f"{name}\0{len(content)}\0".encode() + content)
    return digest.hexdigest()[:16]
