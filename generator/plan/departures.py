"""Departures: where a protocol's samples differ from published rules, and which of that was accepted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from generator.clinic.acceptance import Acceptance
from generator.clinic.food import Food
from generator.clinic.signoff import digest_of
from generator.plan.guidance import food_departures, guidance_departures
from generator.plan.samples import Sample


@dataclass(frozen=True, slots=True)
class Departure:
    """Where a sample, or one of the unit's foods (`sample` is then None), differs from a published rule."""

    yardstick: str
    rule: str
    sample: Sample | None
    text: str

    @property
    def problem(self) -> str:
        """The whole sentence."""
        return f"{self.sample.name}: {self.text}" if self.sample else self.text

    def as_json(self) -> dict[str, str]:
        """The promised JSON form."""
        return {"yardstick": self.yardstick, "rule": self.rule, "problem": self.problem}


@dataclass(frozen=True, slots=True)
class DepartedRule:
    """All departures from one published rule, and how it stands with them.

    Attributes:
        accepted: the line that accepts them as they are now, or None.
        former: what was accepted of this rule before its figures changed, or None.
    """

    yardstick: str
    rule: str
    departures: tuple[Departure, ...]
    accepted: Acceptance | None
    former: Acceptance | None

    @property
    def figures(self) -> str:
        """Digest of all that is said of it."""
        return _figures(self.departures)

    @property
    def lines(self) -> list[str]:
        """What departs, each once, with the starts for which it does."""
        told: dict[str, list[Sample]] = {}
        for one in self.departures:
            told.setdefault(one.text, []).extend([one.sample] if one.sample else [])
        return [f"{text}{_starts(samples)}" for text, samples in told.items()]


def departures_of(samples: Sequence[Sample], foods: Sequence[Food] = ()) -> tuple[Departure, ...]:
    """Every departure of every sample from a published rule, and of the unit's foods from fasting guidance."""
    found = [
        Departure(yardstick.id, problem.split(";")[1].strip().rstrip("."), sample, problem)
        for sample in samples
        for yardstick in sample.timetable.yardsticks
        for problem in yardstick.departures
    ]
    for sample in samples:
        for guidance, rule, problem in guidance_departures(sample.timetable):
            found.append(Departure(guidance, rule, sample, problem))
    return (*found, *(Departure(one, rule, None, problem) for one, rule, problem in food_departures(foods)))


def departed_rules(
    departures: Iterable[Departure], file: str, accepted: Iterable[Acceptance]
) -> tuple[DepartedRule, ...]:
    """The departures by rule, each beside the line that accepts it.

    Args:
        file: the protocol's path inside the unit's folder, as the lines name it.
    """
    rules: dict[tuple[str, str], list[Departure]] = {}
    for one in departures:
        rules.setdefault((one.yardstick, one.rule), []).append(one)
    lines = {(one.yardstick, one.rule, one.figures): one for one in accepted if one.file == file}
    last = {(one.yardstick, one.rule): one for one in lines.values()}
    return tuple(
        DepartedRule(*names, tuple(found), lines.get((*names, _figures(found))), last.get(names))
        for names, found in rules.items()
    )


def _starts(samples: Iterable[Sample]) -> str:
    """The starts of samples in brackets, each with the ways it is for where these are not the same for all."""
    ways: dict[str, list[int]] = {}
    for sample in samples:
        ways.setdefault(f"{sample.start:%H:%M}", []).append(sample.travel_minutes)
    alike: dict[str, list[str]] = {}
    for start, travels in ways.items():
        alike.setdefault(" or ".join(map(str, travels)), []).append(start)
    told = "; ".join(
        f"a start at {', '.join(starts)} with {way} minutes' way" for way, starts in alike.items()
    )
    return f" ({told})" if told else ""


def _figures(departures: Iterable[Departure]) -> str:
    return digest_of([one.problem for one in departures])
