"""Steps: the solved rows as a person sees them, with leaving, arriving and the procedure."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator, Mapping
from functools import lru_cache

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row
from generator.clinic.unit import Unit
from generator.plan.choice import Choice
from generator.plan.fixed import Fixed
from generator.plan.moments import from_epoch_minutes, in_zone, minutes_between
from generator.plan.network import ORIGIN, Closed, Network
from generator.plan.rules import drinks_of
from generator.plan.settling import settled_leeway, settled_reason, settling_minutes
from generator.plan.soonest import Room
from generator.plan.timetable import Leeway, Reason, Step


def row_steps(
    protocol: Protocol,
    left: Room,
    choice: Choice,
    fixed: Fixed,
    begun: Collection[str],
    reasons: Mapping[str, tuple[Reason, ...]],
) -> Iterator[Step]:
    """The protocol's rows as steps, in the order of the file; `left` is what the hard rules leave before kindness."""
    starts = choice.starts
    network, amounts = choice.solver.network, _amounts(protocol)
    rows = {row.id: row for row in protocol.rows}
    # A choice that only the hour made possible has no room of its own there: then it stands where it does.
    closure = next((one for way, one in left.ways if way.places == network.places), choice.closure)
    ends = _ends_by(network)
    for row in protocol.rows:
        start = starts[row.id]
        settling = settling_minutes(row, starts, protocol.rows, network.bounds, fixed)
        later = 0 if row.id in begun else settling
        yield Step(
            id=row.id,
            kind=row.kind,
            start=from_epoch_minutes(start + later, fixed.zone),
            end=_end(row, start + later, starts, fixed),
            leeway=settled_leeway(_leeway(row, start, network, closure, ends), later),
            amounts=_lasting(row, amounts[row.id], start + later, starts),
            diet=row.diet,
            medicine=row.medicine,
            because=(*reasons[row.id], settled_reason(row, later)) if later else reasons[row.id],
            check=row.check,
            at_unit=row.at_unit,
            # Who has begun a drink has mixed it.
            done=bool(begun) and (row.id in begun or any(name in begun for name in drinks_of(row, rows))),
        )


def _lasting(row: Row, amounts: dict[str, int], start: int, starts: Mapping[str, int]) -> dict[str, int]:
    """The amounts; a pause until another row says how many minutes that is in this plan."""
    if row.kind != "pause" or row.until_row is None:
        return amounts
    return amounts | {"takes_minutes": starts[row.until_row] - start}


def _end(row: Row, start: int, starts: Mapping[str, int], fixed: Fixed) -> dt.datetime | None:
    if row.minutes:
        return from_epoch_minutes(start + row.minutes, fixed.zone)
    if row.until_row is None:
        return None
    point = fixed.point(row.until_row)
    end = starts[row.until_row] if point is None else point
    return from_epoch_minutes(end, fixed.zone) if end > start else None


def _ends_by(network: Network) -> dict[str, int]:
    """Row -> the earliest fixed moment by which it must have ended, less its length, in epoch minutes."""
    found: dict[str, int] = {}
    for bound in network.bounds:
        if bound.deadline and (bound.earlier == ORIGIN or network.places[bound.earlier].leader == ORIGIN):
            latest = bound.most + (network.places[bound.earlier].offset if bound.earlier != ORIGIN else 0)
            found[bound.later] = min(latest, found.get(bound.later, latest))
    return found


def _leeway(row: Row, start: int, network: Network, closure: Closed, ends: Mapping[str, int]) -> Leeway:
    place = network.places[row.id]
    earliest, latest = (0, 0) if place.leader == ORIGIN else closure.window(place.leader)
    end = ends[row.id] + row.minutes - start if row.id in ends else None
    return Leeway(start - earliest - place.offset, latest + place.offset - start, end)


@lru_cache(maxsize=128)  # as many as rules_for keeps
def _amounts(protocol: Protocol) -> dict[str, dict[str, int]]:
    """The amounts of each row; shared by its steps, never written to."""
    return {row.id: amounts_of(row) for row in protocol.rows}


def amounts_of(row: Row) -> dict[str, int]:
    """Millilitres, minutes and counts of a row, by name."""
    amounts: dict[str, int] = {}
    if row.glasses:
        glasses = row.glasses
        amounts |= {
            "glasses": glasses.count,
            "ml": glasses.ml,
            "last_ml": glasses.last_ml,
            "total_ml": glasses.total_ml,
            "minutes": glasses.minutes,
            "fastest_minutes": glasses.fastest_minutes,
            "last_glass_after": glasses.total_minutes - glasses.minutes,
        }
        for name in ("most_ml_per_hour", "least_ml_per_hour", "least_ml", "most_ml"):
            if getattr(glasses, name) is not None:
                amounts[name] = getattr(glasses, name)
    if row.phase:
        limits = {"most_ml": row.phase.most_ml, "most_ml_per_hour": row.phase.most_ml_per_hour}
        amounts |= {name: value for name, value in limits.items() if value is not None}
    named = {
        "takes_minutes": row.takes_minutes,
        "keeps_minutes": row.keeps_minutes,
        "packets": row.packets,
        "mix_ml": row.mix_ml,
        "tablets": row.tablets,
        "wait_minutes": row.wait_minutes,
        "days": row.days,
    }
    return amounts | {name: value for name, value in named.items() if value is not None}


def own_steps(
    booking: Booking, unit: Unit, moments: tuple[dt.datetime, dt.datetime, dt.datetime]
) -> Iterator[Step]:
    """Leaving, arriving and the procedures of the visit: every plan has them."""
    first, arrival, leaving = moments
    travel, lead = minutes_between(leaving, arrival), minutes_between(arrival, first)
    if booking.pick_up is not None:
        told = Reason("the transport leaves then", "the booking", True)
    else:
        stated = "the booking" if booking.travel_minutes is not None else "the unit's default"
        told = Reason(f"{travel} minutes' way to the unit", stated, True)
    yield Step("leave", "leave", leaving, None, None, {"minutes": travel}, because=(told,))
    stated = "the booking" if booking.arrival is not None else "the unit's arrival lead"
    before = "the first procedure" if booking.others else "the procedure"
    told = Reason(f"{lead} minutes before {before}", stated, True)
    yield Step("arrive", "arrive", arrival, None, None, {"minutes": lead}, because=(told,))
    starts = [("procedure", in_zone(booking.start, unit.zone), "the booked start")]
    starts += [(other.id, in_zone(other.start, unit.zone), "the booked start") for other in booking.others]
    if booking.latest_start is not None:
        latest = in_zone(booking.latest_start, unit.zone)
        starts[0] = (*starts[0][:2], f"the earliest booked start; it may be as late as {latest:%H:%M}")
    for name, start, rule in starts:
        yield Step(name, "procedure", start, None, None, because=(Reason(rule, "the booking", True),))
