"""The command `language preview`: all pages in one language on this computer, made anew at each save of its file."""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import dataclass, field
from pathlib import Path

import click
from flask import Flask, Response, abort, render_template, send_from_directory
from markupsafe import Markup, escape
from waitress.server import create_server  # type: ignore[import-untyped]  # the package has no types

from generator.console.listening import listening_socket
from generator.desk.preview import preview_booklets
from generator.errors import BadRequest
from generator.finding import Finding
from generator.materials.languages import own_messages, wordings_of_unit
from generator.materials.shipped import locales_folder, read_shipped, shipped_folder
from generator.materials.unit_folder import LOCALES, UnitFolder, read_unit_folder
from generator.page.booklet import parts_from
from generator.page.catalogue import catalogue
from generator.plan.moments import in_zone
from generator.words.message import Message
from generator.words.preview import as_far_as, with_ids
from generator.words.whole_file import remarks_on
from generator.words.wording import Wording

_TYPES = {
    "css": "text/css",
    "js": "text/javascript",
    "png": "image/png",
    "svg": "image/svg+xml",
    "ics": "text/calendar",
}
_KINDS = ("p", "i")  # the pages in words, and with ids


@click.command("preview")
@click.argument("tag")
@click.option(
    "--unit",
    "unit_dir",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="The unit's folder.",
)
@click.option(
    "--port", type=click.IntRange(1, 65535), default=8650, show_default=True, help="Port on this computer."
)
def preview(tag: str, unit_dir: Path | None, port: int) -> None:
    """Shows all pages in language TAG on this computer, and makes them anew each time its file is saved.

    What is not translated yet stands in English; one tap shows the ids in place of the words.
    """
    site = PreviewSite(tag, unit_dir or shipped_folder("templates") / "unit")
    site.renew()
    with listening_socket("127.0.0.1", port) as listener:
        server = create_server(preview_app(site), sockets=[listener], threads=4, ident=None)
        click.echo(f"Preview of {tag}: http://127.0.0.1:{port}/ (stop with Ctrl-C)")
        try:
            server.run()
        finally:
            server.close()


@dataclass
class PreviewSite:
    """The pages of one language as of the last save of a file.

    Attributes:
        files: path below the address -> bytes.
        version: another one after each save.
        faults: what keeps the present file from being read; then the pages are those of the last good one.
    """

    tag: str
    unit_dir: Path
    files: dict[str, bytes] = field(default_factory=dict)
    version: str = ""
    faults: list[Finding] = field(default_factory=list)
    pages: list[str] = field(default_factory=list)
    rows: list[dict[str, object]] = field(default_factory=list)
    name: str = ""
    direction: str = "ltr"

    def renew(self) -> None:
        """Makes the pages anew if a file has changed since.

        Raises:
            BadRequest: if there is no such language.
            BadMaterials: if the unit's folder has faults.
        """
        version = self._stamp()
        if version == self.version:
            return
        self.version = version
        shipped, folder = read_shipped(), read_unit_folder(self.unit_dir)
        messages = catalogue(shipped.templates) | own_messages(folder)
        wordings, faults = wordings_of_unit(shipped, folder)
        self.faults = [fault for fault in faults if f"{self.tag}.po" in fault.where]
        if self.tag in wordings:
            raw = shipped.words[self.tag], folder.words.get(self.tag, b"")
            self._make(wordings[self.tag], messages, folder, raw)
        elif not self.faults:
            raise BadRequest(
                f"There is no language “{self.tag}”.", remedy=f"Begin it: daybefore language add {self.tag}"
            )

    def _stamp(self) -> str:
        """A digest of all files that the words come from."""
        digest = hashlib.sha256()
        for folder in (locales_folder(), self.unit_dir / LOCALES):
            for path in sorted(folder.glob("*.po")):
                digest.update(path.name.encode() + b"\0" + path.read_bytes())
        return digest.hexdigest()[:16]

    def _make(
        self, wording: Wording, messages: dict[str, Message], folder: UnitFolder, raw: tuple[bytes, bytes]
    ) -> None:
        shipped = read_shipped()
        parts = parts_from(shipped.templates, shipped.style, shipped.assets, shipped.drawn, shipped.worker)
        now = in_zone(dt.datetime.now(dt.UTC), folder.unit.zone).replace(second=0, microsecond=0)
        shown = {"p": as_far_as(wording, messages), "i": with_ids(wording, messages)}
        files: dict[str, bytes] = {}
        for kind, words in shown.items():
            for name, booklet in preview_booklets(folder, words, parts, now):
                # No worker: what is looked at while it is written must not be kept.
                own = {
                    f"{kind}/{name}/{file}": content
                    for file, content in booklet.files.items()
                    if file != "sw.js"
                }
                files |= own | booklet.assets
        self.files = files
        self.pages = list(dict.fromkeys(path.split("/")[1] for path in files if path.startswith("p/")))
        self.name, self.direction = wording.name, wording.direction
        self.rows = _rows(self.tag, wording, messages, raw)


def _rows(
    tag: str, wording: Wording, messages: dict[str, Message], raw: tuple[bytes, bytes]
) -> list[dict[str, object]]:
    """All messages with their words and what the checks say; those with a remark first."""
    parts = [
        {one.id: one for one in messages.values() if one.is_of_unit is of_unit} for of_unit in (False, True)
    ]
    remarks = {
        one.id: one.findings
        for content, part in zip(raw, parts, strict=True)
        if content
        for one in remarks_on(content, tag, f"{tag}.po", part, wording.base)
        if one.id in part
    }
    own = {message_id for message_id in messages if wording.forms(messages[message_id])}
    rows: list[dict[str, object]] = [
        {
            "id": message.id,
            "english": " / ".join(message.forms),
            "note": message.note,
            "words": " / ".join(wording.forms(message) or ()),
            "remarks": () if message.id in own and message.id not in remarks else remarks.get(message.id, ()),
            "missing": message.id not in own,
        }
        for message in messages.values()
    ]
    return sorted(rows, key=lambda row: (not row["missing"], not row["remarks"], str(row["id"])))


def preview_app(site: PreviewSite) -> Flask:
    """The web application of a preview; for this computer alone."""
    static = shipped_folder("static") / "preview"
    app = Flask(__name__, static_folder=None, template_folder=str(shipped_folder("templates") / "preview"))

    @app.get("/")
    def index() -> str:
        site.renew()
        missing = sum(bool(row["missing"]) for row in site.rows)
        return render_template(
            "index.html", tag=site.tag, name=site.name, dir=site.direction, version=site.version, pages=site.pages,
            faults=site.faults, messages=site.rows, missing=missing, file=f"{site.tag}.po",
        )  # fmt: skip

    @app.get("/version")
    def version() -> Response:
        site.renew()
        return Response(site.version, mimetype="text/plain", headers={"Cache-Control": "no-store"})

    @app.get("/preview.<kind>")
    def own_file(kind: str) -> Response:
        return send_from_directory(static, f"preview.{kind}")

    @app.get("/<path:path>")
    def file(path: str) -> Response:
        site.renew()
        name = f"{path}index.html" if path.endswith("/") else path
        if name not in site.files:
            abort(404)
        content, kind = site.files[name], name.rpartition(".")[2]
        if kind == "html":
            content = _with_bar(content.decode(), site, name).encode()
        mimetype = "text/html" if kind == "html" else _TYPES.get(kind, "application/octet-stream")
        return Response(content, mimetype=mimetype, headers={"Cache-Control": "no-store"})

    return app


def _with_bar(page: str, site: PreviewSite, name: str) -> str:
    """The page with a bar above it: back to all pages, and from words to ids and back."""
    kind, document = name.split("/")[:2]
    other = _KINDS[1 - _KINDS.index(kind)]
    told = "Show the ids" if kind == "p" else "Show the words"
    missing = sum(bool(row["missing"]) for row in site.rows)
    bar = Markup(
        '<nav class="preview-bar" lang="en" aria-label="Preview"><a href="/">All pages</a>'
        '<a href="/{other}/{document}/">{told}</a><span>{document}, {tag}: {missing} not translated yet</span></nav>'
    ).format(other=other, document=document, told=told, tag=site.tag, missing=missing)
    head = Markup(
        '<link rel="stylesheet" href="/preview.css"><script defer src="/preview.js" data-version="{}"></script>'
    ).format(site.version)
    page = page.replace("</head>", f"{head}</head>", 1)
    return page.replace("<body>", f"<body>{escape(bar)}", 1)
