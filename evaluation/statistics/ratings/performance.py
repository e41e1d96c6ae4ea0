"""How does each panelist use the scale: telling trials apart, repeating, agreeing with the rest, high or low, wide?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from scipy import special

from evaluation.ground.checks import risk
from evaluation.statistics.laws.binomial import NEAR
from evaluation.statistics.laws.inputs import Floats
from evaluation.statistics.laws.several_questions import holm
from evaluation.statistics.ratings.cells import Cells, read_cells

# Our rule: with fewer degrees of freedom a standard deviation is off by a third or more every third time.
FEW_ERROR_DF = 6
# Two cells always correlate at 1 or −1.
FEWEST_CELLS = 3
# Sums of squares below this share of the ratings' own are rounding.
_NOTHING = 1e-12


@dataclass(frozen=True, slots=True)
class PanelistDescriptor:
    """One panelist on one descriptor; part of :class:`PanelistPerformance`. A cell is a trial at an age.

    Attributes
    ----------
    panelist, descriptor : labels.
    ratings, cells : how many the panelist gave, in how many cells.
    discrimination : F of trial within the panelist, ages set aside, against the spread of replicates; None without
        replicates, with one trial or where nothing varies. ``inf`` where every replicate is the same.
    df_trials, df_error, p_value : its degrees of freedom (0 where there is none) and p; ``p_family``: Holm over the
        panelist's descriptors.
    repeatability : standard deviation of replicates within cells, on the scale; None without replicates.
    agreement : correlation of the panelist's cell means with the mean of the others', −1 … 1; None under three cells.
    mean, mean_others : over the cells the panelist shares with somebody; None without others.
    spread, spread_others : standard deviation of own cell means; root mean square of the others'. None with one cell.
    lowest, highest : ratings given.
    says : why a number is None or rough, one sentence each.
    """

    panelist: Any
    descriptor: Any
    ratings: int
    cells: int
    discrimination: float | None
    df_trials: int
    df_error: int
    p_value: float | None
    p_family: float | None
    repeatability: float | None
    agreement: float | None
    mean: float | None
    mean_others: float | None
    spread: float | None
    spread_others: float | None
    lowest: float
    highest: float
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PanelistOverall:
    """One panelist over all descriptors; part of :class:`PanelistPerformance`.

    Attributes
    ----------
    panelist : label.
    told_apart, tested : descriptors with ``p_family`` ≤ alpha, of those that have a p.
    repeatability : root mean square over descriptors; None without replicates.
    agreement : median over descriptors; None without any.
    shift : mean over descriptors of own mean − others' mean, on the scale: above 0 uses it higher.
    spread_ratio : median over descriptors of own spread / others' spread: above 1 uses it wider.
    """

    panelist: Any
    told_apart: int
    tested: int
    repeatability: float | None
    agreement: float | None
    shift: float | None
    spread_ratio: float | None


@dataclass(frozen=True, slots=True)
class PanelistPerformance:
    """What :func:`panelist_performance` found; ``alpha`` echoes its argument. Panelists stand in order of their labels.

    Attributes
    ----------
    panelists : one :class:`PanelistOverall` each.
    rows : one :class:`PanelistDescriptor` for each panelist and descriptor rated.
    dropped : rows of the frame without a rating.
    again : rows of the frame whose replicate number was given before; they count as further replicates.
    """

    alpha: float
    panelists: tuple[PanelistOverall, ...]
    rows: tuple[PanelistDescriptor, ...]
    dropped: int
    again: int

    @property
    def table(self) -> pd.DataFrame:
        """One row for each panelist and descriptor, columns as in :class:`PanelistDescriptor`."""
        return _frame(PanelistDescriptor, self.rows)

    @property
    def overall(self) -> pd.DataFrame:
        """One row for each panelist, columns as in :class:`PanelistOverall`."""
        return _frame(PanelistOverall, self.panelists)


def _frame(kind: type, rows: tuple[Any, ...]) -> pd.DataFrame:
    return pd.DataFrame([{name: getattr(row, name) for name in kind.__slots__} for row in rows])  # type: ignore[attr-defined]


def panelist_performance(frame: pd.DataFrame, *, alpha: float = 0.05) -> PanelistPerformance:
    """How does each panelist do, as something to talk over and train?

    Parameters
    ----------
    frame : DataFrame, one row for each rating
        Columns ``panelist, trial`` and ``rating`` (missing = not smelt or skipped, dropped), and if there are several
        ``descriptor``, ``age_minutes`` (0 or more) and ``replicate``. Rows alike in all but the rating are replicates.
    alpha : float, between 0 and 1
        Risk at which :class:`PanelistOverall` counts a descriptor as told apart, over the descriptors of one panelist.

    Returns
    -------
    PanelistPerformance

    Raises
    ------
    ArgumentError, KindError
        A column missing, no rating at all, a rating that is no finite number, an age missing or negative;
        alpha outside (0, 1).

    Notes
    -----
    No order of merit, and no basis for one: with two replicates these numbers change a good deal from one session to
    the next (``says`` tells). A panelist with small differences between trials may be insensitive, cautious on the
    scale, or right. To disagree with the others is no fault where the trial divides people. Where ages are in the
    frame, ``agreement`` is high for everybody who notices that strength falls. A shift or a narrow spread is harmless
    where trials are compared within panelists. Nobody is to leave an analysis for these numbers after it was opened.
    The F test takes replicates as independent, which they are not if a panelist remembers the last answer.

    References
    ----------
    Discrimination, repeatability, agreement, scale use: the terms of ISO 11132:2012 (from memory; not its method of
    computation). F of trial adjusted for age, pure error: Searle 1971, Linear Models, ch. 7 (from memory).

    Examples
    --------
    >>> rows = [("P1", 1, 2), ("P1", 1, 3), ("P1", 2, 7), ("P1", 2, 6), ("P2", 1, 4), ("P2", 1, 5), ("P2", 2, 5)]
    >>> rows += [("P2", 2, 4)]
    >>> found = panelist_performance(pd.DataFrame(rows, columns=["panelist", "trial", "rating"]))
    >>> [(one.panelist, one.discrimination, round(one.repeatability, 3), one.agreement) for one in found.rows]
    [('P1', 32.0, 0.707, None), ('P2', 0.0, 0.707, None)]
    >>> found.rows[0].says[-1]
    'agreement: 2 cells shared with others, it takes 3'
    """
    alpha = risk("alpha", alpha)
    read = read_cells(frame)
    views = _views(read)
    rows = tuple(row for place in range(len(read.panelists)) for row in _family(_rows(read, views, place)))
    people = tuple(_overall(name, [row for row in rows if row.panelist == name], alpha) for name in read.panelists)
    return PanelistPerformance(alpha, people, rows, read.dropped, read.again)


@dataclass(frozen=True, slots=True, eq=False)
class _Views:
    """Arrays (panelists, trials, descriptors, ages) of own means and of the mean of the others'; NaN where nobody."""

    own: Floats
    others: Floats
    spread: Floats  # (panelists, descriptors): standard deviation of own cell means


def _views(read: Cells) -> _Views:
    own = read.means()
    there = ~np.isnan(own)
    rest = there.sum(axis=0) - there
    total = np.where(there, own, 0.0)
    others = np.where(rest > 0, (total.sum(axis=0) - total) / np.maximum(rest, 1), np.nan)
    cells = np.moveaxis(own, 2, 1).reshape(own.shape[0], own.shape[2], -1)
    spread = [[_spread(one[~np.isnan(one)]) for one in panelist] for panelist in cells]
    return _Views(own, others, np.array(spread, dtype=np.float64))


def _spread(cells: Floats) -> float:
    return float(np.std(cells, ddof=1)) if cells.size > 1 else math.nan


def _rows(read: Cells, views: _Views, panelist: int) -> Iterator[PanelistDescriptor]:
    for descriptor, name in enumerate(read.descriptors):
        own = (read.places[0] == panelist) & (read.places[2] == descriptor)
        if not own.any():
            continue
        values, trials, ages = read.values[own], read.places[1][own], read.places[3][own]
        cells = views.own[panelist, :, descriptor, :].ravel()
        beside, compared = _beside(cells, views.others[panelist, :, descriptor, :].ravel())
        others_spread = np.delete(views.spread[:, descriptor], panelist)
        parts, found = _repeats(values, trials, ages)
        yield PanelistDescriptor(
            panelist=read.panelists[panelist],
            descriptor=name,
            ratings=values.size,
            cells=int((~np.isnan(cells)).sum()),
            **found,
            p_family=None,
            **beside,
            spread=_known(views.spread[panelist, descriptor]),
            spread_others=_root_mean_square(others_spread[~np.isnan(others_spread)]),
            lowest=float(values.min()),
            highest=float(values.max()),
            says=(*parts, *compared),
        )


def _repeats(values: Floats, trials: Any, ages: Any) -> tuple[list[str], dict[str, Any]]:
    """Discrimination and repeatability of one panelist on one descriptor, and what to say about them."""
    scale = float(values @ values) * _NOTHING
    cell = np.unique(np.stack([trials, ages]), axis=1, return_inverse=True)[1].ravel()
    error, cells = _left_over(values, cell)
    df_error = values.size - cells
    found: dict[str, Any] = {"df_trials": 0, "df_error": df_error, "discrimination": None, "p_value": None}
    if df_error == 0:
        return ["discrimination, repeatability: no replicates"], found | {"repeatability": None}
    by_age, ages_met = _left_over(values, ages)
    by_both, rank = _additive(values, trials, ages)
    df_trials = found["df_trials"] = rank - ages_met
    found["repeatability"] = math.sqrt(error / df_error) if error > scale else 0.0
    says = [f"rough: {df_error} degrees of freedom between replicates"] if df_error < FEW_ERROR_DF else []
    if df_trials == 0:
        return [*says, "discrimination: no two trials rated at one age"], found
    between = max(by_age - by_both, 0.0)
    if error <= scale:
        if between <= scale:
            return [*says, "discrimination: no rating differs"], found
        says.append("discrimination: every replicate is the same, F has no bound")
        return says, found | {"discrimination": math.inf, "p_value": 0.0}
    f = (between if between > scale else 0.0) / df_trials / (error / df_error)
    return says, found | {"discrimination": f, "p_value": float(special.fdtrc(df_trials, df_error, f))}


def _left_over(values: Floats, group: Any) -> tuple[float, int]:
    """Sum of squares within groups, and the number of groups."""
    number = np.bincount(group)
    means = np.bincount(group, values) / np.maximum(number, 1)
    return float(((values - means[group]) ** 2).sum()), int((number > 0).sum())


def _additive(values: Floats, trials: Any, ages: Any) -> tuple[float, int]:
    """Residual sum of squares of trial + age, and its rank."""
    columns = [group[:, None] == np.unique(group) for group in (ages, trials)]
    design = np.concatenate(columns, axis=1).astype(np.float64)
    fitted, _, rank, _ = np.linalg.lstsq(design, values, rcond=None)
    return float(((values - design @ fitted) ** 2).sum()), int(rank)


def _beside(own: Floats, others: Floats) -> tuple[dict[str, Any], list[str]]:
    """Agreement and means over the cells shared with somebody."""
    shared = ~np.isnan(own) & ~np.isnan(others)
    own, others = own[shared], others[shared]
    found: dict[str, Any] = {"agreement": None, "mean": None, "mean_others": None}
    if own.size == 0:
        return found, ["agreement, mean: nobody else rated the same"]
    found |= {"mean": float(own.mean()), "mean_others": float(others.mean())}
    if own.size < FEWEST_CELLS:
        return found, [f"agreement: {own.size} cells shared with others, it takes {FEWEST_CELLS}"]
    a, b = own - own.mean(), others - others.mean()
    squares = float(a @ a), float(b @ b)
    if squares[0] <= _NOTHING * float(own @ own) or squares[1] <= _NOTHING * float(others @ others):
        return found, ["agreement: one side never varies"]
    return found | {"agreement": float(np.clip(a @ b / math.sqrt(squares[0] * squares[1]), -1.0, 1.0))}, []


def _family(rows: Iterator[PanelistDescriptor]) -> Iterator[PanelistDescriptor]:
    """The rows of one panelist with Holm's correction over those that have a p."""
    rows_met = list(rows)
    tested = [row.p_value for row in rows_met if row.p_value is not None]
    adjusted = iter(holm(tested).tolist())
    for row in rows_met:
        yield row if row.p_value is None else replace(row, p_family=next(adjusted))


def _overall(panelist: Any, rows: list[PanelistDescriptor], alpha: float) -> PanelistOverall:
    families = [row.p_family for row in rows if row.p_family is not None]
    repeated = [row.repeatability for row in rows if row.repeatability is not None]
    shifts = [row.mean - row.mean_others for row in rows if row.mean is not None and row.mean_others is not None]
    ratios = [row.spread / row.spread_others for row in rows if row.spread is not None and row.spread_others]
    return PanelistOverall(
        panelist=panelist,
        told_apart=sum(p <= alpha * (1.0 + NEAR) for p in families),
        tested=len(families),
        repeatability=_root_mean_square(np.array(repeated)),
        agreement=_median([row.agreement for row in rows if row.agreement is not None]),
        shift=float(np.mean(shifts)) if shifts else None,
        spread_ratio=_median(ratios),
    )


def _known(value: float) -> float | None:
    return None if math.isnan(value) else float(value)


def _median(values: list[float]) -> float | None:
    return float(np.median(values)) if values else None


def _root_mean_square(values: Floats) -> float | None:
    return math.sqrt(float(np.mean(values**2))) if values.size else None
