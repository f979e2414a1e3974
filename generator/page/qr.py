"""The link as a QR code in SVG: dark on a white card of its own, quiet zone of four modules (ISO/IEC 18004)."""

from __future__ import annotations

from itertools import groupby

from markupsafe import Markup
from qrcode.constants import ERROR_CORRECT_M
from qrcode.main import QRCode

QUIET = 4  # modules
# Printed, for old cameras held by a shaking hand: the code without its quiet zone, and one module; millimetres.
_PRINTED, _MODULE = 36.0, 1.0


def qr_svg(link: str) -> bytes:
    """The code as an SVG file. Level M: at a fixed printed size, more correction costs more than it gains."""
    return _svg(_matrix(link), "").encode()


def printed_qr(link: str) -> Markup:
    """The code as an element of a page to be printed, in millimetres: large enough for an old phone."""
    matrix = _matrix(link)
    module = max(_MODULE, _PRINTED / len(matrix))
    size = f"{module * (len(matrix) + 2 * QUIET):.1f}mm"
    return Markup(_svg(matrix, f' width="{size}" height="{size}"'))


def _matrix(link: str) -> list[list[bool]]:
    code = QRCode(error_correction=ERROR_CORRECT_M, border=0)
    code.add_data(link)
    code.make(fit=True)
    return code.get_matrix()


def _svg(matrix: list[list[bool]], attributes: str) -> str:
    size = len(matrix) + 2 * QUIET
    path = "".join(_row_path(row, number + QUIET) for number, row in enumerate(matrix))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}"{attributes} '
        f'shape-rendering="crispEdges">'
        f'<path fill="#fff" d="M0 0h{size}v{size}H0z"/><path fill="#000" d="{path}"/></svg>\n'
    )


def qr_text(link: str) -> str:
    """The code in half blocks for a terminal: light ground, whatever the terminal's colours."""
    code = QRCode(error_correction=ERROR_CORRECT_M, border=QUIET)
    code.add_data(link)
    code.make(fit=True)
    rows = code.get_matrix()
    if len(rows) % 2:
        rows.append([False] * len(rows[0]))
    lines = []
    for upper, lower in zip(rows[::2], rows[1::2], strict=True):
        cells = "".join(
            " ▄▀█"[(not top) * 2 + (not bottom)] for top, bottom in zip(upper, lower, strict=True)
        )
        lines.append(f"\x1b[97;40m{cells}\x1b[0m")
    return "\n".join(lines)


def _row_path(row: list[bool], y: int) -> str:
    """Runs of dark modules as one rectangle each."""
    path, x = "", QUIET
    for dark, run in groupby(row):
        length = len(list(run))
        if dark:
            path += f"M{x} {y}h{length}v1h-{length}z"
        x += length
    return path
