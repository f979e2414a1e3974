"""Batch: the rows of many bookings, one after the other or by several processes at once."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import AbstractContextManager, ExitStack

from generator.desk import Desk, Made, make_row
from generator.errors import DaybeforeError
from generator.finding import refusal
from generator.intake import RowReading

OpenDesk = Callable[[], AbstractContextManager[Desk]]


def made_rows(opened: OpenDesk, rows: Sequence[RowReading], jobs: int) -> Iterator[Made]:
    """What came of each row, in their order.

    Args:
        opened: opens a desk; with several jobs each process opens its own, so it must be picklable.
        jobs: how many processes work at once. The same rows give the same plans whatever their number.
    """
    if jobs == 1 or len(rows) < 2:
        with opened() as desk:
            for row in rows:
                yield _row_made(desk, row)
        return
    # Fresh processes: a fork would share the database connection and whatever threads there are.
    fresh = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(jobs, fresh, _begin, (opened,)) as pool:
        yield from pool.map(_row_made_here, rows, chunksize=max(1, len(rows) // (jobs * 8)))


def _row_made(desk: Desk, row: RowReading) -> Made:
    """What came of a row; what cannot go on in one row keeps nobody else from a link."""
    try:
        return make_row(desk, row)
    except DaybeforeError as error:
        return Made(None, (refusal("not-written", row.ref, error.problem, error.remedy),))


_open = ExitStack()  # a working process's own: its desk stays open until it ends
_desks: list[Desk] = []


def _begin(opened: OpenDesk) -> None:
    _desks.append(_open.enter_context(opened()))


def _row_made_here(row: RowReading) -> Made:
    return _row_made(_desks[0], row)
