"""Batch: the rows of many bookings, one after the other or by several processes at once."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import AbstractContextManager, ExitStack

from generator.desk import Desk, Made, make_rows
from generator.errors import DaybeforeError
from generator.finding import refusal
from generator.intake import RowReading

OpenDesk = Callable[[], AbstractContextManager[Desk]]
_TOGETHER = 40  # rows whose pages are held in memory and put up together: a unit's day, some ten megabytes


def made_rows(opened: OpenDesk, rows: Sequence[RowReading], jobs: int) -> Iterator[Made]:
    """What came of each row, in their order.

    Args:
        opened: opens a desk; with several jobs each process opens its own, so it must be picklable.
        jobs: how many processes work at once. The same rows give the same plans whatever their number.
    """
    if jobs == 1 or len(rows) < 2:
        with opened() as desk:
            for group in _groups(rows, _TOGETHER):
                yield from _made(desk, group)
        return
    # Fresh processes: a fork would share the database connection and whatever threads there are.
    fresh = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(jobs, fresh, _begin, (opened,)) as pool:
        for made in pool.map(_made_here, _groups(rows, min(_TOGETHER, len(rows) // (jobs * 8) + 1))):
            yield from made


def _groups(rows: Sequence[RowReading], size: int) -> list[Sequence[RowReading]]:
    return [rows[first : first + size] for first in range(0, len(rows), size)]


def _made(desk: Desk, rows: Sequence[RowReading]) -> list[Made]:
    """What came of rows made together; what cannot go on in one of them keeps nobody else from a link."""
    try:
        return make_rows(desk, rows)
    except DaybeforeError as error:
        if len(rows) > 1:
            return [made for row in rows for made in _made(desk, [row])]
        return [Made(None, (refusal("not-written", rows[0].ref, error.problem, error.remedy),))]


_open = ExitStack()  # a working process's own: its desk stays open until it ends
_desks: list[Desk] = []


def _begin(opened: OpenDesk) -> None:
    _desks.append(_open.enter_context(opened()))


def _made_here(rows: Sequence[RowReading]) -> list[Made]:
    return _made(_desks[0], rows)
