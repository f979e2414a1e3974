"""The bag: what this patient brings, laid out flat: what can be drawn of the unit's list, if it is theirs to bring."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from generator.page.drawing import HEAD, TAIL, parts_of
from generator.page.plan import Plan

_parts = lru_cache(maxsize=4)(parts_of)
_UNSTATED = (
    "letter",
    "medicines-list",
    "glasses",
    "hearing-aids",
    "spare-clothes",
)  # where no day.toml is signed
_DIABETES = {"diabetes", "insulin", "sglt2"}  # classes of medicine
# columns and rows -> scale of an item, drawn 60 by 60
_GRIDS = ((4, 1, 1.3), (4, 2, 1.3), (4, 3, 1.05), (5, 3, 1.0))


def bag_drawing(plan: Plan, source: str) -> str:
    """The drawing; "" where nothing of the unit's list can be drawn."""
    drawn = _parts(source)
    items = [name for name in _brought(plan) if name in drawn][:15]
    if not items:
        return ""
    most, scale = next((columns, scale) for columns, rows, scale in _GRIDS if len(items) <= columns * rows)
    columns = min(most, len(items))
    wide, high = 320 / columns, 200 / -(-len(items) // columns)
    parts = [f'{HEAD}<g stroke-width="{3 / scale:.4g}">']
    for index, name in enumerate(items):
        row, column = divmod(index, columns)
        x, y = wide * (column + 0.5), high * (row + 0.5)
        parts.append(f'<g transform="translate({x:g} {y:.4g})scale({scale:g})">{drawn[name]}</g>')
    return "".join([*parts, "</g>", TAIL])


def _brought(plan: Plan) -> Iterator[str]:
    """The unit's list in its order, without what only people with diabetes or a stoma bring, where it is not theirs."""
    day = plan.advice.day
    for name in day.bring if day else _UNSTATED:
        if name == "diabetes-kit" and not _has_diabetes(plan):
            continue
        if name == "stoma-bag" and not any("stom" in factor for factor in plan.booking.factors):
            continue
        yield name


def _has_diabetes(plan: Plan) -> bool:
    booking = plan.booking
    picked = {plan.instructions[name].medicine for name in booking.instructions if name in plan.instructions}
    return bool(_DIABETES & {*picked, *booking.medicines, *booking.call_first}) or any(
        factor.startswith("diabetes") for factor in booking.factors
    )
