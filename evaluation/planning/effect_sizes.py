"""What effect of a change a panel would find whose bottles separate several changes, before anybody smells."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import sqrt

from evaluation.kinds.separation import FEWEST_BY_PERSON, By, Separation, analysed_by
from evaluation.serving.incomplete_blocks import classes_of
from evaluation.statistics.ratings.paired import smallest_mean


@dataclass(frozen=True, slots=True)
class EffectSize:
    """The smallest effect found with power 1 − beta, in scatters of one rating: the standard deviation with which one
    person rates one bottle again.

    ``signs``: people, or pairs of bottles, whose signs are turned; ``own``: standard deviation of one of them in the
    same unit. ``alone`` if it is the only effect tested, ``among_all`` by Bonferroni among all ``rows``; None where
    nothing is tested. ``least_p``: the smallest family p any answers could give.
    """

    by: By
    signs: int
    own: float
    rows: int
    alone: float | None
    among_all: float | None
    least_p: float
    power: float


def effect_size(
    separation: Separation, people: int, sittings: int, tested: int, alpha: float, beta: float
) -> EffectSize:
    """What such a panel finds of main effects; ``tested``: descriptors times ages.

    Worked out for people who all see the same effect, bottles weighed without error, normal scatter, and the paired
    t-test by the noncentral t; the sign flips come near it from about ten signs on.
    """
    by = analysed_by(people)
    rounds = sittings // separation.sittings_a_round
    pairs = people << (len(separation.changes) - 1)
    signs, own = (people, _own(separation, rounds)) if by == "person" else (pairs, sqrt(2 / rounds))
    rows = len(separation.effects) * tested
    enough = rows > 0 and signs >= FEWEST_BY_PERSON
    return EffectSize(
        by,
        signs,
        own,
        rows,
        own * smallest_mean(signs, alpha, beta) if enough else None,
        own * smallest_mean(signs, alpha / rows, beta) if enough else None,
        float(_least(separation, by, signs)) if enough else 1.0,
        1.0 - beta,
    )


def _least(separation: Separation, by: By, signs: int) -> Fraction:
    """All signs alike; by pairs at the strictest of Holm's steps over the changes."""
    steps = 1 if by == "person" else len(separation.changes)
    return min(Fraction(1), steps * Fraction(2, 2**signs))


def _own(separation: Separation, rounds: int) -> float:
    """Of one person's effect: that of a balanced contrast, or of one bottle against the base."""
    if not separation.one_at_a_time:
        return sqrt(4 / (len(separation.combinations) * rounds))
    spread = [_against_base(separation, one) for one in classes_of(len(separation.combinations))]
    return sqrt(sum(spread) / len(spread) / rounds)


def _against_base(separation: Separation, dealt: tuple[tuple[int, ...], ...]) -> float:
    """Mean variance of bottle against base where a nose smells these blocks."""
    served = [sum(at in block for block in dealt) for at in range(len(separation.combinations))]
    base = separation.combinations.index("0" * len(separation.changes))
    others = [1 / served[base] + 1 / often for at, often in enumerate(served) if at != base]
    return sum(others) / len(others)
