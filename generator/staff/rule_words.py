"""A protocol's rules as sentences that a doctor can read and sign, each with what states it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from generator.clinic.protocol import Protocol
from generator.clinic.rows import Anchor, Gap, Glasses, Row, WallClock
from generator.plan.rules import drinks_of, follows_at_once
from generator.plan.spoken import hours, spoken, spoken_day
from generator.staff.step_names import Names, in_words, names_of_rows

_CHECKS = {
    "clarity": "The patient looks whether the stool is see-through.",
    "movement": "If nothing has come by then, the patient calls the unit.",
}
_DIETS = {
    "low-fibre": "Food with little fibre only.",
    "full-liquids": "Liquid food only.",
    "usual": "The patient eats as usual.",
}
_SEDATIONS = {
    "none": "no sedation", "gas": "gas and air", "conscious": "conscious sedation", "propofol": "propofol",
    "general": "a general anaesthetic",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ToldRule:
    """One rule in a sentence, and what the file says states it."""

    sentence: str
    source: str


@dataclass(frozen=True, slots=True)
class ToldRow:
    """One row of the file: the heading that patients see over its step, its id, and its rules."""

    title: str
    id: str
    rules: tuple[ToldRule, ...]


def told_rows(protocol: Protocol) -> list[ToldRow]:
    """Every row in the order of the file; no figure of the file is left out."""
    names = names_of_rows(protocol.rows)
    rows = {row.id: row for row in protocol.rows}
    return [ToldRow(names[row.id], row.id, tuple(_rules(row, rows, names))) for row in protocol.rows]


def told_usual_medicines(protocol: Protocol) -> ToldRule | None:
    """How far the patient's own medicines keep from the doses, or None."""
    gap = protocol.usual_medicines
    if gap is None:
        return None
    after = f"until {hours(gap.after)} after it" if gap.after else "until it is drunk"
    return ToldRule(f"Own medicines: not from {hours(gap.before)} before each dose {after}.", gap.source)


def _rules(row: Row, rows: dict[str, Row], names: Names) -> Iterator[ToldRule]:
    for told in (*_times(row), *_lengths(row), *_contents(row, rows)):
        yield ToldRule(in_words(told.sentence, names), told.source)


def _times(row: Row) -> Iterator[ToldRule]:
    """When it starts, and by when it has ended."""
    if row.anchor is not None:
        yield ToldRule(_sentence(_moment(row.anchor)), row.source)
    for other in row.instead:
        yield ToldRule(f"With {_kinds(other.sedation)}: {spoken(other.anchor)} instead.", other.source)
    for window in row.windows:
        ends = [
            f"{word} {spoken(end)}"
            for word, end in (("no earlier than", window.since), ("no later than", window.until))
            if end is not None
        ]
        yield ToldRule(f"Starts {' and '.join(ends)}{_only(window.sedation)}.", window.source)
    for gap in row.gaps:
        yield ToldRule(f"Starts {_gap(gap, row)}{_only(gap.sedation)}.", gap.source)
    for deadline in row.deadlines:
        yield ToldRule(f"Has ended by {spoken(deadline.anchor)}{_only(deadline.sedation)}.", deadline.source)
    if row.usual:
        told = ", ".join(f"{at:%H:%M} for a start at {slot:%H:%M}" for slot, at in row.usual.items())
        yield ToldRule(f"Usually, where the rules leave room: {told}.", row.source)


def _moment(anchor: Anchor) -> str:
    if isinstance(anchor, WallClock):
        return f"at {anchor.at:%H:%M}, {spoken_day(anchor.day)}"
    return spoken(anchor) if anchor.minutes else f"at {spoken(anchor)}"


def _gap(gap: Gap, row: Row) -> str:
    point = f"{'the start' if gap.counted_from == 'start' else 'the end'} of “{gap.row}”"
    if gap.row in ("procedure", "arrival", "leaving"):
        point = f"“{gap.row}”"
    if gap.at_least == gap.at_most and gap.at_least is not None:
        return f"{hours(gap.at_least)} after {point}"
    if follows_at_once(row) and gap.at_least is not None:
        return (
            f"as soon as it may, {hours(gap.at_least)} or more after {point}"
            if gap.at_least
            else f"at {point}"
        )
    ends = [
        f"{word} {hours(minutes)}"
        for word, minutes in (("at least", gap.at_least), ("at most", gap.at_most))
        if minutes is not None
    ]
    return f"{' and '.join(ends)} after {point}"


def _lengths(row: Row) -> Iterator[ToldRule]:
    """How long it lasts, and what holds for a session of drinking."""
    if row.until_row is not None:
        yield ToldRule(f"Until “{row.until_row}”.", row.source)
    if row.takes_minutes is not None:
        yield ToldRule(f"Takes {hours(row.takes_minutes)}.", row.source)
    if row.glasses is not None:
        for sentence in _session(row.glasses):
            yield ToldRule(sentence, row.source)
    if row.phase is not None:
        limits = (("in all", row.phase.most_ml), ("in any hour", row.phase.most_ml_per_hour))
        told = " and ".join(f"at most {_ml(most)} {when}" for when, most in limits if most is not None)
        if told:
            yield ToldRule(f"All drinks of this time together, bowel medicine included: {told}.", row.source)
    if row.days is not None:
        yield ToldRule(f"For {row.days} days.", row.source)


def _session(glasses: Glasses) -> Iterator[str]:
    last = f", the last of {_ml(glasses.last_ml)}" if glasses.last_ml != glasses.ml else ""
    count = "1 glass" if glasses.count == 1 else f"{glasses.count} glasses"
    yield (
        f"{count} of {_ml(glasses.ml)}{last}: {_ml(glasses.total_ml)} in {hours(glasses.total_minutes)}, "
        f"{hours(glasses.minutes)} for each glass."
    )
    if glasses.fastest_minutes != glasses.minutes:
        yield f"Never faster than a glass in {hours(glasses.fastest_minutes)}."
    if glasses.least_ml is not None or glasses.most_ml is not None:
        bounds = (("at least", glasses.least_ml), ("at most", glasses.most_ml))
        told = " and ".join(f"{word} {_ml(ml)}" for word, ml in bounds if ml is not None)
        yield f"In this session {told}."
    if glasses.least_ml_per_hour is not None:
        yield f"At least {_ml(glasses.least_ml_per_hour)} in an hour."
    if glasses.most_ml_per_hour is not None:
        yield f"At most {_ml(glasses.most_ml_per_hour)} in any hour, all drinks counted."


def _contents(row: Row, rows: dict[str, Row]) -> Iterator[ToldRule]:
    """What it is made of, and where and what it is for."""
    for sentence in (*_mixture(row, rows), *_taken(row), *_looked_at(row)):
        yield ToldRule(sentence, row.source)


def _mixture(row: Row, rows: dict[str, Row]) -> Iterator[str]:
    if row.kind == "mix":
        packets = f"{row.packets} packet{'s' if row.packets != 1 else ''}" if row.packets else "The medicine"
        water = f" in {_ml(row.mix_ml)} of water" if row.mix_ml is not None else ""
        served = " and ".join(f"“{name}”" for name in drinks_of(row, rows))
        yield f"{packets}{water}{f', for {served}' if served else ''}."
    if row.wait_minutes is not None:
        yield f"Stands {hours(row.wait_minutes)} before it is drunk."
    if row.keeps_minutes is not None:
        yield f"Keeps {hours(row.keeps_minutes)}, and is drunk by then."


def _taken(row: Row) -> Iterator[str]:
    if row.tablets is not None:
        each = f", each {row.contains}" if row.contains else ""
        yield f"{row.tablets} tablet{'s' if row.tablets != 1 else ''}{each}."
    elif row.contains is not None:
        yield f"It contains {row.contains}."
    if row.at_unit:
        yield "At the unit, after arrival."
    if row.medicine and row.kind not in ("drink", "tablets", "enema"):
        yield "It counts as bowel medicine."


def _looked_at(row: Row) -> Iterator[str]:
    if row.diet is not None:
        yield _DIETS[row.diet]
    if row.check is not None:
        yield _CHECKS[row.check]
    if row.settle_minutes is not None:
        yield f"Up to {hours(row.settle_minutes)} later, as far as the day leaves it."
    if row.room_minutes is not None:
        yield f"{_sentence(hours(row.room_minutes))[:-1]} should then be left until nothing more may be taken."


def _only(sedation: tuple[str, ...]) -> str:
    return f", with {_kinds(sedation)}" if sedation else ""


def _kinds(sedation: tuple[str, ...]) -> str:
    return " or ".join(_SEDATIONS[kind] for kind in sedation)


def _ml(millilitres: int) -> str:
    return f"{millilitres:,} mL"


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."
