"""Booklet: all files of one appointment as bytes, the shared files they need, and the facts they state."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass

from jinja2 import DictLoader, Environment, StrictUndefined

from generator.page.calendar_file import calendar_file
from generator.page.plan import Plan
from generator.page.qr import qr_svg
from generator.page.views import plan_view
from generator.words.message import Message
from generator.words.speaker import Speaker

_APP_NAME = Message(
    "C.page.name", "My plan", "Name below the icon on the phone. Short; it must not name the examination."
)
MESSAGES = (_APP_NAME,)


@dataclass(frozen=True, slots=True)
class Parts:
    """What every booklet is made from: template texts, shared files with their digest, the worker's body."""

    templates: Environment
    assets: Mapping[str, bytes]
    digest: str
    worker: str


@dataclass(frozen=True, slots=True)
class Booklet:
    """All files of one appointment.

    Attributes:
        files: name inside the plan's folder -> bytes, in the order in which they are put up; sw.js last.
        assets: path under public/ -> bytes, shared by all plans.
        facts: digest of what a person must be told of when it changes.
        missing: language tag -> ids it lacks; if there are any, the booklet must not be published.
    """

    files: dict[str, bytes]
    assets: dict[str, bytes]
    facts: str
    missing: dict[str, tuple[str, ...]]

    @property
    def digest(self) -> str:
        """16 hex digits over every byte: another one is another edition."""
        return _digest_of(self.files)


def parts_from(templates: Mapping[str, str], assets: Mapping[str, bytes], worker: str) -> Parts:
    """The parts, with templates ready: autoescaping on, undefined names are errors."""
    environment = Environment(
        loader=DictLoader(dict(templates)),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return Parts(environment, assets, _digest_of(assets)[:12], worker)


def booklet_for(plan: Plan, parts: Parts) -> Booklet:
    """All files of a plan. The same plan gives the same bytes."""
    assets = f"../../a/{parts.digest}/"
    speakers = [Speaker(wording) for wording in plan.wordings]
    pages: dict[str, bytes] = {}
    companions: dict[str, bytes] = {"qr.svg": qr_svg(plan.link)}
    for speaker in speakers:
        tag = speaker.wording.tag
        companions[plan.companion_name(tag, "ics", "plan")] = calendar_file(plan, speaker)
        companions[plan.companion_name(tag, "webmanifest", "app")] = _manifest(plan, speaker, assets)
        template = parts.templates.get_template("page/plan.html")
        pages[plan.page_name(tag)] = template.render(
            page=plan_view(plan, speaker, assets), t=speaker.t
        ).encode()
    files = {**companions, **pages}
    files["sw.js"] = _worker(plan, parts, files, pages, companions, assets)
    return Booklet(
        files=files,
        assets={f"a/{parts.digest}/{name}": content for name, content in parts.assets.items()},
        facts=_facts(plan, speakers),
        missing={
            speaker.wording.tag: tuple(sorted(speaker.missing)) for speaker in speakers if speaker.missing
        },
    )


def _manifest(plan: Plan, speaker: Speaker, assets: str) -> bytes:
    page = plan.page_name(speaker.wording.tag)
    name = speaker.plain(_APP_NAME)
    return _json(
        {
            "name": name,
            "short_name": name,
            "lang": speaker.wording.tag,
            "dir": speaker.wording.direction,
            "id": "./",
            "start_url": "./" if page == "index.html" else page,
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
    plan: Plan,
    parts: Parts,
    files: Mapping[str, bytes],
    pages: Mapping[str, bytes],
    companions: Mapping[str, bytes],
    assets: str,
) -> bytes:
    """The worker: its own digest changes with any byte of the plan, which is what makes phones look again."""
    head = {
        "mark": plan.identity.mark,
        "digest": _digest_of({**files, **parts.assets, "worker": parts.worker.encode()})[:12],
        "pages": ["./" if name == "index.html" else name for name in pages],
        "files": list(companions),
        "assets": [assets + name for name in parts.assets],
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
    return hashlib.sha256(_json(facts)).hexdigest()[:16]


def _json(value: object) -> bytes:
    return (json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":")) + "\n").encode()


def _digest_of(files: Mapping[str, bytes]) -> str:
    digest = hashlib.sha256()
    for name, content in sorted(files.items()):
        digest.update(f"{name}\0{len(content)}\0".encode() + content)
    return digest.hexdigest()[:16]
