"""Balanced mixed models in closed form: every panelist rated every trial at every age equally often.

The sums of squares then fall apart into strata of people: panelist, panelist × trial, panelist × age, all three, and
the replicates. Each stratum's mean square estimates a known sum of variances, and restricted maximum likelihood is the
solution of these equations; where a variance would come out below 0 it is held at 0, which pools strata.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

import numpy as np
from scipy.optimize import nnls

from evaluation.statistics.effects import RESIDUAL, Cells, Effect, Fitted, ratio, wanted
from evaluation.statistics.inputs import Floats

Number = TypeVar("Number", int, float)

ROUTE: Final = "closed form"
_MOST_STEPS: Final = 500
_LEAST: Final = 1e-12  # of the largest mean square: an expectation of 0 would weigh without end
# The stratum of people that each effect is compared with, and the axes of the table that span each stratum
_AXES: Final = {"panelist": (0,), "panelist:trial": (0, 1), "panelist:age": (0, 2), "panelist:trial:age": (0, 1, 2)}
_ERROR: Final = {"trial": "panelist:trial", "age": "panelist:age", "trial:age": "panelist:trial:age"}
_FIXED: Final = {"trial": (1,), "age": (2,), "trial:age": (1, 2)}
# A sum of squares this small beside the whole is rounding
NOTHING: Final = 1e-24


@dataclass(frozen=True, slots=True, eq=False)
class _Stratum:
    """``shares``: how often each variance enters the expected mean square."""

    df: int
    mean_square: float
    shares: Floats


def table_of(cells: Cells) -> Floats | None:
    """The ratings as panelists × trials × ages × replicates, or None where they do not fill such a table."""
    shape = cells.shape
    amount = np.prod(shape)
    each, left = divmod(cells.rating.size, int(amount))
    place = np.ravel_multi_index((cells.panelist, cells.trial, cells.age), shape)
    if left or not (np.bincount(place, minlength=int(amount)) == each).all():
        return None
    return cells.rating[np.argsort(place, kind="stable")].reshape(*shape, each)


def fit_balanced(cells: Cells, table: Floats, kept: Sequence[str], interaction: bool) -> Fitted:
    """Effects and variances; ``kept`` names the deviations between people that can be told apart."""
    squares, df = _sums_of_squares(table), _freedom(table)
    effects = wanted(cells, interaction)
    if not interaction:
        squares, df = _joined(squares), _joined(df)
    names = (*kept, RESIDUAL)
    strata = {
        name: _Stratum(df[name], squares[name] / df[name], _shares(name, names, table))
        for name in (*_AXES, RESIDUAL)
        if df[name] > 0
    }
    variances = reml(list(strata.values()))
    tested = [
        _tested(name, squares[name] / df[name], df[name], strata[_ERROR[name]].shares, variances, strata)
        for name in effects
    ]
    return Fitted(tuple(tested), dict(zip(names, variances.tolist(), strict=True)), ROUTE)


def _sums_of_squares(table: Floats) -> dict[str, float]:
    """Of every effect and stratum; each is what its means add to those of the effects within it."""
    parts: dict[tuple[int, ...], Floats] = {(): np.full_like(table, table.mean())}
    found = {}
    for name, axes in {**_FIXED, **_AXES}.items():
        part = np.broadcast_to(table.mean(axis=tuple({0, 1, 2, 3} - set(axes)), keepdims=True), table.shape)
        parts[axes] = part - sum(known for inner, known in parts.items() if set(inner) < set(axes))
        found[name] = float((parts[axes] ** 2).sum())
    found[RESIDUAL] = float(((table - table.mean(axis=3, keepdims=True)) ** 2).sum())
    nothing = NOTHING * float((table**2).sum())
    return {name: value if value > nothing else 0.0 for name, value in found.items()}


def _freedom(table: Floats) -> dict[str, int]:
    less = [length - 1 for length in table.shape]
    df = {name: int(np.prod([less[axis] for axis in axes])) for name, axes in {**_FIXED, **_AXES}.items()}
    return {**df, RESIDUAL: int(np.prod(table.shape[:3])) * less[3]}


def _joined(values: dict[str, Number]) -> dict[str, Number]:
    """Without the interaction in the model its squares are error, of the stratum it would be compared with."""
    both = values["trial:age"] + values[_ERROR["trial:age"]]
    return {**values, _ERROR["trial:age"]: both}


def _shares(stratum: str, names: Sequence[str], table: Floats) -> Floats:
    """How often each variance enters a mean square: the number of ratings in a cell of it, if its cells span it."""
    spanned = set(_AXES.get(stratum, (0, 1, 2, 3)))

    def share(name: str) -> float:
        axes = set(_AXES.get(name, (0, 1, 2, 3)))
        return float(np.prod([table.shape[axis] for axis in {0, 1, 2, 3} - axes])) if spanned <= axes else 0.0

    return np.array([share(name) for name in names])


def reml(strata: Sequence[_Stratum]) -> Floats:
    """Variances ≥ 0 of highest restricted likelihood.

    Its score is that of least squares on the mean squares, weighted by df / expectation²: repeated until the weights
    stay. Where no variance is held at 0 and there are as many strata as variances, the first step is the answer.
    """
    shares = np.array([one.shares for one in strata])
    squares, df = np.array([one.mean_square for one in strata]), np.array([float(one.df) for one in strata])
    if not squares.any():
        return np.zeros(shares.shape[1])
    expected = np.full(squares.size, float(squares @ df / df.sum()))
    least = _LEAST * float(squares.max())
    for _ in range(_MOST_STEPS):
        weight = np.sqrt(df) / expected
        variances = np.asarray(nnls(shares * weight[:, None], squares * weight)[0], dtype=np.float64)
        before, expected = expected, np.maximum(shares @ variances, least)
        if np.allclose(before, expected, rtol=1e-13, atol=0.0):
            break
    return variances


def _tested(
    name: str, mean_square: float, df: int, shares: Floats, variances: Floats, strata: dict[str, _Stratum]
) -> Effect:
    error = float(shares @ variances)
    return Effect(name, ratio(mean_square, error), df, _df_error(shares, variances, list(strata.values())))


def _df_error(shares: Floats, variances: Floats, strata: Sequence[_Stratum]) -> float:
    """Satterthwaite: 2 × error² / its variance, over the variances that are not held at 0.

    A stratum by itself gives its own degrees of freedom, pooled strata the sum of theirs. The variances' covariance is
    the inverse of the likelihood's curvature at its top.
    """
    free = variances > 0.0
    if not (free & (shares > 0)).any():
        return float(sum(one.df for one in strata if (one.shares > 0).any()))
    design, squares = np.array([one.shares[free] for one in strata]), np.array([one.mean_square for one in strata])
    expected = np.maximum(design @ variances[free], _LEAST * squares.max())
    curved = np.array([one.df for one in strata]) * (squares / expected**3 - 0.5 / expected**2)
    spread = np.linalg.pinv(design.T @ (design * curved[:, None]))
    own = shares[free]
    return float(2.0 * (own @ variances[free]) ** 2 / (own @ spread @ own))
