"""Takes a picture of every state in tests/browser/states.py and puts them on one page: see `tests/gallery --help`."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from html import escape
from pathlib import Path
from typing import Any

import click
import pytest
from playwright.sync_api import Browser, Error, sync_playwright

from tests.browser.conftest import FLAGS
from tests.browser.phones import program
from tests.browser.served import PlansServer, free_port
from tests.browser.states import NAMED, STATES, Pages, made, shown
from tests.command import ROOT
from tests.languages import EVERY

STYLE = (
    "body{font:16px/1.4 system-ui;margin:1rem;background:#e7e7e2;color:#1c2422}"
    "section{margin:0 0 2rem}h2{font-size:1rem;margin:0 0 .5rem}"
    "ul{display:flex;flex-wrap:wrap;gap:1rem;list-style:none;margin:0;padding:0}"
    "figure{margin:0}figcaption{font-size:.8rem}img{display:block;border:1px solid #888;height:auto}"
)


def picture(browser: Browser, pages: Pages, name: str, tag: str, path: Path, **eyes: Any) -> str | None:
    """Takes one picture; what went wrong, if something did, so that the others are taken all the same."""
    letters, full = eyes.pop("letters"), eyes.pop("full")
    try:
        with shown(browser, pages, NAMED[name], tag, **eyes) as page:
            if letters != 100:  # the page's own are 125 % of the browser's
                page.evaluate(
                    "size => { document.documentElement.style.fontSize = size }", f"{letters * 1.25:g}%"
                )
            page.screenshot(path=path, full_page=full)
    except Error as error:
        return str(error).splitlines()[0]
    return None


def index(rows: Iterable[tuple[str, list[tuple[str, str, str | None]]]]) -> str:
    """The page: for each state its pictures (caption, file, what went wrong)."""
    parts = [f"<!doctype html><meta charset=utf-8><title>Every state</title><style>{STYLE}</style>"]
    for name, pictures in rows:
        shots = "".join(
            f"<li><figure><figcaption>{escape(caption)}</figcaption>"
            + (
                f"<p>{escape(fault)}</p>"
                if fault
                else f'<a href="{file}"><img src="{file}" alt="" loading="lazy"></a>'
            )
            + "</figure></li>"
            for caption, file, fault in pictures
        )
        parts.append(f'<section id="{name}"><h2>{escape(name)}</h2><ul>{shots}</ul></section>')
    return "".join(parts)


@click.command()
@click.option(
    "--language", "tags", multiple=True, type=click.Choice(EVERY), help="All there are, if none is named."
)
@click.option(
    "--width", "widths", multiple=True, type=int, default=(360,), show_default=True, help="CSS pixels."
)
@click.option(
    "--state", "names", multiple=True, type=click.Choice(tuple(NAMED)), help="All, if none is named."
)
@click.option("--dark", is_flag=True, help="The night look.")
@click.option(
    "--forced-colours", is_flag=True, help="As a browser shows it with colours of the reader's own."
)
@click.option("--letters", type=int, default=100, show_default=True, help="Size of the letters, per cent.")
@click.option("--full", is_flag=True, help="The whole page, not one screen.")
@click.option(
    "--out", type=click.Path(path_type=Path), default=ROOT / ".cache" / "gallery", help="The folder."
)
def main(
    tags: tuple[str, ...], widths: tuple[int, ...], names: tuple[str, ...], dark: bool, forced_colours: bool,
    letters: int, full: bool, out: Path,
) -> None:  # fmt: skip
    """Shows the states of the patients' pages in languages and widths on one local page."""
    out.mkdir(parents=True, exist_ok=True)
    tags, port = tags or EVERY, free_port()
    eyes = {
        "color_scheme": "dark" if dark else "light",
        "forced_colors": "active" if forced_colours else "none",
        "letters": letters,
        "full": full,
    }
    rows: list[tuple[str, list[tuple[str, str, str | None]]]] = []
    with (
        tempfile.TemporaryDirectory() as place,
        pytest.MonkeyPatch.context() as patch,
        sync_playwright() as playwright,
    ):
        pages = made(Path(place), f"http://localhost:{port}/", tags, patch)
        path = program("DAYBEFORE_CHROMIUM", "chromium", "chromium-browser", "google-chrome")
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        with PlansServer(pages.data, port):
            for state in (state for state in STATES if state.name in (names or NAMED)):
                taken = []
                for tag, width in ((tag, width) for tag in tags for width in widths):
                    file = f"{state.name}-{tag}-{width}.png"
                    view = {"width": width, "height": 740}
                    fault = picture(browser, pages, state.name, tag, out / file, viewport=view, **eyes)
                    taken.append((f"{tag}, {width} px", file, fault))
                rows.append((state.name, taken))
                click.echo(f"{state.name}: " + ("; ".join(fault for *_, fault in taken if fault) or "taken"))
        browser.close()
    (out / "index.html").write_text(index(rows), "utf-8")
    click.echo(f"Open {out / 'index.html'}")


if __name__ == "__main__":
    main()
