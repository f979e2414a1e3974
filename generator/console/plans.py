"""Serves the folder `public/` of the plans, read-only, and nothing else."""

from __future__ import annotations

import gzip
import os
from pathlib import Path
from types import TracebackType
from typing import Any
from urllib.parse import quote

from flask import Flask, Response, redirect, request, send_file
from werkzeug.exceptions import HTTPException, NotFound
from werkzeug.security import safe_join
from werkzeug.wrappers import Response as AnyResponse

_TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".ics": "text/calendar; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".webmanifest": "application/manifest+json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".webp": "image/webp",
}
_NO_TYPE = "application/octet-stream"
# The others are small in themselves.
_PACKED = frozenset({".html", ".css", ".js", ".ics", ".txt", ".webmanifest", ".svg"})
_EFFORT = 6  # of gzip: a plan takes about 3 ms

# The worker's own rights come from the headers of sw.js, so every answer carries the policy. The one style sheet that
# may stand in a document is named by the document's own policy; both policies hold (W3C, CSP Level 3, 8.1).
_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self'; connect-src 'self'; "
        "manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
_FRESH = "no-cache"
_IMMUTABLE = "public, max-age=31536000, immutable"
_ONLY_TLS = "max-age=31536000"


class _Plans(Flask):
    def log_exception(
        self,
        exc_info: tuple[type, BaseException, TracebackType] | tuple[None, None, None],
    ) -> None:
        # The usual line and traceback hold the path, and the path holds a token.
        name = exc_info[0].__name__ if exc_info[0] else "unknown"
        self.logger.error("A file of the plans could not be served: %s.", name)


def plans_app(public: Path) -> Flask:
    """The web application for a folder of published plans.

    Args:
        public: the folder laid out as p/<token>/ and a/<digest>/; read for each request, never written.

    Answers GET and HEAD only. What is not a file below `public` is a 404 with an empty body.
    """
    app = _Plans(__name__, static_folder=None, template_folder=None)
    app.url_map.merge_slashes = False  # its redirect would name our host
    root = Path(os.path.realpath(public))

    def answer(path: str) -> AnyResponse:
        # The router drops the first slashes, and waitress before it.
        as_asked = (str(request.environ.get(name)) for name in ("PATH_INFO", "REQUEST_URI"))
        if any(one.startswith("//") for one in as_asked):
            raise NotFound
        return _answer(root, path)

    options: dict[str, Any] = {"methods": ["GET"], "provide_automatic_options": False}
    app.add_url_rule("/", "top", answer, defaults={"path": ""}, **options)
    app.add_url_rule("/<path:path>", "file", answer, **options)
    app.register_error_handler(HTTPException, _empty_answer)
    app.after_request(_with_headers)
    return app


def _answer(root: Path, path: str) -> AnyResponse:
    wanted = f"{path}index.html" if path == "" or path.endswith("/") else path
    file = _file_below(root, wanted)
    if file is not None:
        return _sent(file, immutable=wanted.startswith("a/"))
    if _file_below(root, f"{path}/index.html") is None:
        raise NotFound
    return _with_slash(path)


def _file_below(root: Path, path: str) -> Path | None:
    """The regular file at a path below root; names with a leading dot are work in progress, not published."""
    if any(part == "" or part.startswith(".") for part in path.split("/")):
        return None
    joined = safe_join(str(root), path)
    # os.path instead of pathlib: names too long or with a null byte are simply no files.
    if joined is None or not os.path.isfile(joined):  # noqa: PTH113
        return None
    file = Path(os.path.realpath(joined))
    return file if file.is_relative_to(root) else None


def _sent(file: Path, *, immutable: bool) -> Response:
    try:
        stat = file.stat()
        # Size and time of change alone are not enough: a copy can keep both and hold another plan.
        etag = f"{stat.st_mtime_ns:x}-{stat.st_ctime_ns:x}-{stat.st_ino:x}-{stat.st_size:x}"
        response = send_file(file, mimetype=_NO_TYPE, etag=etag)
    except FileNotFoundError:  # replaced or taken away at this moment
        raise NotFound from None
    response.headers["Content-Type"] = _TYPES.get(file.suffix, _NO_TYPE)
    response.headers["Cache-Control"] = _IMMUTABLE if immutable else _FRESH
    del response.headers["Content-Disposition"]
    return _packed(response) if file.suffix in _PACKED else response


def _packed(response: Response) -> Response:
    """The same answer gzipped for who takes it. Its tag becomes a weak one, as the bytes are others (RFC 9110, 8.8.1);
    a part of a file (206) and an answer without one (304) stay as they are."""
    response.vary.add("Accept-Encoding")
    if response.status_code == 200 and request.accept_encodings.quality("gzip") > 0:
        response.direct_passthrough = False
        response.set_data(gzip.compress(response.get_data(), _EFFORT, mtime=0))
        response.headers["Content-Encoding"] = "gzip"
        response.headers.pop("Accept-Ranges", None)
        response.set_etag(response.get_etag()[0] or "", weak=True)
    return response


def _with_slash(path: str) -> AnyResponse:
    """A redirect relative to the address asked for, so it holds under any host and base path."""
    last = path.rsplit("/", 1)[-1]
    query = request.query_string.decode("ascii", "replace")
    return redirect(f"./{quote(last, safe='')}/" + (f"?{query}" if query else ""), code=308)


def _empty_answer(error: HTTPException) -> AnyResponse:
    response = Response(status=error.code, mimetype="text/plain")
    allowed = getattr(error, "valid_methods", None)
    if allowed:
        response.headers["Allow"] = ", ".join(sorted(allowed))
    return response


def _with_headers(response: Response) -> Response:
    response.headers.setdefault("Cache-Control", _FRESH)
    response.headers.update(_HEADERS)
    if request.is_secure:
        response.headers["Strict-Transport-Security"] = _ONLY_TLS
    return response
