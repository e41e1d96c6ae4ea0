"""How rank sums fall when nobody tells the trials apart: exact laws by adding panelist after panelist.

Ranks are whole numbers here, twice the midranks, so that ties stay exact. Given how each row is tied, every different
order of its ranks is equally likely.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import factorial, prod
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import special

from evaluation.statistics.laws.inputs import Floats, Ints

# Rows of sums sorted in all, beyond which the law of rank sums is not worked out (a second or two).
MOST_WORK = 8_000_000
# Orders of one row: 9 trials without ties have so many, 10 ten times more than memory is worth.
MOST_ORDERS = 400_000
# Trials and panelists up to which the law of Page's sum is worked out.
MOST_ORDERED_TRIALS, MOST_ORDERED_PANELISTS = 8, 200

Row = tuple[int, ...]
Sums = npt.NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class SumLaw:
    """Law of two symmetric questions to the rank sums; entry x is the chance of a value of at least x.

    Attributes
    ----------
    squares : of Σ of squared sums.
    ranges : of largest minus smallest sum.
    """

    squares: Floats
    ranges: Floats


@lru_cache(maxsize=64)
def sum_law(rows: tuple[Row, ...]) -> SumLaw | None:
    """Of the sums of these rows of doubled ranks (sorted within and among themselves); None beyond ``MOST_WORK``."""
    if _work(rows) > MOST_WORK or max(map(_amount, rows)) > MOST_ORDERS:
        return None
    states, chances, work = np.zeros((len(rows[0]), 1), dtype=np.int32), np.ones(1), 0
    *others, last = sorted(rows, key=lambda one: len(set(one)))
    for row in others:
        work += len(chances) * _amount(row)
        if work > MOST_WORK:
            return None
        states, chances = _added(states, chances, _orders(row))
    return _closed(states, chances, _orders(last)) if work + len(chances) * _amount(last) <= MOST_WORK else None


def _work(rows: tuple[Row, ...]) -> float:
    """About what the untied rows need: k of them have sums that fill a permutohedron of t^(t−2) kᵗ⁻¹ points."""
    t = len(rows[0])
    untied = sum(len(set(row)) == t for row in rows)
    points = [min(factorial(t) ** min(k, 9), t ** (t - 2) * k ** (t - 1) / factorial(t)) for k in range(untied)]
    return factorial(t) * float(sum(points)) / 2.0  # the guess need only keep hopeless tables from being tried


def _amount(row: Row) -> int:
    """How many different orders a row has."""
    return factorial(len(row)) // prod(factorial(row.count(one)) for one in set(row))


@lru_cache(maxsize=256)
def _orders(row: Row) -> Ints:
    """The different orders of a sorted row, one per line: each of its values first, then the orders of the rest."""
    if len(set(row)) == 1:
        return np.array([row], dtype=np.int64)
    parts = []
    for one in sorted(set(row)):
        place = row.index(one)
        rest = _orders(row[:place] + row[place + 1 :])
        parts.append(np.insert(rest, 0, one, axis=1))
    return np.concatenate(parts)


def _added(states: Sums, chances: Floats, orders: Ints) -> tuple[Sums, Floats]:
    """The sorted sums after one more row, equal ones joined."""
    sums = _sorted(_spread(states, orders))
    base, keys = int(sums[-1].max()) + 1, np.zeros(sums.shape[1], dtype=np.int64)
    for one in sums[:-1]:  # the last sum follows from the others
        keys = keys * base + one
    _, first, place = np.unique(keys, return_index=True, return_inverse=True)
    joined = np.bincount(place, np.repeat(chances / len(orders), len(orders)), len(first))
    return sums[:, first], joined.astype(np.float64)


def _closed(states: Sums, chances: Floats, orders: Ints) -> SumLaw:
    """After the last row only squares and ranges are wanted: nothing need be sorted."""
    sums = _spread(states, orders)
    weights = np.repeat(chances / len(orders), len(orders))
    squares = sum((one.astype(np.int64) ** 2 for one in sums), np.zeros(sums.shape[1], dtype=np.int64))
    return SumLaw(_tails(squares, weights), _tails(np.maximum.reduce(sums) - np.minimum.reduce(sums), weights))


def _tails(values: npt.NDArray[Any], weights: Floats) -> Floats:
    """Chance of at least 0, 1, … of whole numbers."""
    return np.asarray(np.minimum(1.0, np.bincount(values, weights)[::-1].cumsum()[::-1]))


def _spread(states: Sums, orders: Ints) -> Sums:
    """Trials × (states × orders): every order added to every state."""
    added = orders.T.astype(np.int32)
    return np.asarray((states[:, :, None] + added[:, None, :]).reshape(len(states), -1))


def _sorted(sums: Sums) -> Sums:
    """Sorted over trials by exchanging neighbours, whole columns at once: far quicker than many short sorts."""
    for round_ in range(len(sums)):
        for low in range(round_ % 2, len(sums) - 1, 2):
            smaller = np.minimum(sums[low], sums[low + 1])
            np.maximum(sums[low], sums[low + 1], out=sums[low + 1])
            sums[low] = smaller
    return sums


@lru_cache(maxsize=64)
def ordered_law(rows: tuple[Row, ...]) -> tuple[int, Floats] | None:
    """Law of Page's sum of doubled ranks: its smallest value, and the chances of at least it and the following ones."""
    if len(rows[0]) > MOST_ORDERED_TRIALS or len(rows) > MOST_ORDERED_PANELISTS:
        return None
    lowest, law = 0, np.ones(1)
    for row in rows:
        low, one = _ordered_row(row)
        lowest, law = lowest + low, np.convolve(law, one)
    return lowest, np.minimum(1.0, law[::-1].cumsum()[::-1])


@lru_cache(maxsize=256)
def _ordered_row(row: Row) -> tuple[int, Floats]:
    sums = _orders(row) @ np.arange(1, len(row) + 1)
    low = int(sums.min())
    return low, np.bincount(sums - low) / len(sums)


@lru_cache(maxsize=1)
def _quadrature() -> tuple[Floats, Floats]:
    nodes, weights = np.polynomial.legendre.leggauss(200)
    return nodes, weights


def range_tail(value: float, groups: int) -> float:
    """P(range of ``groups`` independent standard normals ≥ value): the studentised range with infinite df.

    1 − k ∫ φ(z) [Φ(z) − Φ(z − value)]ᵏ⁻¹ dz, by Gauss and Legendre over −8 … 8 + value.
    """
    if value <= 0.0:
        return 1.0
    nodes, weights = _quadrature()
    z = -8.0 + (nodes + 1.0) * (16.0 + value) / 2.0
    density = np.exp(-z * z / 2.0) / np.sqrt(2.0 * np.pi)
    inside = (special.ndtr(z) - special.ndtr(z - value)) ** (groups - 1)
    below = float(groups * (weights * density * inside).sum() * (16.0 + value) / 2.0)
    return min(1.0, max(0.0, 1.0 - below))
