"""Booklet: all files of one appointment as bytes, the shared files they need, and the facts they state."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from generator.page import after_words, hours, saying, symptoms
from generator.page import calendar_file as calendars
from generator.page.calendar_file import calendar_file, cancelling_file
from generator.page.copies import copy_name, copy_view
from generator.page.drawings import Drawing, drawing_files, drawings_of, picture_views
from generator.page.facts import as_json, facts_digest, plan_facts
from generator.page.life import Life, Notice, source_wording
from generator.page.life_view import notice_view
from generator.page.marking import rendered
from generator.page.phone_words import WORDS
from generator.page.plan import Plan
from generator.page.qr import qr_svg
from generator.page.template_messages import template_messages, with_parts
from generator.page.views import PlanView, plan_view
from generator.policy import hash_source
from generator.words import clock
from generator.words.message import SOURCE_TAG, Message
from generator.words.speaker import Speaker
from generator.words.wording import Wording

_APP_NAME = Message(
    "C.page.name", "My plan", "Name below the icon on the phone. Short; it must not name the examination."
)
MESSAGES = (_APP_NAME,)
LIFE_MESSAGES = (
    *MESSAGES, *calendars.MESSAGES, *clock.MESSAGES, *hours.MESSAGES, *saying.MESSAGES,
    *symptoms.EMERGENCY, *symptoms.UNIT, *symptoms.TELL, *symptoms.LATER, *after_words.CAREFUL,
    WORDS["callNow"], WORDS["callClosed"], WORDS["callOpens"],
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Parts:
    """What every booklet is made from.

    Attributes:
        templates: template texts, ready to render.
        style: the style sheet of the screen; in the templates `style`, and `style_hash` for their policy.
        assets: shared files, `digest` over them.
        drawn: sources of the drawings that are made for each plan.
        worker: the body of sw.js.
        life_messages: every message of the pages that may take a plan's place.
    """

    templates: Environment
    style: str
    assets: Mapping[str, bytes]
    digest: str
    drawn: Mapping[str, str]
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
        shown: language tag -> the messages that the plan's pages say, and those of the pages in its place: what
            must have been reviewed before it is published.
        copies: file name -> the plan in one file, for each language; only where they were asked for.
    """

    files: dict[str, bytes]
    assets: dict[str, bytes]
    facts: str
    missing: dict[str, tuple[str, ...]]
    shown: dict[str, tuple[Message, ...]] = field(default_factory=dict)
    copies: dict[str, bytes] = field(default_factory=dict)

    @property
    def digest(self) -> str:
        """16 hex digits over every byte: another one is another edition."""
        return digest_of(self.files)


def parts_from(
    templates: Mapping[str, str],
    style: str,
    assets: Mapping[str, bytes],
    drawn: Mapping[str, str],
    worker: str,
) -> Parts:
    """The parts, with templates ready."""
    environment, later = _ready(tuple(templates.items()), style)
    return Parts(environment, style, assets, digest_of(assets)[:12], drawn, worker, later)


# The console opens the unit's folder for each request: a template is read and compiled once.
@lru_cache(maxsize=4)
def _ready(templates: tuple[tuple[str, str], ...], style: str) -> tuple[Environment, tuple[Message, ...]]:
    """Autoescaping on, undefined names are errors; and what the pages say that may take a plan's place."""
    environment = Environment(
        loader=DictLoader(dict(templates)),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals |= {"style": Markup(style), "style_hash": hash_source(style)}
    pages = with_parts(dict(templates), [_template_of(what) for what in Life])
    later = {message.id: message for message in (*LIFE_MESSAGES, *template_messages(pages))}
    return environment, tuple(later.values())


def booklet_for(plan: Plan, parts: Parts, *, copies: bool = False) -> Booklet:
    """All files of a plan, and copies of it in one file each if asked for. The same plan gives the same bytes.

    A language that lacks a word of the pages in life_booklet is missing too: no plan may go up that could not
    be taken down in it.
    """
    names, assets = plan.names, _assets_of(parts)
    drawings = drawings_of(plan, parts.drawn)
    speakers = [Speaker(wording) for wording in plan.wordings]
    template = parts.templates.get_template("page/plan.html")
    pages: dict[str, bytes] = {}
    copied: dict[str, bytes] = {}
    companions: dict[str, bytes] = {"qr.svg": qr_svg(plan.link)}
    drawn = drawing_files(drawings, {speaker.wording.direction for speaker in speakers})
    copy = (
        copy_view(plan.link, companions["qr.svg"], parts.style, {**parts.assets, **drawn}) if copies else None
    )
    missing: dict[str, set[str]] = {}
    shown: dict[str, dict[str, Message]] = {}
    for speaker in speakers:
        tag = speaker.wording.tag
        companions[names.calendar(tag)] = calendar_file(plan, speaker)
        companions[names.manifest(tag)] = _manifest(names.href(tag), speaker, assets)
        page = _view(plan, speaker, assets, drawings)
        pages[names.page(tag)] = rendered(template, page, speaker)
        missing[tag] = {*speaker.missing, *_lacking(speaker.wording, parts)}
        shown[tag] = _covered(speaker, parts)
        if copy is not None:
            # A speaker of its own: what only the copy says is no fact of the plan.
            aside = Speaker(speaker.wording)
            page = replace(page, draft=speaker.says_unreviewed)
            copied[copy_name(plan.identity, tag)] = rendered(template, page, aside, copy)
            missing[tag] |= aside.missing
            shown[tag] |= aside.shown
    booklet = _booklet(plan.identity.mark, parts, companions, pages, plan_facts(plan, speakers), missing)
    shared = {f"a/{parts.digest}/{name}": content for name, content in drawn.items()}
    return replace(
        booklet,
        assets=booklet.assets | shared,
        copies=copied,
        shown={tag: tuple(said.values()) for tag, said in shown.items()},
    )


def plan_messages(plan: Plan, parts: Parts) -> tuple[Message, ...]:
    """What a plan's booklet shows in its first language, without making its files."""
    speaker = Speaker(plan.wordings[0])
    page = _view(plan, speaker, "", drawings_of(plan, parts.drawn))
    rendered(parts.templates.get_template("page/plan.html"), page, speaker)
    return tuple(_covered(speaker, parts).values())


def _view(plan: Plan, speaker: Speaker, assets: str, drawings: Mapping[str, Drawing]) -> PlanView:
    return replace(plan_view(plan, speaker, assets), pictures=picture_views(drawings, speaker, assets))


def _covered(speaker: Speaker, parts: Parts) -> dict[str, Message]:
    """All that has to be reviewed before a plan goes up: what it says, and every page that may take its place."""
    return {message.id: message for message in parts.life_messages} | speaker.shown


def life_booklet(notice: Notice, wordings: Mapping[str, Wording], parts: Parts) -> Booklet:
    """All files of the page that takes a plan's place: the plan's own names, so that nothing of it stays.

    It can always be made. Where a language has been lost or is no longer whole since the plan was given, its
    document is written in English as a whole, and `missing` says which ids were the reason ("" for no language).
    For a real unit words that nobody has reviewed in that language count as lost.

    Args:
        wordings: the usable languages by tag.
    """
    names, assets = notice.names, _assets_of(parts)
    template = parts.templates.get_template(_template_of(notice.what))
    drafts = notice.unit.demonstration
    missing = {
        tag: _lacking(wordings[tag], parts, drafts=drafts) if tag in wordings else {""}
        for tag in notice.languages
    }
    english = wordings.get(SOURCE_TAG, source_wording())
    spoken = {tag: wordings[tag] if not missing[tag] else english for tag in notice.languages}
    own = notice.unit.languages[0]
    staff = (
        wordings[own] if own in wordings and not _lacking(wordings[own], parts, drafts=drafts) else english
    )
    calls_off = notice.what in (Life.HELD, Life.CANCELLED)
    pages: dict[str, bytes] = {}
    companions: dict[str, bytes] = {"qr.svg": qr_svg(notice.link)}
    speakers = {tag: Speaker(wording) for tag, wording in spoken.items()}
    for tag, speaker in speakers.items():
        replaced = notice.replaces if calls_off else None
        companions[names.calendar(tag)] = cancelling_file(notice.identity, replaced, notice.unit, speaker)
        companions[names.manifest(tag)] = _manifest(names.href(tag), speaker, assets)
        page = notice_view(notice, tag, spoken, speaker, assets, staff)
        pages[names.page(tag)] = rendered(template, page, speaker)
    facts = [notice.what.value, {tag: sorted(speaker.said) for tag, speaker in speakers.items()}]
    return _booklet(notice.identity.mark, parts, companions, pages, facts_digest(facts), missing)


def _template_of(what: Life) -> str:
    return f"page/{what.value}.html"


def _lacking(wording: Wording, parts: Parts, *, drafts: bool = True) -> set[str]:
    """The ids of the pages in the place of a plan that a language lacks; without `drafts`, also the unreviewed."""
    has = wording.forms if drafts else wording.is_reviewed
    return {message.id for message in parts.life_messages if not has(message)}


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
    return as_json(
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
        "digest": digest_of({**files, **parts.assets, "worker": parts.worker.encode()})[:8],
        "pages": ["./" if name == "index.html" else name for name in pages],
        "files": list(companions),
    }
    return f"const PLAN={json.dumps(head, separators=(',', ':'))};\n{parts.worker}".encode()


def digest_of(files: Mapping[str, bytes]) -> str:
    """16 hex digits over every name and byte, in whatever order they come."""
    digest = hashlib.sha256()
    for name, content in sorted(files.items()):
        digest.update(f"{name}\0{len(content)}\0".encode() + content)
    return digest.hexdigest()[:16]
