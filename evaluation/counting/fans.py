"""What a fan of two strips found: each candidate beside the trial against the trial alone, and what to mix of it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from evaluation.counting.rounds import Pair, RoundFound
from evaluation.kinds import Ranking


@dataclass(frozen=True, slots=True)
class Candidate:
    """One material on a second strip against the trial alone, in people; ``parts``: see :class:`FanFound`."""

    name: str
    material: str
    for_it: int
    for_alone: int
    people: int
    shown: bool  # preferred to the trial alone, by the sealed family of all pairs
    parts: float | None

    @property
    def liked(self) -> bool:
        """More people put it before the trial alone than behind."""
        return self.for_it > self.for_alone


@dataclass(frozen=True, slots=True)
class FanFound:
    """A fan, its candidates in order of the people who put them before the trial alone.

    ``parts``: of the material to 100 parts of the trial's concentrate that put as much of it on one strip as its own
    strip carried; None where the strength of the trial is not known. It is where to begin, and no finding.
    """

    trial: str
    strength: float | None
    candidates: tuple[Candidate, ...]


def fan_of(found: RoundFound) -> FanFound | None:
    """The fan of an answered ranking with second strips; None for any other."""
    if not found.plan.kind.ranks or not found.answered:
        return None
    own = Ranking.of(found.plan)
    if not own.fan:
        return None
    against = {pair.second: pair for pair in found.pairs if pair.first == 0}  # letter A is the trial alone
    strength, trial = found.strength, found.names[0].removesuffix(" alone")
    told = [_candidate(own, place, pair, strength) for place, pair in against.items()]
    told.sort(key=lambda one: (not one.shown, one.for_alone - one.for_it))
    return FanFound(trial, None if strength is None else float(strength), tuple(told))


def _candidate(own: Ranking, place: int, pair: Pair, strength: Decimal | None) -> Candidate:
    strip = own.second_strips[place - 1]
    shown = pair.shown and pair.better == place
    parts = None if strength is None else float(strip.parts_beside(strength))
    return Candidate(strip.name, strip.material, pair.for_second, pair.for_first, pair.people, shown, parts)
