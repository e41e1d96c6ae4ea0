"""How far apart are two trials, whatever the way of asking: proportion correct ↔ d-prime."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, overload

import numpy as np
import numpy.typing as npt

from evaluation.statistics.forced_choice.methods import Model, method_named, model_of
from evaluation.statistics.laws.inputs import Floats, is_scalar, numbers

# At d′ = 24 every miss is below the smallest step under 1 (1.1e-16), so no proportion other than 1 lies
# beyond.
_FARTHEST = 24.0
_NODES = 2**14


@overload
def proportion_correct(d_prime: float, method: str) -> float: ...
@overload
def proportion_correct(d_prime: npt.ArrayLike, method: str) -> Any: ...
def proportion_correct(d_prime: npt.ArrayLike, method: str) -> Any:
    """What share of answers is correct when the trials lie ``d_prime`` apart?

    Parameters
    ----------
    d_prime : float or array of any shape, 0 … inf
        Distance in standard deviations of one perception.
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc"}

    Returns
    -------
    float or array of the same shape, from the guessing probability (at 0) to 1.

    Raises
    ------
    ArgumentError
        Negative or NaN distance; unknown method; ``"two-out-of-five"``, for which no published function is
        known.

    Notes
    -----
    Does not promise that people follow the model: equal variances, independent smellings and the best use of
    them are assumed. A panel that differs between its members has a d-prime only as a kind of average.

    References
    ----------
    Triangle and duo-trio: Ennis 1993, J. Sensory Studies 8, 353–370 (from memory). m-AFC: Hacker & Ratcliff
    1979, Perception & Psychophysics 26, 168–170 (from memory). Tetrad: Ennis & Jesionka 2011, J. Sensory
    Studies 26, 371–382 (from memory). Closed forms: evaluation/statistics/forced_choice/methods.py.

    Examples
    --------
    >>> round(proportion_correct(1.0, "triangle"), 4)
    0.418
    """
    model = model_of(method)
    distance = numbers("d_prime", d_prime, 0.0, np.inf)
    proportion = 1.0 - model.miss(distance)
    return float(proportion) if is_scalar(d_prime) else proportion


@overload
def d_prime(proportion: float, method: str) -> float: ...
@overload
def d_prime(proportion: npt.ArrayLike, method: str) -> Any: ...
def d_prime(proportion: npt.ArrayLike, method: str) -> Any:
    """How far apart must the trials lie for this share of correct answers?

    Parameters
    ----------
    proportion : float or array of any shape, 0 … 1
        Proportion of correct answers.
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc"}

    Returns
    -------
    float or array of the same shape: 0 at or below guessing, inf where all are correct.

    Raises
    ------
    ArgumentError
        Outside 0 … 1 or NaN; unknown method; ``"two-out-of-five"``, for which no published function is known.

    Notes
    -----
    Near guessing the triangle, duo-trio and tetrad curves are flat (their slope at d-prime 0 is 0): a tiny
    change of the proportion is a large change of d-prime, and two proportions that differ in the last digit a
    float can hold give d-primes up to 1e-8 apart. The same holds near 1. No standard error is offered: it is
    infinite at guessing; use the interval of :func:`difference_test`.

    References
    ----------
    Inverse of :func:`proportion_correct`.

    Examples
    --------
    >>> round(d_prime(0.5, "triangle"), 4)
    1.4663
    """
    model = model_of(method)
    share = numbers("proportion", proportion, 0.0, 1.0)
    guessing = float(method_named(method).guessing)
    distance = np.where(share == 1.0, np.inf, 0.0)
    inside = (share > guessing) & (share < 1.0)
    distance[inside] = _solve(model, 1.0 - share[inside], 1.0 - guessing)
    return float(distance) if is_scalar(proportion) else distance


def _solve(model: Model, miss: Floats, miss_by_guessing: float) -> Floats:
    """d with ``model.miss(d) == miss``, 0 < miss < miss_by_guessing: a table, then one Newton step on the log.

    In the coordinate √(−log(miss / miss by guessing)) distance is nearly a straight line, so the table is already
    good to about 1e-8 of the miss, and the step squares that. It may not leave the table's cell, which holds the
    root.
    """
    nodes, coordinates = _table(model, miss_by_guessing)
    start = np.interp(_coordinate(miss, miss_by_guessing), coordinates, nodes)
    width = 4.0 * np.sqrt(_FARTHEST * start) / _NODES + nodes[1]  # no less than the cell at ``start``
    return np.clip(_newton(model, miss, start), np.maximum(start - width, 0.0), start + width)


def _newton(model: Model, miss: Floats, distance: Floats) -> Floats:
    now, slope = model.miss(distance), model.slope(distance)
    flat = slope <= 0.0  # only at d = 0, where the table's own answer stays
    step = np.log(now / miss) * now / np.where(flat, 1.0, slope)
    return np.asarray(distance + np.where(flat, 0.0, step))


@lru_cache(maxsize=8)
def _table(model: Model, miss_by_guessing: float) -> tuple[Floats, Floats]:
    # Nodes crowd at 0, where the m-AFC curves are steep in this coordinate
    nodes = _FARTHEST * (np.arange(_NODES + 1) / _NODES) ** 2
    return nodes, np.maximum.accumulate(_coordinate(model.miss(nodes), miss_by_guessing))


def _coordinate(miss: Floats, miss_by_guessing: float) -> Floats:
    return np.asarray(np.sqrt(np.maximum(-np.log(miss / miss_by_guessing), 0.0)))
