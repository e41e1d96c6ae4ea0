"""Balanced mixed models in closed form: every panelist rated every trial at every age equally often.

The sums of squares then fall apart into strata of people: panelist, panelist × trial, panelist × age, all three, and
the replicates. Each stratum's mean square estimates a known sum of variances, and restricted maximum likelihood is the
solution of these equations; where a variance would come out below 0 it is held at 0, which pools strata.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import prod
from typing import Final, TypeVar

import numpy as np
from scipy.optimize import nnls

from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.ratings.effects import NOTHING, RESIDUAL, Cells, Effect, Fitted, ratio

Number = TypeVar("Number", int, Floats)

ROUTE: Final = "closed form"
_MOST_STEPS: Final = 500
_LEAST: Final = 1e-12  # of the largest mean square: an expectation of 0 would weigh without end
# The stratum of people that each effect is compared with, and the axes of the table that span each stratum
_AXES: Final = {"panelist": (0,), "panelist:trial": (0, 1), "panelist:age": (0, 2), "panelist:trial:age": (0, 1, 2)}
_ERROR: Final = {"trial": "panelist:trial", "age": "panelist:age", "trial:age": "panelist:trial:age"}
_SPANNED: Final = {"trial": (1,), "age": (2,), "trial:age": (1, 2), **_AXES}


@dataclass(frozen=True, slots=True, eq=False)
class _Strata:
    """Degrees of freedom of each stratum, and how often each variance enters its expected mean square.

    ``group`` numbers strata of the same expectation alike.
    """

    names: tuple[str, ...]
    variances: tuple[str, ...]
    df: Floats
    shares: Floats
    group: Ints

    @property
    def pooled_df(self) -> Floats:
        """Of all strata that share an expectation."""
        return np.bincount(self.group, weights=self.df).astype(np.float64)


def table_of(cells: Cells) -> Floats | None:
    """The ratings as panelists × trials × ages × replicates, or None where they do not fill such a table."""
    place = np.ravel_multi_index((cells.panelist, cells.trial, cells.age), cells.shape)
    return filled(place, cells.shape, cells.rating)


def filled(place: Ints, shape: tuple[int, ...], rating: Floats) -> Floats | None:
    """The ratings in a table of this shape and their replicates, or None unless all its places hold equally many."""
    amount = prod(shape)
    each, left = divmod(rating.size, amount)
    if left or not (np.bincount(place, minlength=amount) == each).all():
        return None
    return rating[np.argsort(place, kind="stable")].reshape(*shape, each)


def fit_balanced(tables: Floats, kept: Sequence[str], effects: Mapping[str, int]) -> list[Fitted]:
    """Effects and variances of descriptors × panelists × trials × ages × replicates.

    ``kept`` names the deviations between people that can be told apart, ``effects`` those asked and their df.
    """
    squares, df = _sums_of_squares(tables), _freedom(tables.shape[1:])
    if "trial:age" not in effects:
        squares, df = _joined(squares), _joined(df)
    strata = _strata(df, (*kept, RESIDUAL), tables.shape[1:])
    means = np.stack([squares[name] / df[name] for name in strata.names], axis=1)
    above = np.stack([squares[name] / number for name, number in effects.items()], axis=1)
    plain = _plain(means, strata)
    return [_fitted(*one, effects, strata) for one in zip(means, above, plain, strict=True)]


def _strata(df: Mapping[str, int], variances: tuple[str, ...], shape: tuple[int, ...]) -> _Strata:
    names = tuple(name for name in (*_AXES, RESIDUAL) if df[name] > 0)
    shares = np.array([_shares(name, variances, shape) for name in names])
    group = np.unique(shares, axis=0, return_inverse=True)[1].ravel().astype(np.int64)
    return _Strata(names, variances, np.array([float(df[name]) for name in names]), shares, group)


def _fitted(means: Floats, above: Floats, plain: Floats, effects: Mapping[str, int], strata: _Strata) -> Fitted:
    """One descriptor: its mean squares of strata and of effects, and what the variances would be if none were held."""
    usual = bool((plain > 0.0).all())
    variances = plain if usual else reml(means, strata)
    tested = []
    for (name, df), mean in zip(effects.items(), above.tolist(), strict=True):
        row = strata.names.index(_ERROR[name])
        own = strata.shares[row]
        own_df = strata.pooled_df[strata.group[row]] if usual else _pooled_df(own, variances, means, strata)
        tested.append(Effect(name, ratio(mean, float(own @ variances)), float(df), float(own_df)))
    return Fitted(tuple(tested), dict(zip(strata.variances, variances.tolist(), strict=True)), ROUTE)


def _sums_of_squares(tables: Floats) -> dict[str, Floats]:
    """Of every effect and stratum, per descriptor; each is what its means add to those of the effects within it."""
    cells = tables.mean(axis=4, keepdims=True)
    parts: dict[tuple[int, ...], Floats] = {(): cells.mean(axis=(1, 2, 3), keepdims=True)}
    found = {}
    for name, axes in _SPANNED.items():
        means = cells.mean(axis=tuple(axis + 1 for axis in (0, 1, 2) if axis not in axes), keepdims=True)
        part = means - sum(known for inner, known in parts.items() if set(inner) < set(axes))
        parts[axes] = part
        found[name] = _total(part) * (tables.size / part.size)
    found[RESIDUAL] = _total(tables - cells)
    nothing = NOTHING * _total(tables)
    return {name: np.where(value > nothing, value, 0.0) for name, value in found.items()}


def _total(part: Floats) -> Floats:
    total: Floats = np.square(part).sum(axis=(1, 2, 3, 4))
    return total


def _freedom(shape: tuple[int, ...]) -> dict[str, int]:
    less = [length - 1 for length in shape]
    df = {name: prod(less[axis] for axis in axes) for name, axes in _SPANNED.items()}
    return {**df, RESIDUAL: prod(shape[:3]) * less[3]}


def _joined(values: dict[str, Number]) -> dict[str, Number]:
    """Without the interaction in the model its squares are error, of the stratum it would be compared with."""
    both = values["trial:age"] + values[_ERROR["trial:age"]]
    return {**values, _ERROR["trial:age"]: both}


def _shares(stratum: str, names: Sequence[str], shape: tuple[int, ...]) -> list[float]:
    """How often each variance enters a mean square: the number of ratings in a cell of it, if its cells span it."""
    spanned = set(_AXES.get(stratum, (0, 1, 2, 3)))

    def share(name: str) -> float:
        axes = set(_AXES.get(name, (0, 1, 2, 3)))
        return float(prod(shape[axis] for axis in {0, 1, 2, 3} - axes)) if spanned <= axes else 0.0

    return [share(name) for name in names]


def _plain(means: Floats, strata: _Strata) -> Floats:
    """Variances by setting mean squares equal to what is expected of them, strata of one expectation taken together.

    Where none comes out negative these are the variances of highest likelihood; −1 where there are more equations.
    """
    expected = np.unique(strata.shares, axis=0)
    groups = range(expected.shape[0])
    weighed = [means[:, strata.group == one] @ strata.df[strata.group == one] for one in groups]
    pooled = np.stack(weighed) / strata.pooled_df[:, None]
    if expected.shape[0] != expected.shape[1]:
        return np.full((means.shape[0], expected.shape[1]), -1.0)
    return np.linalg.solve(expected, pooled).T.astype(np.float64)


def reml(squares: Floats, strata: _Strata) -> Floats:
    """Variances ≥ 0 of highest restricted likelihood.

    Its score is that of least squares on the mean squares, weighted by df / expectation²: repeated until the weights
    stay.
    """
    shares, df = strata.shares, strata.df
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


def _pooled_df(own: Floats, variances: Floats, squares: Floats, strata: _Strata) -> float:
    """Satterthwaite: 2 × error² / its variance, over the variances that are not held at 0.

    A stratum by itself would give its own degrees of freedom, pooled strata the sum of theirs. The covariance of the
    variances is the inverse of the likelihood's curvature at its top.
    """
    free = variances > 0.0
    if not (free & (own > 0.0)).any():
        return float(strata.df[(strata.shares[:, own > 0.0] > 0.0).any(axis=1)].sum())
    design = strata.shares[:, free]
    expected = np.maximum(design @ variances[free], _LEAST * squares.max())
    curved = strata.df * (squares / expected**3 - 0.5 / expected**2)
    spread = np.linalg.pinv(design.T @ (design * curved[:, None]))
    return float(2.0 * (own[free] @ variances[free]) ** 2 / (own[free] @ spread @ own[free]))
