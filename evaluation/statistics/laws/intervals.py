"""Exact intervals for a proportion."""

from __future__ import annotations

from dataclasses import dataclass

from scipy import special


@dataclass(frozen=True, slots=True)
class Interval:
    """A two-sided interval: ``low`` ≤ ``high`` on the scale ``of``, at confidence ``level`` (0 … 1)."""

    low: float
    high: float
    level: float
    of: str


def lower_limit(correct: int, assessments: int, risk: float) -> float:
    """Exact one-sided lower limit of a proportion: the p with P(X ≥ correct) = risk; 0 where none is correct.

    Clopper & Pearson 1934, Biometrika 26, 404–413.
    """
    if correct == 0:
        return 0.0
    return float(special.betaincinv(correct, assessments - correct + 1, risk))


def upper_limit(correct: int, assessments: int, risk: float) -> float:
    """Exact one-sided upper limit of a proportion: the p with P(X ≤ correct) = risk; 1 where all are."""
    if correct == assessments:
        return 1.0
    return float(special.betainccinv(correct + 1, assessments - correct, risk))


def clopper_pearson(correct: int, assessments: int, level: float) -> tuple[float, float]:
    """Two-sided exact limits: (1 − level) / 2 in each tail, so coverage is at least ``level``, often more."""
    risk = (1.0 - level) / 2.0
    return lower_limit(correct, assessments, risk), upper_limit(correct, assessments, risk)
