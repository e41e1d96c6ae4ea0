"""Do the answers about pairs follow one scale of merits, and do the merits differ at all? By deviance and by draws."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import special

from evaluation.statistics.laws.inputs import Floats
from evaluation.statistics.preference.pair_model import Model, fit, logs

# The draws decide a p-value that must be the same whenever it is looked at: their seed is fixed.
_SEED = 20_261_125
_Statistic = Callable[[Floats], Floats]


@dataclass(frozen=True, slots=True)
class PairCheck:
    """One test on a table of pairs; part of :class:`PairwiseMerits`.

    Attributes
    ----------
    statistic : likelihood ratio (deviance), 0 or more.
    df : its degrees of freedom; with 0 there is nothing to test and both p are None.
    p_value : from ``draws`` tables drawn under the hypothesis, (1 + hits) / (1 + draws), fixed seed; None where none
        were drawn.
    chi_square_p : the same by χ²(df), right for many answers per pair only.
    draws : how many tables were drawn.
    """

    statistic: float
    df: int
    p_value: float | None
    chi_square_p: float | None
    draws: int


def fit_check(model: Model, counts: Floats, found: Floats, draws: int) -> PairCheck:
    """The model with unknowns ``found`` against a chance of its own for every cell and outcome."""
    asked = counts.sum(axis=1) > 0
    steps = (model.design[asked] - model.design[asked][:, :1])[:, 1:].reshape(-1, model.unknowns)
    df = len(steps) - int(np.linalg.matrix_rank(steps))

    def deviance(tables: Floats) -> Floats:
        return np.asarray(2.0 * (_saturated(tables) - _height(model.design, tables)))

    return _checked(deviance, counts, np.exp(logs(model.design, found[None])[0]), df, draws)


def equality_check(model: Model, counts: Floats, draws: int) -> PairCheck:
    """Equal merits against the model; position effect and ties stay free under both."""
    rest = model.within(np.eye(model.unknowns)[:, model.trials - 1 :])

    def ratio(tables: Floats) -> Floats:
        return np.asarray(2.0 * (_height(model.design, tables) - _height(rest, tables)))

    chances = np.exp(logs(rest, fit(rest, counts[None]).found)[0])
    return _checked(ratio, counts, chances, model.trials - 1, draws)


def _height(design: Floats, tables: Floats) -> Floats:
    """To a few digits: enough for a deviance, and all a table without a highest point can give."""
    return fit(design, tables, rounds=25, least=1e-7).height


def _saturated(tables: Floats) -> Floats:
    asked = tables.sum(axis=2, keepdims=True)
    return np.asarray(special.xlogy(tables, tables / np.maximum(asked, 1.0)).sum(axis=(1, 2)))


def _checked(statistic: _Statistic, counts: Floats, chances: Floats, df: int, draws: int) -> PairCheck:
    observed = max(0.0, float(statistic(counts[None])[0]))
    if df == 0:
        return PairCheck(observed, 0, None, None, 0)
    chi_square = float(special.chdtrc(df, observed))
    if draws == 0:
        return PairCheck(observed, df, None, chi_square, 0)
    random = np.random.default_rng(_SEED)
    asked = counts.sum(axis=1).astype(np.int64)
    drawn = np.stack([random.multinomial(n, p, size=draws) for n, p in zip(asked, chances, strict=True)], axis=1)
    # heights of equal tables differ in the last digits
    hits = int((statistic(drawn.astype(np.float64)) >= observed - 1e-5).sum())
    return PairCheck(observed, df, (1 + hits) / (1 + draws), chi_square, draws)
