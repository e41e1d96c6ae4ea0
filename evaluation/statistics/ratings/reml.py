"""Mixed models of unbalanced ratings: the top of the restricted likelihood, and F tests there.

Everything that varies is nested within panelists, so the covariance falls apart into one block per panelist, and people
who rated the same cells share theirs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.ratings.climbing import ZERO, climbed
from evaluation.statistics.ratings.effects import NOTHING, RESIDUAL, Cells, Effect, Fitted, wanted

ROUTE: Final = "restricted likelihood"
_PAIR: Final = ["einsum_path", (0, 1)]  # two factors: nothing to plan
NOTHING_VARIES: Final = "the ratings leave nothing that varies between people"
UNSETTLED: Final = "did not settle"
NO_RESIDUAL: Final = "replicates never differ"


@dataclass(frozen=True, slots=True, eq=False)
class _Block:
    """Panelists who rated the same cells: ``y`` (ratings × panelists), fixed effects, a matrix for each variance."""

    y: Floats
    x: Floats
    parts: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Point:
    """The restricted likelihood at some variances, and all that follows from it there."""

    likelihood: float
    score: Floats
    expected: Floats
    observed: Floats
    beta: Floats
    covariance: Floats
    changes: Floats  # of the covariance of beta, per variance


def fit_general(cells: Cells, kept: Mapping[str, tuple[str, ...]], interaction: bool) -> Fitted:
    """Effects and variances of any ratings; ``kept`` names the deviations that can be told apart, and their columns."""
    x, terms = fixed_effects(cells, interaction)
    blocks = _blocks(cells, x, kept)
    variances, settled = climbed(partial(_point, blocks), _equal_shares(cells, x, len(kept) + 1))
    found = dict(zip((*kept, RESIDUAL), variances.tolist(), strict=True))
    if variances[-1] <= ZERO * variances.sum():  # the likelihood grows without end
        return Fitted((), {**found, RESIDUAL: 0.0}, ROUTE, NO_RESIDUAL)
    point = _point(blocks, variances)
    free = variances > 0.0
    spread = np.linalg.pinv(point.observed[np.ix_(free, free)]).astype(np.float64)
    tested = tuple(_tested(name, columns, point, spread, free) for name, columns in terms.items())
    return Fitted(tested, found, ROUTE, "" if settled else UNSETTLED)


def unfit(cells: Cells, interaction: bool) -> str | None:
    """Why there is nothing to fit, or None."""
    x, _ = fixed_effects(cells, interaction)
    rest, rank = np.linalg.lstsq(x, cells.rating, rcond=None)[1:3]
    if rank < x.shape[1]:
        return "the ages of one trial and those of another do not meet"
    none = rest.size == 0 or float(rest[0]) <= NOTHING * float((cells.rating**2).sum())
    return NOTHING_VARIES if none else None


def fixed_effects(cells: Cells, interaction: bool) -> tuple[Floats, dict[str, slice]]:
    """Columns that sum to zero over the levels of each effect, so that each is tested given all others (type III).

    They are of length 1 and at right angles: which level comes first then changes nothing, not even the combined
    degrees of freedom.
    """
    effects = wanted(cells.shape, interaction)
    _, trials, ages = cells.shape
    own = {"trial": _contrasts(trials)[cells.trial], "age": _contrasts(ages)[cells.age]}
    own["trial:age"] = (own["trial"][:, :, None] * own["age"][:, None, :]).reshape(cells.rating.size, -1)
    columns, terms, begin = [np.ones((cells.rating.size, 1))], {}, 1
    for name, df in effects.items():
        columns.append(own[name])
        terms[name] = slice(begin, begin + df)
        begin += df
    return np.hstack(columns), terms


def _contrasts(levels: int) -> Floats:
    """Each level against the mean of those before it."""
    table = np.triu(np.ones((levels, levels - 1)))
    table[np.arange(1, levels), np.arange(levels - 1)] = -np.arange(1.0, levels)
    unit: Floats = table / np.sqrt((table**2).sum(axis=0))
    return unit


def _blocks(cells: Cells, x: Floats, kept: Mapping[str, tuple[str, ...]]) -> list[_Block]:
    order = np.lexsort((cells.age, cells.trial, cells.panelist))
    alike: dict[bytes, list[Ints]] = {}
    for rows in np.split(order, np.cumsum(np.bincount(cells.panelist))[:-1]):
        alike.setdefault(np.stack((cells.trial[rows], cells.age[rows])).tobytes(), []).append(rows)
    codes = [cells.cells_of(columns) for columns in kept.values()]
    return [_block(cells, x, codes, people) for people in alike.values()]


def _block(cells: Cells, x: Floats, codes: Sequence[Ints], people: Sequence[Ints]) -> _Block:
    rows = people[0]
    parts = [(one[rows, None] == one[rows]).astype(np.float64) for one in codes]
    return _Block(cells.rating[np.stack(people)].T, x[rows], np.array([*parts, np.eye(rows.size)]))


def _equal_shares(cells: Cells, x: Floats, amount: int) -> Floats:
    """A start: what the fixed effects leave, in equal parts."""
    rest = cells.rating - x @ np.linalg.lstsq(x, cells.rating, rcond=None)[0]
    return np.full(amount, float(rest @ rest) / rest.size / amount)


def _point(blocks: Sequence[_Block], variances: Floats) -> _Point:
    """Searle, Casella & McCulloch 1992, Variance Components, ch. 6: P y = V⁻¹(y − X beta), block by block."""
    solved: list[Floats] = [np.linalg.inv(np.tensordot(variances, one.parts, 1)).astype(float) for one in blocks]
    information = sum((one.y.shape[1] * one.x.T @ own @ one.x for one, own in zip(blocks, solved, strict=True)), 0.0)
    covariance = np.linalg.inv(information)
    beta: Floats = covariance @ sum(one.x.T @ own @ one.y.sum(axis=1) for one, own in zip(blocks, solved, strict=True))
    pieces = [_piece(one, own, beta) for one, own in zip(blocks, solved, strict=True)]
    deviance, trace, fixed, pairs, mixed, squares, cross, pushed = (
        sum(part[1:], part[0]) for part in map(list, zip(*pieces, strict=True))
    )
    changes = covariance @ fixed @ covariance
    both = np.einsum("jab,kba->jk", covariance @ fixed, covariance @ fixed)
    traces = pairs - 2.0 * np.einsum("ab,jkba->jk", covariance, mixed) + both
    met = cross - pushed @ covariance @ pushed.T
    return _Point(
        -0.5 * (float(deviance) + float(np.linalg.slogdet(information)[1])),
        0.5 * (squares - trace + np.einsum("ab,jba->j", covariance, fixed)),
        0.5 * traces,
        met - 0.5 * traces,
        beta,
        covariance,
        changes,
    )


def _piece(block: _Block, solved: Floats, beta: Floats) -> tuple[Any, ...]:
    """One block's share of every sum over blocks that the likelihood and its derivatives are made of."""
    people = block.y.shape[1]
    rest = block.y - (block.x @ beta)[:, None]
    pulled, wide = solved @ rest, solved @ block.x
    turned = solved @ block.parts  # V⁻¹ V_j
    pushed = block.parts @ pulled  # V_j P y, per panelist
    spread = block.parts @ wide
    return (
        float((rest * pulled).sum()) - people * float(np.linalg.slogdet(solved)[1]),
        people * np.trace(turned, axis1=1, axis2=2),
        people * (wide.T @ spread),
        people * np.einsum("jnm,kmn->jk", turned, turned, optimize=_PAIR),
        people * np.einsum("jna,knb->jkab", spread, solved @ spread, optimize=_PAIR),
        np.einsum("jnp,np->j", pushed, pulled),
        np.einsum("jnp,knp->jk", pushed, solved @ pushed, optimize=_PAIR),
        pushed.sum(axis=2) @ wide,
    )


def _tested(name: str, columns: slice, point: _Point, spread: Floats, free: npt.NDArray[np.bool_]) -> Effect:
    """F and its denominator: one Satterthwaite figure for each independent part of the contrast, then combined."""
    beta, covariance = point.beta[columns], point.covariance[columns, columns]
    values, vectors = np.linalg.eigh(covariance)
    f = float(beta @ np.linalg.solve(covariance, beta)) / beta.size
    changes = np.einsum("am,jab,bm->jm", vectors, point.changes[free][:, columns, columns], vectors)
    uncertain = np.einsum("jm,jk,km->m", changes, spread, changes)
    each = 2.0 * values**2 / np.maximum(uncertain, np.finfo(np.float64).tiny)
    return Effect(name, f, float(beta.size), _combined(each))


def _combined(each: Floats) -> float:
    """The F whose mean is that of the average of independent t² (Fai & Cornelius 1996, from memory)."""
    if np.ptp(each) <= 1e-8 * each.max():
        return float(each.mean())
    if each.min() <= 2.0:  # a t² without a mean: the least that can be claimed
        return 2.0
    mean = float((each / (each - 2.0)).sum())
    return 2.0 * mean / (mean - each.size)
