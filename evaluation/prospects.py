"""What a panel can find where several trials are compared - profiles, rounds of pairs, rankings - before it smells."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import factorial
from types import MappingProxyType
from typing import Final

from evaluation.asking import rated
from evaluation.sessions import Plan

# What a session of the method is there to say; confirmed in words where the panel is too small ever to say it.
ASKED_FOR: Final = MappingProxyType(
    {"profile": "a descriptor moved", "round": "a trial preferred", "ranking": "trials ranked apart"}
)
RATED_ONCE: Final = frozenset({"line", "category"})  # scales whose differences are tested


@dataclass(frozen=True, slots=True)
class Prospect:
    """What such a panel can and cannot find.

    ``least_p`` is the smallest p-value any answers could give; ``rows`` how many differences are tested together.
    """

    method: str
    people: int
    trials: int
    rows: int
    alpha: float
    least_p: float

    @property
    def can_be_sealed(self) -> bool:
        """A panel too small to test can still describe, if the conductor confirms that it is no test."""
        return True

    @property
    def to_confirm(self) -> tuple[str, ...]:
        """What can never be found, whatever is answered."""
        return () if self.least_p <= self.alpha else (ASKED_FOR[self.method],)


def prospect_of(plan: Plan) -> Prospect:
    """The prospect of a plan whose method compares several trials."""
    least = _LEAST[plan.method](plan.people, len(plan.trial_ids))
    return Prospect(plan.method, plan.people, len(plan.trial_ids), rows_of(plan), float(plan.alpha), float(least))


def rows_of(plan: Plan) -> int:
    """Differences tested together: descriptor × age × pair of trials for a profile, pairs of trials otherwise."""
    pairs = len(plan.trial_ids) * (len(plan.trial_ids) - 1) // 2
    if plan.method != "profile":
        return pairs
    tested = sum(one.scale in RATED_ONCE for one in rated(plan))
    return pairs * tested * sum(len(plan.ages_on(medium)) for medium in plan.media)


def _signs(people: int, trials: int) -> Fraction:
    """All signs alike: 2 of the 2^n patterns of an exact two-sided sign test or sign flip."""
    return min(Fraction(1), Fraction(2, 2**people))


def _ranks(people: int, trials: int) -> Fraction:
    """Everybody ranks alike: t! of the t!^n tables of Friedman's exact distribution."""
    return Fraction(1, factorial(trials) ** (people - 1))


_LEAST: Final[Mapping[str, Callable[[int, int], Fraction]]] = MappingProxyType(
    {"profile": _signs, "round": _signs, "ranking": _ranks}
)
