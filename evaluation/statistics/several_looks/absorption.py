"""The law of the number correct while a session may stop at its looks: exact recursion, no simulation.

A look is (assessments, lower, upper): stop where correct ≤ lower or correct ≥ upper. −1 and assessments + 1, or
anything beyond them, mean that this stop is not possible there.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from evaluation.statistics.laws.inputs import Floats

Look = tuple[int, int, int]

# An endless plan is followed until no more than this is undecided, whatever the proportion correct that was asked.
NEGLIGIBLE = 1e-12


class Walk:
    """Sessions not yet stopped: P(still going, first + j correct) in column j, one row per proportion correct."""

    def __init__(self, shares: Floats) -> None:
        self.right = shares[:, np.newaxis]
        self.wrong = 1.0 - self.right
        self.law = np.ones((shares.size, 1))
        self.first = 0
        self.assessments = 0

    def to(self, assessments: int) -> None:
        """Smell on, up to so many assessments."""
        for _ in range(assessments - self.assessments):
            after = np.empty((self.law.shape[0], self.law.shape[1] + 1))
            after[:, 0] = 0.0
            np.multiply(self.law, self.right, out=after[:, 1:])
            after[:, :-1] += self.law * self.wrong
            self.law = after
        self.assessments = assessments

    @property
    def last(self) -> int:
        """The most correct that any session still going can have."""
        return self.first + self.law.shape[1] - 1

    def at_least(self, correct: int) -> Floats:
        """P(still going, at least so many correct), row by row."""
        return np.asarray(self.law[:, max(correct - self.first, 0) :].sum(axis=1))

    def at_most(self, correct: int) -> Floats:
        """P(still going, at most so many correct), row by row."""
        return np.asarray(self.law[:, : max(correct - self.first + 1, 0)].sum(axis=1))

    def stop(self, lower: int, upper: int) -> tuple[Floats, Floats]:
        """Take out the sessions that stop here: P(noticed here), P(not noticed here)."""
        noticed, not_noticed = self.at_least(upper), self.at_most(lower)
        begin, end = max(lower - self.first + 1, 0), max(upper - self.first, 0)
        self.law = self.law[:, begin:end]
        self.first += begin
        return noticed, not_noticed


@dataclass(frozen=True, slots=True, eq=False)
class Absorbed:
    """What became of the sessions, row by row; ``expected`` is the mean number of assessments."""

    noticed: Floats
    not_noticed: Floats
    undecided: Floats
    expected: Floats


def absorbed(looks: Iterable[Look], shares: Floats) -> Absorbed:
    """How sessions end, over the looks given or until a negligible part is undecided."""
    walk = Walk(shares)
    noticed, not_noticed, expected = (np.zeros(shares.size) for _ in range(3))
    going = np.ones(shares.size)
    for assessments, lower, upper in looks:
        expected += going * (assessments - walk.assessments)
        walk.to(assessments)
        up, down = walk.stop(lower, upper)
        noticed += up
        not_noticed += down
        going = walk.law.sum(axis=1)
        if going.max(initial=0.0) < NEGLIGIBLE:
            break
    return Absorbed(noticed, not_noticed, going, expected)


def stops(looks: Iterable[Look], share: float) -> tuple[list[int], list[float], list[float], float]:
    """Look by look for one proportion correct: assessments, P(noticed there), P(not noticed there); the rest."""
    walk = Walk(np.array([share]))
    asked: list[int] = []
    noticed: list[float] = []
    not_noticed: list[float] = []
    for assessments, lower, upper in looks:
        walk.to(assessments)
        up, down = walk.stop(lower, upper)
        asked.append(assessments)
        noticed.append(float(up[0]))
        not_noticed.append(float(down[0]))
        if walk.law.sum() < NEGLIGIBLE:
            break
    return asked, noticed, not_noticed, float(walk.law.sum())


def exactly_absorbed(looks: Sequence[Look], share: Fraction) -> tuple[Fraction, Fraction]:
    """P(noticed), P(not noticed) at one of these looks as exact fractions, in whole numbers throughout."""
    right, ways = share.numerator, share.denominator
    law, noticed, not_noticed, asked = {0: 1}, 0, 0, 0
    for assessments, lower, upper in looks:
        for _ in range(assessments - asked):
            law = _one_more(law, right, ways - right)
        grown = ways ** (assessments - asked)
        noticed = noticed * grown + sum(weight for correct, weight in law.items() if correct >= upper)
        not_noticed = not_noticed * grown + sum(weight for correct, weight in law.items() if correct <= lower)
        law = {correct: weight for correct, weight in law.items() if lower < correct < upper}
        asked = assessments
    return Fraction(noticed, ways**asked), Fraction(not_noticed, ways**asked)


def _one_more(law: dict[int, int], right: int, wrong: int) -> dict[int, int]:
    after = dict.fromkeys(range(min(law, default=0), max(law, default=0) + 2), 0)
    for correct, weight in law.items():
        after[correct] += weight * wrong
        after[correct + 1] += weight * right
    return after
