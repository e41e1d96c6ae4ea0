"""What null sets can catch, worked out before anybody smells."""

from __future__ import annotations

from dataclasses import dataclass

from evaluation import statistics
from evaluation.judging import figures
from evaluation.kinds import Method, kind_of


@dataclass(frozen=True, slots=True)
class Nulls:
    """What the null sets of all noses together catch.

    ``minimum`` right or more warn; ``power`` is the probability to warn of a leak that gives away a share pd of sets.
    """

    assessments: int
    minimum: int | None
    power: float


def null_outlook(method: Method, assessments: int, alpha: float, pd: float) -> Nulls:
    """What so many null sets can catch; methods with a direction are looked at both ways, each at half of alpha."""
    level = alpha / 2.0 if kind_of(method).directed else alpha
    return Nulls(
        assessments, figures.minimum(assessments, method, level), statistics.power(assessments, method, level, pd)
    )
