"""Where a sequential session stops: Wald's two lines in whole numbers, and an end that keeps both risks."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from operator import itemgetter

import numpy as np

from evaluation.statistics.laws.binomial import EXACT_UP_TO, LAST_DIGITS, NEAR
from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.several_looks.absorption import Look, Walk, exactly_absorbed

# The lines are good to about 1e-11 in counts up to the longest plan; anything closer to a whole number than this is
# settled in fractions.
_NEAR_WHOLE = 1e-9
_BLOCK = 1024


@dataclass(frozen=True, slots=True)
class Lines:
    """Wald's lines for guessing ``null`` against ``truth``: stop at or beyond intercept + slope × assessments."""

    null: Fraction
    truth: Fraction
    alpha: float
    beta: float
    slope: float
    low: float
    high: float

    def lower(self, assessments: Ints) -> Ints:
        """Most correct that stop as not noticed; below 0 where none does."""
        # correct ≤ low + slope n  ⇔  −correct ≥ −low − slope n
        return -self._at_or_above(np.asarray(-self.low - self.slope * assessments), assessments, -1)

    def upper(self, assessments: Ints) -> Ints:
        """Fewest correct that stop as noticed; above ``assessments`` where none does."""
        return self._at_or_above(np.asarray(self.high + self.slope * assessments), assessments, 1)

    def _at_or_above(self, line: Floats, assessments: Ints, side: int) -> Ints:
        """Smallest whole numbers on or above the line; on it is decided exactly."""
        whole = np.rint(line).astype(np.int64)
        close = np.abs(line - whole) <= _NEAR_WHOLE
        found = np.where(close, whole, np.ceil(line).astype(np.int64))
        for place in np.flatnonzero(close & (assessments <= EXACT_UP_TO)):
            correct = side * int(whole[place])
            if not self._crossed(correct, int(assessments[place]), side):
                found[place] += 1
        return np.asarray(found)

    def _crossed(self, correct: int, assessments: int, side: int) -> bool:
        """The likelihood ratio against Wald's bound, in fractions; equality but for the last digits counts."""
        alpha, beta = Fraction(self.alpha), Fraction(self.beta)
        wrong = assessments - correct
        ratio = (self.truth / self.null) ** correct * ((1 - self.truth) / (1 - self.null)) ** wrong
        if side > 0:
            return ratio * LAST_DIGITS >= (1 - beta) / alpha
        return ratio <= beta / (1 - alpha) * LAST_DIGITS


def wald_lines(null: Fraction, truth: Fraction, alpha: float, beta: float) -> Lines:
    """Slope and intercepts; Wald 1947, Sequential Analysis, 5.3 (from memory)."""
    # log1p of exact differences: a difference of the shares as small as 1e-9 keeps its digits
    gain = math.log1p(float((truth - null) / null))
    loss = math.log1p(float((truth - null) / (1 - truth)))
    low = (math.log(beta) - math.log1p(-alpha)) / (gain + loss)
    high = (math.log1p(-beta) - math.log(alpha)) / (gain + loss)
    return Lines(null, truth, alpha, beta, loss / (gain + loss), low, high)


@dataclass(frozen=True, slots=True)
class Endless:
    """Looks after every so many assessments, for ever: Wald's lines as they are."""

    lines: Lines
    every: int
    end: None = None

    def at(self, assessments: int) -> Look | None:
        """The look at so many assessments; None where there is none."""
        if assessments % self.every:
            return None
        asked = np.array([assessments])
        return assessments, int(self.lines.lower(asked)[0]), int(self.lines.upper(asked)[0])

    def looks(self) -> Iterator[Look]:
        """All looks, block by block."""
        start = 1
        while True:
            asked = np.arange(start, start + _BLOCK) * self.every
            lower, upper = self.lines.lower(asked), self.lines.upper(asked)
            yield from zip(asked.tolist(), lower.tolist(), upper.tolist(), strict=True)
            start += _BLOCK


@dataclass(frozen=True, slots=True)
class Ended:
    """Looks that have a last one."""

    rows: tuple[Look, ...]

    @property
    def end(self) -> int:
        """Assessments at the last look."""
        return self.rows[-1][0]

    def at(self, assessments: int) -> Look | None:
        """The look at so many assessments; None where there is none."""
        place = bisect_left(self.rows, assessments, key=itemgetter(0))
        found = place < len(self.rows) and self.rows[place][0] == assessments
        return self.rows[place] if found else None

    def looks(self) -> Iterator[Look]:
        """Every look there can be, the first one first."""
        return iter(self.rows)


def ended(lines: Lines, looks: Ints) -> Ended:
    """Wald's lines up to the last look, where what is left of the risks is spent; neither is ever exceeded.

    At the last look the fewest correct that alpha still affords are noticed, and then the most correct that beta
    affords are not noticed, unless they lie below guessing and above the line: that concludes nothing, as in a session
    of fixed length (similarity.py). The overshoot of the lines leaves something of both; where a line would take more
    than its risk (it may by a little, Wald 1947), it is moved outwards from there on.
    """
    spending = _Spending(lines)
    lower, upper = lines.lower(looks).tolist(), lines.upper(looks).tolist()
    *before, last = zip(looks.tolist(), lower, upper, strict=True)
    for look in before:
        spending.walk.to(look[0])
        spending.stop(spending.most(look[1]), spending.fewest(look[2]))
    spending.walk.to(last[0])
    fewest = spending.fewest(last[1] + 1)
    most = spending.most(min(fewest, last[2]) - 1)
    spending.stop(most if most >= last[0] * lines.null else min(most, last[1]), fewest)
    return Ended(_curtailed(spending.past))


def _curtailed(rows: list[Look]) -> tuple[Look, ...]:
    """Stop as well where the answers to come cannot change the verdict of the last look.

    The chances of the verdicts stay what they are: the last ``fewest`` lies above every lower limit, and the last
    ``most`` below the upper line, which no path reaches that ends at or below ``most``.
    """
    end, most, fewest = rows[-1]
    return tuple((asked, max(lower, most - (end - asked)), min(upper, fewest)) for asked, lower, upper in rows)


class _Spending:
    """The looks passed so far, and what they spent: of alpha if everybody guesses, of beta at the truth."""

    def __init__(self, lines: Lines) -> None:
        self.lines = lines
        self.walk = Walk(np.array([float(lines.null), float(lines.truth)]))
        self.past: list[Look] = []
        self.alpha_spent = self.beta_spent = 0.0

    def fewest(self, floor: int) -> int:
        """Fewest correct, from ``floor`` on, that may be noticed here within alpha."""
        found = floor
        while found <= self.walk.last and not self._alpha_kept(found):
            found += 1
        return found

    def most(self, ceiling: int) -> int:
        """Most correct, up to ``ceiling``, that may be not noticed here within beta."""
        found = ceiling
        while found >= self.walk.first and not self._beta_kept(found):
            found -= 1
        return found

    def stop(self, lower: int, upper: int) -> None:
        """Pass this look."""
        noticed, not_noticed = self.walk.stop(lower, upper)
        self.past.append((self.walk.assessments, lower, upper))
        self.alpha_spent += float(noticed[0])
        self.beta_spent += float(not_noticed[1])

    def _alpha_kept(self, upper: int) -> bool:
        total = self.alpha_spent + float(self.walk.at_least(upper)[0])
        here = (self.walk.assessments, -1, upper)
        return self._kept(total, self.lines.alpha, lambda: exactly_absorbed([*self.past, here], self.lines.null)[0])

    def _beta_kept(self, lower: int) -> bool:
        total = self.beta_spent + float(self.walk.at_most(lower)[1])
        here = (self.walk.assessments, lower, self.walk.assessments + 1)
        return self._kept(total, self.lines.beta, lambda: exactly_absorbed([*self.past, here], self.lines.truth)[1])

    def _kept(self, total: float, risk: float, exactly: Callable[[], Fraction]) -> bool:
        """Total ≤ risk, equality included: a near tie is settled in fractions, as in binomial.py."""
        if abs(total - risk) > risk * NEAR or self.walk.assessments > EXACT_UP_TO:
            return total <= risk * (1.0 + NEAR)
        return exactly() <= Fraction(risk) * LAST_DIGITS
