"""Long tables in the quick run: every so many rows at once, all of them with `tests/run --long`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from _pytest.mark.structures import ParameterSet


def one_in(every: int, rows: Sequence[Any], ids: Sequence[str] | None = None) -> list[ParameterSet]:
    """Each row as a parameter; the first of every so many is quick, the others are marked long."""
    names = ids if ids is not None else [str(row) for row in rows]
    return [
        pytest.param(row, id=name, marks=[] if index % every == 0 else [pytest.mark.long])
        for index, (row, name) in enumerate(zip(rows, names, strict=True))
    ]
