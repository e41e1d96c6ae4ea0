"""Null sets: one bottle served as if it were two. Scored beside the real sets, never in them.

Nobody can be right about them but by chance, or by something that leaks from the preparation.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from evaluation import statistics
from evaluation.counting.questions import Assessment
from evaluation.judging import figures
from evaluation.judging.entries import Rules
from evaluation.kinds import Method, kind_of


@dataclass(frozen=True, slots=True)
class NullControl:
    """The null sets of one session; counts are of the answers the sealed rule lets count.

    ``alpha`` is the risk accepted for all of them together. Methods with a direction are looked at both ways, each at
    half of it: what leaks from the vials knows no direction. ``minimum`` is the fewest right that show a leak,
    ``reversed_maximum`` the most that show one the other way. ``power`` is the probability that such null sets show a
    leak that gives away a share ``pd`` of sets.
    """

    method: Method
    assessments: int
    correct: int
    panelists: int
    alpha: float
    p_value: float
    minimum: int | None
    reversed_maximum: int | None
    noticed: bool
    pd: float
    power: float


def null_control(rows: Iterable[Assessment], method: Method, rules: Rules) -> NullControl | None:
    """The verdict on the null sets that came in; None where none did. ``rows`` are those of ``assess(null=True)``."""
    counted = [row for row in rows if row.counted]
    if not counted:
        return None
    asked, right = len(counted), sum(bool(row.correct) for row in counted)
    both_ways = kind_of(method).directed
    level = rules.alpha / 2.0 if both_ways else rules.alpha
    upper = figures.p_value(right, asked, method)
    p_value = min(1.0, 2.0 * min(upper, statistics.reversed_tail(right, asked, method))) if both_ways else upper
    least = figures.minimum(asked, method, level)
    most = _most_reversed(asked, method, level) if both_ways else None
    return NullControl(
        method=method,
        assessments=asked,
        correct=right,
        panelists=len({row.seat for row in counted}),
        alpha=rules.alpha,
        p_value=p_value,
        minimum=least,
        reversed_maximum=most,
        noticed=(least is not None and right >= least) or (most is not None and right <= most),
        pd=rules.pd,
        power=statistics.power(asked, method, level, rules.pd),
    )


def _most_reversed(asked: int, method: Method, level: float) -> int | None:
    """Most right answers that are too few for guessing at ``level``; None where even none is not."""
    return max((few for few in range(asked + 1) if figures.turned(few, asked, method, level)), default=None)
