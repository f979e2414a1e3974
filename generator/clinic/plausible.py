"""Plausible: amounts that a slip of the pen makes: milligrams for grams, a sachet too many, water without a limit.

The spans are drawn wide around the figures of published labels; they find slips and judge no regimen.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from generator.clinic.protocol import Protocol
from generator.clinic.rows import Row
from generator.finding import Finding, refusal, warning

_AMOUNT = re.compile(r"(\d+(?:[.,]\d+)?)\s*(kg|mg|g|micrograms?|mcg|µg)\b", re.IGNORECASE)
_MILLIGRAMS = {"kg": 1e6, "g": 1e3, "mg": 1.0}


@dataclass(frozen=True, slots=True)
class Substance:
    """What one piece (sachet, bottle, litre, tablet) may hold and a whole preparation may reach, in milligrams."""

    names: tuple[str, ...]
    least: float
    most: float
    most_in_all: float
    source: str


SUBSTANCES = (
    Substance(("macrogol", "peg", "polyethylene glycol"), 5e3, 3e5, 3e5, "labels: 236 to 240 g in 4 L, 200 g in 2 L"),
    Substance(("picosulfate",), 5, 10, 20, "labels: two sachets of 10 mg"),
    Substance(("bisacodyl",), 5, 10, 20, "trade: 5 to 15 mg beside a preparation"),
    Substance(("magnesium oxide",), 1e3, 1e4, 1e4, "labels: 3.5 g in each of two sachets"),
    Substance(("magnesium citrate",), 5e3, 6e4, 1e5, "trade: bottles of 17 to 50 g"),
    Substance(("citric acid",), 1e3, 3e4, 6e4, "labels: 12 g in each of two sachets"),
    Substance(("sodium sulfate", "sodium sulphate"), 1e3, 3e4, 6e4, "labels: 17.5 g a bottle, 7.5 g a litre"),
    Substance(("potassium sulfate", "potassium sulphate"), 5e2, 6e3, 1.2e4, "labels: 3.13 g a bottle"),
    Substance(("magnesium sulfate", "magnesium sulphate"), 2e2, 6e3, 1.2e4, "labels: 1.6 g a bottle, 225 mg a tablet"),
    Substance(("ascorbic acid",), 1e3, 5e4, 6e4, "labels: 4.7 g a litre"),
    Substance(("sodium ascorbate",), 1e3, 6e4, 6e4, "labels: 5.9 g a litre"),
    Substance(("simeticone", "simethicone"), 20, 500, 1200, "trials: 120 to 1,200 mg"),
    Substance(("senna", "sennoside"), 5, 200, 400, "trade: tablets of 7.5 to 15 mg"),
)  # fmt: skip
_PHOSPHATE = re.compile("sodium (?:di|bi)?(?:hydrogen )?phosphate|phosphosoda", re.IGNORECASE)
_TOO_MUCH_WATER = 560  # mL an hour: the published case below, rounded down
_DILUTING = re.compile(
    "picosulfate|magnesium(?! sul)", re.IGNORECASE
)  # sulfate labels ask for a litre in an hour or two


def implausible_findings(protocol: Protocol) -> Iterator[Finding]:
    """Everything in a protocol that reads like a slip, for the clinical lead to look at."""
    packets = sum(row.packets or 0 for row in protocol.rows)
    yield from _amounts(protocol.composition, packets or protocol.pieces, protocol.id)
    taken: dict[str, list[Row]] = {}
    for row in protocol.rows:
        if row.contains is not None:
            taken.setdefault(row.contains, []).append(row)
    for contains, rows in taken.items():
        where = f"{protocol.id} {', '.join(row.id for row in rows)}"
        yield from _amounts(contains, sum(row.tablets or 1 for row in rows), where)
    yield from _pieces(protocol, packets)
    yield from override_findings(protocol)
    if _DILUTING.search(protocol.composition):
        yield from _uncapped(protocol)


def override_findings(protocol: Protocol) -> Iterator[Finding]:
    """What no plan is made from unless the signed file holds the clinical lead's reason; with it, a warning."""
    stated = [protocol.composition, *(row.contains or "" for row in protocol.rows)]
    if any(_PHOSPHATE.search(composition) for composition in stated):
        reason = protocol.overrides.get("phosphate")
        yield (refusal if reason is None else warning)(
            "phosphate",
            protocol.id,
            "Sodium phosphate by mouth can injure the kidneys (US boxed warning of 2008; ESGE advises against its "
            f"routine use).{f' The file says why all the same: {reason}' if reason else ''}",
            "Use another medicine, or have the clinical lead state under [override] why it is given: "
            "phosphate = “…”.",
        )


def _amounts(composition: str, pieces: int, where: str) -> Iterator[Finding]:
    """Each substance with an amount that no piece of it holds, or that is too much over the whole preparation."""
    for part in re.split(r"[,;]\s", composition):
        found = _AMOUNT.search(part)
        name = part.casefold()
        substance = next((one for one in SUBSTANCES if any(_has(word, name) for word in one.names)), None)
        if found is None or substance is None:
            continue
        amount = float(found[1].replace(",", ".")) * _MILLIGRAMS.get(found[2].casefold(), 1e-3)
        told = f"“{part.strip()}”"
        if not substance.least <= amount <= substance.most:
            yield warning(
                "amount-implausible",
                where,
                f"{told} is {_plain(amount)} a piece; {_plain(substance.least)} to {_plain(substance.most)} "
                f"would be usual ({substance.source}).",
                f"Compare with the box.{_slip(found[1], amount, substance)}",
            )
        elif amount * pieces > substance.most_in_all:
            yield warning(
                "amount-over-label",
                where,
                f"{told} taken {pieces} times is {_plain(amount * pieces)}; labels go to "
                f"{_plain(substance.most_in_all)} ({substance.source}).",
                "Compare the number of pieces with the label.",
            )


def _has(word: str, text: str) -> bool:
    return re.search(rf"\b{re.escape(word)}", text) is not None


def _slip(number: str, amount: float, substance: Substance) -> str:
    """The unit that would make sense of the number, if one does."""
    for unit, factor in (("g", 1000), ("mg", 0.001)):
        if substance.least <= amount * factor <= substance.most:
            return f" Was {number} {unit} meant?"
    return ""


def _plain(milligrams: float) -> str:
    return f"{milligrams / 1000:g} g" if milligrams >= 1000 else f"{milligrams:g} mg"


def _pieces(protocol: Protocol, packets: int) -> Iterator[Finding]:
    if packets and packets != protocol.pieces:
        yield warning(
            "pieces-differ",
            protocol.id,
            f"The rows use {packets} packet(s), and the box holds {protocol.pieces}.",
            "Mend packets or pieces, or say in the unit's own words what becomes of the rest.",
        )
    used = packets or protocol.pieces
    if protocol.label_pieces is not None and used != protocol.label_pieces:
        yield warning(
            "amount-over-label" if used > protocol.label_pieces else "amount-under-label",
            protocol.id,
            f"{used} piece(s) are taken, and the label states {protocol.label_pieces} for one preparation.",
            "Compare with the label; if the unit means it, the clinical lead states why in the sources.",
        )


def _uncapped(protocol: Protocol) -> Iterator[Finding]:
    """Too much water with these medicines has lowered blood sodium (Weir et al., Am J Gastroenterol 2014)."""
    for row in protocol.rows:
        limits = row.glasses if row.kind == "extra-fluid" else row.phase
        if limits is None:
            continue
        stated = {"most_ml_per_hour": limits.most_ml_per_hour, "most_ml": limits.most_ml}
        missing = [key for key, value in stated.items() if value is None]
        most = limits.most_ml_per_hour
        if most is not None and most >= _TOO_MUCH_WATER:
            yield warning(
                "fluid-cap-high",
                f"{protocol.id} {row.id}",
                f"“{row.id}” allows {most} mL an hour; sodium fell to 118 mmol/L after about 4.5 L in 8 hours, "
                f"{_TOO_MUCH_WATER} mL an hour (case report, ESA-SRB 2023).",
                "State a lower most_ml_per_hour.",
            )
        if missing:
            yield warning(
                "fluid-uncapped",
                f"{protocol.id} {row.id}",
                f"“{row.id}” states no {' and no '.join(missing)}; with this medicine too much water is dangerous.",
                f"State {' and '.join(missing)}.",
            )
