"""Where the plans are served: what stands before p/<token>/ in every link."""

from __future__ import annotations

import re

from generator.clinic.unit import Unit
from generator.errors import BadRequest

DEFAULT_BASE_URL = "http://localhost:8641/"
# A link is this with p/<token>/ after it: nothing may come between, and nothing that a phone cannot open.
_WEB_ADDRESS = re.compile(r"https?://[^\s/?#]+(/[^\s?#]*)?")


def base_url_of(unit: Unit, stated: str | None) -> str:
    """The address of the plans, with its last slash: the stated one, else the unit's, else this computer's.

    Raises:
        BadRequest: if it cannot stand before a link.
    """
    url = stated or unit.base_url or DEFAULT_BASE_URL
    if not _WEB_ADDRESS.fullmatch(url):
        raise BadRequest(
            f"The address “{url}” cannot stand before a link.",
            remedy="Write it as https://plans.example.org/, without a space, “?” or “#”.",
        )
    return url if url.endswith("/") else f"{url}/"
