"""Falling curves, many at once: the monotone fit, and the times at which a broken line passes a level."""

from __future__ import annotations

import numpy as np

from evaluation.statistics.laws.inputs import Floats


def falling_fit(means: Floats, weights: Floats) -> Floats:
    """The non-increasing row nearest to each row of ``means`` by weighted least squares; NaN where a weight is 0.

    Both are (curves, ages). The value at j is the least over starts k ≤ j of the greatest over ends l ≥ j of the
    weighted mean from k to l: Robertson, Wright & Dykstra 1988, theorem 1.4.4 (from memory).
    """
    filled = np.ascontiguousarray(np.where(weights > 0, means * weights, 0.0).T)
    weight_at = np.ascontiguousarray(weights.T)  # ages first: sums along them run over whole rows of curves
    found = np.full(filled.shape, np.inf)
    for start in range(len(filled)):
        weight = np.cumsum(weight_at[start:], axis=0)
        block = np.cumsum(filled[start:], axis=0) / np.where(weight > 0, weight, np.nan)
        greatest = np.maximum.accumulate(block[::-1], axis=0)[::-1]
        np.minimum(found[start:], greatest, out=found[start:])
    return np.where((weight_at > 0).all(axis=0), found, np.nan).T


def first_above(curves: Floats, ages: Floats, level: float) -> Floats:
    """When each row first exceeds ``level``, on the line between ages: −inf already at the first, inf never."""
    above = curves > level
    after = np.argmax(above, axis=1)
    before = np.maximum(after - 1, 0)
    row = np.arange(curves.shape[0])
    low, high = curves[row, before], curves[row, after]
    with np.errstate(divide="ignore", invalid="ignore"):  # rows that never pass the level are settled below
        time = ages[before] + (level - low) / (high - low) * (ages[after] - ages[before])
    time = np.where(above[:, 0], -np.inf, np.where(above.any(axis=1), time, np.inf))
    return np.where(np.isnan(curves).any(axis=1), np.nan, time)


def last_above(curves: Floats, ages: Floats, level: float) -> Floats:
    """When each row exceeds ``level`` for the last time: inf still at the last age, −inf never."""
    return -first_above(curves[:, ::-1], -ages[::-1], level)


def area_under(curves: Floats, ages: Floats) -> Floats:
    """Area under each row from the first age to the last, by trapezoids; NaN with one age."""
    if ages.size < 2:
        return np.full(curves.shape[0], np.nan)
    return np.asarray(((curves[:, 1:] + curves[:, :-1]) / 2.0 * np.diff(ages)).sum(axis=1))
